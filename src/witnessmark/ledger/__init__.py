"""The ledger: what happened, what is outstanding, and what may be done now."""
