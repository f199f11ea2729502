"""Scripts of pages, one idea a file, and what more than one of them uses."""
