"""`no-short`: no reachable state, and no order of relays on the way to one, is shorted that was not before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Case, Pair

NAME = "no-short"


def check(pair: Pair) -> Iterator[Finding]:
    """Settling ends at a short whatever the order, so the outcomes hold those passed on the way too."""
    for case in pair.cases:
        if case.shorted and not case.shorted_before:
            yield Finding(NAME, "unit", "fail", words(case), pair.witness(case, path(case)))
            return
    yield Finding(
        NAME, "unit", "pass", f"nothing is shorted that was not before, in {len(pair.cases)} states"
    )


def path(case: Case) -> tuple[str, ...]:
    short = case.joint.after.short
    return short.path if short is not None else ()


def words(case: Case) -> str:
    short = case.joint.after.short
    assert short is not None
    return f"a short of {', '.join(sorted(short.supplies)) or 'a secondary'}: {' – '.join(short.path)}"
