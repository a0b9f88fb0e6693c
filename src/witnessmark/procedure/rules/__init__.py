"""The rule book's tables: states, actions, checks, evidence and gates, as plain data."""
