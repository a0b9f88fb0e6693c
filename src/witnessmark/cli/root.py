"""The command `witnessmark` and where each of its commands lives."""

from __future__ import annotations

from witnessmark.cli.lazy import LazyGroup

command = LazyGroup(
    "witnessmark",
    summary="Plan, do and prove the whole job on a machine that is stripped and rebuilt.",
    commands_at={
        "calc": ("witnessmark.cli.calc:calc", "Engineering sums: bolts, belts, timing, coolant."),
    },
)


def main() -> None:
    """Run the command line."""
    command()
