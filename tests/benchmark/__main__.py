"""python -m tests.benchmark [--quick] [--write]: prints the tables; --write puts them into README.md."""

from __future__ import annotations

import argparse
import os
import platform
import tempfile
from pathlib import Path

from tests.benchmark import tables
from tests.benchmark.logic import Effort
from tests.benchmark.measure import GIGABYTES, hold_to, table

README = Path(__file__).parents[2] / "README.md"
MARKS = "<!-- benchmark -->", "<!-- end of benchmark -->"
# The first seed whose network of 500 conductors has few relays in rings: a quick run has to end.
QUICK = Effort(seeds=(6,), sampled={60: 50, 150: 50, 500: 20}, repeats=3, limit=60, faults=6, solved=20)
PARTS = (tables.loops, tables.sweeps, tables.proofs, tables.cabinets, tables.processes)


def written(text: str) -> None:
    """Put the tables between the two marks of README.md. Exits where these are not there."""
    page = README.read_text(encoding="utf-8")
    start, end = (page.find(mark) for mark in MARKS)
    if not 0 <= start < end:
        raise SystemExit(f"README.md has no {MARKS[0]} before {MARKS[1]}")
    README.write_text(f"{page[: start + len(MARKS[0])]}\n\n{text}\n\n{page[end:]}", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="one seed, an easy one, and fewer states: noisy")
    parser.add_argument("--write", action="store_true", help="put the tables into README.md")
    asked = parser.parse_args()
    hold_to(GIGABYTES)
    rows, notes = [], []
    with tempfile.TemporaryDirectory() as folder:
        for part in PARTS:
            more, said = part(QUICK if asked.quick else Effort(), Path(folder))
            rows += more
            notes += said
    machine = f"{os.cpu_count()} cores, {platform.python_implementation()} {platform.python_version()}"
    text = "\n".join([table(rows), "", f"Medians; {machine}.", "", *notes])
    print(text)
    if asked.write:
        written(text)


if __name__ == "__main__":
    main()
