"""`live-parts`: what stays live with a load of the change off; what is earthed otherwise. Always notes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks import earthing
from wirecheck.checks.finding import Finding
from wirecheck.checks.live import live_terminals
from wirecheck.engine.answers import OFF, WORKING
from wirecheck.engine.question import word

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair

NAME = "live-parts"


def subjects(pair: Pair) -> list[str]:
    """The loads that the change affects or brings."""
    named = [pair.new_name.get(n, n) for n in pair.changed.terms.affects]
    return [n for n in pair.changed.after.loads if n in named or pair.is_brought(n)]


def ends_of(pair: Pair, load: str) -> list[str]:
    """The terminals of the load's device, and those at the far ends of its conductors."""
    after = pair.changed.after
    own = set(after.devices[after.loads[load].device].terminals)
    far = {t for w in after.conductors.values() for t in (w.a, w.b) if own & {w.a, w.b}}
    return [t for t in after.terminals if t in own | far]


def check(pair: Pair) -> Iterator[Finding]:
    """One note for each load: the first state in which it is off and part of it live."""
    for load in subjects(pair):
        found = next(_found(pair, load), None)
        if found is not None:
            yield found
    yield from earthing.notes(pair.changed.before, pair.changed.after, NAME)


def _found(pair: Pair, load: str) -> Iterator[Finding]:
    terminals = ends_of(pair, load)
    if not pair.exists(word("after", load, WORKING)):
        return
    for case in pair.where(word("after", load, {OFF})):
        yield from _live(pair, load, case, terminals)


def _live(pair: Pair, load: str, case: Case, terminals: list[str]) -> Iterator[Finding]:
    for view in pair.views(case.joint):
        live = live_terminals(view)
        hot = [f"{t} {live[t]:.0f} V" for t in terminals if t in live]
        if hot:
            says = f"{load} off is not dead: to earth, {', '.join(hot)}"
            yield Finding(NAME, load, "note", says, pair.witness(case))
