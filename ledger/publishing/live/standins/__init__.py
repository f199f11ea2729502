"""Small modules that stand in, in the reader's browser, for large ones that a calculator imports."""
