"""`python -m benchmarks NAME [--json FILE]`: run one benchmark, from the folder above this one."""

from __future__ import annotations

import argparse
import sys
from importlib import import_module
from importlib.util import find_spec

NAMES = (
    "selection",
    "shapes",
    "ordering",
    "fastening",
    "drives",
    "recordings",
    "ledger",
    "workshop_crash",
    "workshop_power",
    "workshop_load",
    "workshop_size",
    "replanning",
    "bench_kills",
    "bench_phone",
)


def main(arguments: list[str]) -> int:
    """Run the benchmark named; each prints what it finds and raises if results differ."""
    there = [name for name in NAMES if find_spec(f"benchmarks.{name}")]
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    parser.add_argument("name", choices=there, metavar="NAME", help=", ".join(there))
    parser.add_argument("--json", metavar="FILE", help="write the figures there as well")
    wanted = parser.parse_args(arguments)
    import_module(f"benchmarks.{wanted.name}").run(wanted.json)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
