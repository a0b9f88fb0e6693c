"""Fastening sums: threads, strength, friction, tightening, orders, swaps and wrenches.

Everything is in SI units (metres, newtons, newton metres, pascals); angles are in degrees at
the door of a function. Figures calculated here are never a specification: the maker's
figures prevail.
"""
