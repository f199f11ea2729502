"""The casing: its bores and detents, and what turns beside them."""
