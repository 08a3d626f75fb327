"""Mutates the engine and the checks: `python -m tests.mutation --files wirecheck/engine/*.py --sample 20`.

Not part of the suite. Each mutant is put into a copy of this folder, and tests that reach its statement run,
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

MUTATED = ("wirecheck/engine", "wirecheck/checks", "wirecheck/circuit")
# Limits of resources: what lies beyond is answered elsewhere, so no answer tells one limit from the next.
LEFT_OUT = frozenset({"wirecheck/engine/fast/limits.py"})


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
    paths = (p for room in MUTATED for p in sorted((run.ROOT / room).rglob("*.py")))
    found = (str(p.relative_to(run.ROOT)) for p in paths)
    return [file for file in found if file not in LEFT_OUT]


def tried(given: argparse.Namespace, known: set[tuple[str, ...]]) -> Iterator[tuple[Mutant, str, str]]:
    """Each mutant, what came of it, and the test that went red; so many at a time, in a copy each."""
    paths = tuple(given.tests or (run.WIDE if given.wide else run.QUICK))
    with tempfile.TemporaryDirectory() as name, ThreadPoolExecutor(given.jobs) as pool:
        copies = [Path(name) / str(k) for k in range(given.jobs)]
        for copy in copies:
            run.copied(copy)
        cover = run.covered(copies[0], sorted({*every_file(), *given.files}), paths, given.cover)
        processes = [run.Warm(copy, paths, cover.seconds) for copy in copies]
        idle: SimpleQueue[run.Warm] = SimpleQueue()
        for process in processes:
            idle.put(process)

        def one(mutant: Mutant) -> tuple[Mutant, str, str]:
            if key(mutant) in known:
                return mutant, run.SURVIVED, "not tried"
            tests = cover.tests(mutant.file, mutant.statement, given.seconds)
            if not tests:
                return mutant, run.SURVIVED, "reached by no test"
            process = idle.get()
            try:
                return mutant, *process.tried(mutant, tests)
            finally:
                idle.put(process)

        again = set(given.again.read_text(encoding="utf-8").splitlines()) if given.again else None
        wanted = chosen(given.files, given.sample, given.seed, given.line)
        yield from pool.map(one, [m for m in wanted if again is None or told(m) in again])
        for process in processes:
            process.end()


def told(mutant: Mutant) -> str:
    """A mutant as its first line is printed, without what came of it."""
    return f"{mutant.file}:{mutant.line} {mutant.within} | {mutant.was} -> {mutant.becomes}"


def key(mutant: Mutant) -> tuple[str, ...]:
    """What a mutant is known by in `survivors.yaml`."""
    return mutant.file, mutant.within, mutant.was, mutant.becomes


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--files", nargs="+", default=every_file(), help="paths from the top of the checkout")
    parser.add_argument("--sample", type=int, help="how many mutants of each file; without it all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--line", type=int, help="only mutants of this line")
    parser.add_argument("--again", type=Path, help="a file that names mutants, a line each: these alone")
    parser.add_argument("--seconds", type=float, default=30, help="of tests before a mutant counts as alive")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument(
        "--cover", type=Path, help="a file that keeps which tests reach what, for the next run"
    )
    parser.add_argument("--all", action="store_true", help="try those of survivors.yaml too")
    parser.add_argument("--tests", nargs="+", help="paths of tests, in place of the quick ones")
    parser.add_argument("--wide", action="store_true", help="more tests, slow ones too")
    return parser.parse_args()


def main() -> int:
    """Try the mutants, print what became of each, and a table of the files."""
    given = arguments()
    for name in run.WARM:
        importlib.import_module(name)
    known = {(s.file, s.within, s.was, s.becomes) for s in survivors()}
    tally: dict[str, list[int]] = {}
    for mutant, came, red in tried(given, set() if given.all else known):
        row = tally.setdefault(mutant.file, [0, 0, 0])
        alive = came == run.SURVIVED
        reasoned = key(mutant) in known
        row[0] += 1
        row[1] += not alive
        row[2] += alive and reasoned
        fate = f"{came}, {'equivalent' if reasoned else 'NO REASON'}" if alive else came
        print(f"{fate} | {told(mutant)} | {red}", flush=True)
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
