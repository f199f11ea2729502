"""Dogs and the windows they enter."""
