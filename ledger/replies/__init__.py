"""Readers' words to records: an intake that only takes replies in, and the store where they wait to be decided on."""
