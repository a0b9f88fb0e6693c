"""The command `witnessmark` and where each of its commands lives."""

from __future__ import annotations

import gc

from witnessmark.cli.lazy import LazyGroup

COLLECT_AFTER = 100_000
"""Objects made between two looks for garbage. Reading and planning make many that live to
the end of the command; looking after every 700 (the interpreter's own number) costs a
tenth of its time and finds nothing."""

command = LazyGroup(
    "witnessmark",
    summary="Plan, do and prove the whole job on a machine that is stripped and rebuilt.",
    commands_at={
        "check": ("witnessmark.cli.check:check", "Say everything that is wrong with files."),
        "works": ("witnessmark.cli.plan:works", "List the works a machine file knows."),
        "plan": ("witnessmark.cli.plan:plan", "Plan the least strip-down that reaches a work."),
        "explain": ("witnessmark.cli.plan:explain", "Say why a thing is or is not in the plan."),
        "kit": ("witnessmark.cli.plan:kit", "List what must be on the bench beforehand."),
        "swaps": ("witnessmark.cli.swaps:swaps", "Say which bolts must not change holes."),
        "papers": ("witnessmark.cli.papers:papers", "Write the job card as PDF."),
        "demo": ("witnessmark.cli.papers:demo", "Run the main job on the demonstration."),
        "schema": ("witnessmark.cli.check:schema", "Print the JSON Schema of machine files."),
        "upgrade": ("witnessmark.cli.check:upgrade", "Bring older files to the present format."),
        "serve": ("witnessmark.cli.serve:serve", "Open the workshop to browsers and phones."),
        "pin": ("witnessmark.cli.pin:pin", "Set a person's PIN, where it was forgotten."),
        "load-demo": (
            "witnessmark.cli.load_demo:load_demo",
            "Fill an empty workshop with invented jobs.",
        ),
        "backup": ("witnessmark.cli.keeping:backup", "Write the whole workshop into one file."),
        "restore": ("witnessmark.cli.keeping:restore", "Put a backup into an empty folder."),
        "verify": ("witnessmark.cli.keeping:verify", "Check that all is as it was written."),
        "export": ("witnessmark.cli.keeping:export", "Write a job for a stranger to read."),
        "handover": (
            "witnessmark.cli.printing:handover",
            "Write the handover sheet and state card of a job.",
        ),
        "record": ("witnessmark.cli.printing:record", "Write the record of a job as PDF."),
        "labels": ("witnessmark.cli.printing:labels", "Write bag labels numbered beforehand."),
        "calc": ("witnessmark.cli.calc:calc", "Engineering sums: bolts, belts, timing, coolant."),
    },
)


def main() -> None:
    """Run the command line."""
    gc.set_threshold(COLLECT_AFTER)
    command()
