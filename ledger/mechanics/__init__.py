"""Pure formulas on floats or arrays; the standard library's math alone, so that a reader's browser can run them."""
