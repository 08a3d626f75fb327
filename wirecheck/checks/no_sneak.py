"""`no-sneak`: no load is fed through another where it was not before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.checks.fuses import pardoned
from wirecheck.engine.feeds import owners
from wirecheck.engine.question import Fed, Not, every

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.finding import Verdict
    from wirecheck.checks.pair import Pair
    from wirecheck.engine.question import Question

NAME = "no-sneak"


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each (X, Y) found, the smallest state of each; a pass where there is none."""
    names, found = list(owners(pair.changed.after)), False
    for x in names:
        if pair.exists(Fed("after", x, None)):
            for finding in (worst(pair, x, y) for y in names if y != x):
                if finding is not None:
                    found = True
                    yield finding
    if not found:
        yield Finding(
            NAME, "unit", "pass", f"no load is fed through another that was not, in {pair.count} states"
        )


def worst(pair: Pair, x: str, y: str) -> Finding | None:
    """The first fail, else the first note, of the states in which X is fed through Y and was not."""
    old_x, old_y = was(pair, x), was(pair, y)
    anew: Question = Fed("after", x, y)
    if old_x is not None and old_y is not None:
        anew = every(anew, Not(Fed("before", old_x, old_y)))
    noted: Finding | None = None
    for case in pair.distinct(anew):
        finding = one(pair, case, x, y)
        if finding.verdict == "fail":
            return finding
        noted = noted or finding
    return noted


def was(pair: Pair, name: str) -> str | None:
    """The name before of a load, relay or other coil; None where there was none."""
    if name in pair.changed.after.loads or name in pair.changed.after.relays:
        return pair.old_name.get(name)
    return name if name in pair.changed.before.elements else None


def one(pair: Pair, case: Case, x: str, y: str) -> Finding:
    """X fed through Y in this state: a note where X is new, or a blown fuse pardons it."""
    says = f"{x} is fed through {y}"
    verdict: Verdict = "fail"
    if pair.is_brought(x) or x not in pair.old_name:
        verdict, says = "note", f"{says}; {x} is new"
    elif pardoned(pair, case, x):
        verdict, says = "note", f"with a blown fuse, {says}"
    return Finding(NAME, x, verdict, says, pair.witness(case, pair.route(case, (x,))), other=y)
