"""One consistent picture of a ledger: entries, results and confidences, as frozen values."""
