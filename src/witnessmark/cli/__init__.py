"""The command."""

from witnessmark.cli.root import main

__all__ = ["main"]
