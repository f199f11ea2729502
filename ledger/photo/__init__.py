"""Lengths, angles and counts from pixels, and times from recordings, each with its uncertainty."""
