"""`no-sneak`: no load is fed through another where it was not before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.feeds import feeds
from wirecheck.checks.finding import Finding
from wirecheck.checks.fuses import pardoned

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.finding import Verdict
    from wirecheck.checks.pair import Pair

NAME = "no-sneak"


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each (X, Y) found, the smallest state of each; a pass where there is none."""
    found: dict[tuple[str, str], Finding] = {}
    for case in pair.distinct():
        now = {xy for v in pair.views(case.joint) for xy in feeds(v)}
        if not now:
            continue
        was = feeds_before(pair, case)
        for x, y in sorted(now - was):
            finding = one(pair, case, x, y)
            known = found.get((x, y))
            if known is None or (known.verdict == "note" and finding.verdict == "fail"):
                found[x, y] = finding
    yield from found.values()
    if not found:
        yield Finding(
            NAME, "unit", "pass", f"no load is fed through another that was not, in {pair.count} states"
        )


def feeds_before(pair: Pair, case: Case) -> set[tuple[str, str]]:
    """The pairs of the matching state before, in the names of the unit after."""
    names = pair.new_name
    return {(names.get(x, x), names.get(y, y)) for v in pair.views_before(case.joint) for x, y in feeds(v)}


def one(pair: Pair, case: Case, x: str, y: str) -> Finding:
    """X fed through Y in this state: a note where X is new, or a blown fuse pardons it."""
    says = f"{x} is fed through {y}"
    verdict: Verdict = "fail"
    if pair.is_brought(x) or x not in pair.old_name:
        verdict, says = "note", f"{says}; {x} is new"
    elif pardoned(pair, case, x):
        verdict, says = "note", f"with a blown fuse, {says}"
    return Finding(NAME, x, verdict, says, pair.witness(case, pair.route(case, (x,))), other=y)
