"""Mutates the engine and the checks: `python -m tests.mutation --files wirecheck/engine/*.py --sample 20`.

Not part of the suite. Each mutant is put into a copy of this folder, and tests that enter its function run,
the quickest first, until one is red. Survivors that `survivors.yaml` gives a reason for are no fault; exits 1
where another one survives.
"""

from __future__ import annotations

import argparse
import importlib
import random
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue
from typing import TYPE_CHECKING

from tests.mutation import run
from tests.mutation.mutants import mutants
from tests.mutation.survivors import survivors

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.mutation.mutants import Mutant

MUTATED = ("wirecheck/engine", "wirecheck/checks")


def chosen(files: list[str], sample: int | None, seed: int, line: int | None) -> list[Mutant]:
    """The mutants to try: of each file so many, at places that the seed alone decides."""
    found: list[Mutant] = []
    for file in files:
        own = mutants(file, (run.ROOT / file).read_text(encoding="utf-8"))
        own = [m for m in own if line is None or m.line == line]
        if sample is not None and sample < len(own):
            own = random.Random(f"{seed} {file}").sample(own, sample)  # noqa: S311 - no secret
        found += own
    return found


def every_file() -> list[str]:
    return [str(p.relative_to(run.ROOT)) for room in MUTATED for p in sorted((run.ROOT / room).rglob("*.py"))]


def tried(given: argparse.Namespace) -> Iterator[tuple[Mutant, str, str]]:
    """Each mutant, what came of it, and the test that went red; so many at a time, in a copy each."""
    with tempfile.TemporaryDirectory() as name, ThreadPoolExecutor(given.jobs) as pool:
        copies = [Path(name) / str(k) for k in range(given.jobs)]
        folders: SimpleQueue[Path] = SimpleQueue()
        for copy in copies:
            run.copied(copy)
            folders.put(copy)
        cover = run.covered(copies[0], every_file(), run.WIDE if given.wide else run.QUICK)

        def one(mutant: Mutant) -> tuple[Mutant, str, str]:
            tests = cover.tests(mutant.file, mutant.within, given.seconds)
            if not tests:
                return mutant, run.SURVIVED, "entered by no test"
            folder = folders.get()
            try:
                return mutant, *run.tried(mutant, folder, tests)
            finally:
                folders.put(folder)

        yield from pool.map(one, chosen(given.files, given.sample, given.seed, given.line))


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--files", nargs="+", default=every_file(), help="paths from the top of the checkout")
    parser.add_argument("--sample", type=int, help="how many mutants of each file; without it all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--line", type=int, help="only mutants of this line")
    parser.add_argument("--seconds", type=float, default=30, help="of tests before a mutant counts as alive")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--wide", action="store_true", help="more tests, slow ones too")
    return parser.parse_args()


def main() -> int:
    """Try the mutants, print what became of each, and a table of the files."""
    given = arguments()
    for name in run.WARM:
        importlib.import_module(name)
    known = {(s.file, s.within, s.was, s.becomes) for s in survivors()}
    tally: dict[str, list[int]] = {}
    for mutant, came, red in tried(given):
        row = tally.setdefault(mutant.file, [0, 0, 0])
        alive = came == run.SURVIVED
        reasoned = (mutant.file, mutant.within, mutant.was, mutant.becomes) in known
        row[0] += 1
        row[1] += not alive
        row[2] += alive and reasoned
        told = f"{came}, {'equivalent' if reasoned else 'NO REASON'}" if alive else came
        print(f"{told} | {mutant.file}:{mutant.line} {mutant.within} | {mutant.was}")
        print(f"    -> {mutant.becomes} | {red}", flush=True)
    return table(tally)


def table(tally: dict[str, list[int]]) -> int:
    """Print how many of each file were tried, killed and equivalent; 1 where any is neither."""
    print("| file | mutants | killed | equivalent | alive |\n|---|---|---|---|---|")
    for file, (tried, killed, same) in sorted(tally.items()):
        print(f"| `{file}` | {tried} | {killed} | {same} | {tried - killed - same} |")
    tried, killed, same = (sum(row[k] for row in tally.values()) for k in range(3))
    print(f"| all | {tried} | {killed} | {same} | {tried - killed - same} |")
    return int(tried > killed + same)


if __name__ == "__main__":
    sys.exit(main())
