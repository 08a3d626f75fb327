"""python -m tests.fast.differential --count N --seed S: both evaluators over N random circuits.

Every third is a unit alone, the others a unit before and after a change. Prints how many ran, how many the
fast evaluator leaves to the plain one and why, and every difference.
"""

from __future__ import annotations

import argparse
import random
import time
from collections import Counter

from tests.fast.altered import changed
from tests.fast.built import build
from tests.fast.checked import of_pair
from tests.fast.circuits import Maker
from tests.fast.compare import difference
from tests.fast.deeper import deeper
from wirecheck.engine.answers import TooMany
from wirecheck.engine.fast.limits import NotHere, TooLarge


def one(seed: int, deep: bool = False, checks: bool = False) -> str:
    """The difference for one circuit, or how it was left: "" where both agree."""
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    plan = Maker(rng, rich=rng.random() < 0.7).make()
    after, before = build(plan), None
    if seed % 3:
        after, before = build(changed(plan, rng)), after
    try:
        found = difference(after, before) or (deeper(after, before, rng) if deep else "")
        return found or (of_pair(after, before) if checks and before is not None else "")
    except NotHere as why:
        return f"left: {why}"
    except (TooLarge, TooMany):
        return "left: too large"


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--deep", action="store_true", help="also what checks ask beside words")
    parser.add_argument("--checks", action="store_true", help="also every check of `verify`")
    asked = parser.parse_args()
    left: Counter[str] = Counter()
    wrong, began = 0, time.perf_counter()
    for seed in range(asked.seed, asked.seed + asked.count):
        found = one(seed, asked.deep, asked.checks)
        if found.startswith("left: "):
            left[found] += 1
        elif found:
            wrong += 1
            print(f"seed {seed}:\n{found}", flush=True)
    took = time.perf_counter() - began
    print(
        f"{asked.count} circuits in {took:.0f} s, {wrong} differ, {sum(left.values())} left to the plain one"
    )
    for why, count in left.most_common():
        print(f"  {count} {why}")
    raise SystemExit(1 if wrong else 0)


if __name__ == "__main__":
    main()
