"""The sheet in words, tables and files, with the chain behind each number."""
