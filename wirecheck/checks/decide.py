"""The common shape of a check: a question asked of every reachable state, the smallest failing one shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.checks.fuses import pardoned

if TYPE_CHECKING:
    from collections.abc import Callable

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.engine.question import Question


def decide(
    pair: Pair,
    check: str,
    subject: str,
    suspect: Question,
    holds: Callable[[Case], bool | None],
    good: str,
    bad: Callable[[Case], str],
    loads: tuple[str, ...] = (),
    starts: Callable[[Case], bool] = lambda _: False,
    pardons: bool = True,
    why: Callable[[Case], tuple[str, ...]] | None = None,
) -> Finding:
    """Fail with the smallest state in which `holds` is False; unknown where it is None; note where pardoned.

    suspect: picks out every state in which `holds` is not True.
    why: the fields that would decide a case; without it those of the loads' words.
    loads: those that the question is about; with a blown fuse some are pardoned (where the question `pardons`
    at all), unless the load `starts`.
    """
    doubt: Case | None = None
    pardon: Case | None = None
    for case in pair.where(suspect):
        answer = holds(case)
        if answer is True:
            continue
        if pardons and (answer is None or not starts(case)) and any(pardoned(pair, case, n) for n in loads):
            pardon = pardon or case
        elif answer is None:
            doubt = doubt or case
        else:
            return Finding(check, subject, "fail", bad(case), pair.witness(case, pair.route(case, loads)))
    if doubt is not None:
        fields = why(doubt) if why is not None else tuple(f for n in loads for f in doubt.why(n))
        says = f"{subject}: cannot be decided" + (f" without {', '.join(fields)}" if fields else "")
        return Finding(check, subject, "unknown", says, pair.witness(doubt), fields)
    if pardon is not None:
        return Finding(check, subject, "note", f"with a blown fuse: {bad(pardon)}", pair.witness(pardon))
    return Finding(check, subject, "pass", f"{good}, in {pair.count} states")
