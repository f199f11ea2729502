"""What runs in the reader's browser around a calculator: reads inputs, draws them, computes, answers."""
