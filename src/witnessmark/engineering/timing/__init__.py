"""Timing drives: shafts and ratios, floating sprockets, marks that meet, what is wrong."""
