"""The sections of the build sheet, each declared as data, and their register."""
