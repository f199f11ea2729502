"""The whole ledger in forms that others read: one module a form, each from a casebook to files by name."""
