"""The record: append-only revisions in SQLite, hash-chained, with everything else readable from them."""
