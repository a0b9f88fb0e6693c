"""Pure engineering sums, each with its source."""
