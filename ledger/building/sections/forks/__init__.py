"""Forks: from the sleeve to the rail, and from the rail to the pin in its track."""
