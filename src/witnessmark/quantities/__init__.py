"""Quantities and units at the edges: read as people write them, held exactly."""
