"""Markdown files with front matter, read into checked entries and written back."""
