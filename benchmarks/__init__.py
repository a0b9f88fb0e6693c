"""What is measured: each module has `run`, which prints and may write JSON."""
