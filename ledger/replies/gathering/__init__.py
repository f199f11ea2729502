"""Replies gathered from files: reply files, mailboxes, tables of forum answers."""
