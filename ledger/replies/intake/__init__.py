"""The intake: a small ASGI service that only takes replies in. It knows no ledger."""
