"""What decisions fix, put together and held against what the sections declare."""
