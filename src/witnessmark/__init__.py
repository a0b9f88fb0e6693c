"""Witnessmark plans, walks and proves the whole job on a machine that is stripped and rebuilt."""
