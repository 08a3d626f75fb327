"""`live-parts`: what stays live with a load off, and what is earthed otherwise. Always notes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks import earthing
from wirecheck.checks.finding import Finding
from wirecheck.checks.live import live_terminals
from wirecheck.engine.answers import OFF, WORKING
from wirecheck.engine.question import Live, Not, every, some, word

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
    """One note for each load of the change: the first state in which it is off and part of it live.

    Of any other load where that is new.
    """
    named = subjects(pair)
    for load in pair.changed.after.loads:
        found = next(_found(pair, load) if load in named else _newly(pair, load), None)
        if found is not None:
            yield found
    yield from earthing.notes(pair.changed.before, pair.changed.after, NAME)


def _found(pair: Pair, load: str) -> Iterator[Finding]:
    terminals = ends_of(pair, load)
    if not pair.exists(word("after", load, WORKING)):
        return
    for case in pair.where(word("after", load, {OFF})):
        yield from _live(pair, load, case, terminals)


def _newly(pair: Pair, load: str) -> Iterator[Finding]:
    """Terminals of its device that were dead with it off, and are live."""
    old, before = pair.old_name.get(load), pair.changed.before
    device = pair.changed.after.devices[pair.changed.after.loads[load].device]
    there = [t for t in device.terminals if t in before.terminals]
    live = some(*(every(Live("after", t), Not(Live("before", t))) for t in there))
    if old is not None and pair.exists(word("after", load, WORKING)):
        off = every(word("after", load, {OFF}), word("before", old, {OFF}), live)
        for case in pair.where(off):
            yield from _live(pair, load, case, there)


def _live(pair: Pair, load: str, case: Case, terminals: list[str]) -> Iterator[Finding]:
    for view in pair.views(case.joint):
        live = live_terminals(view)
        hot = [f"{t} {live[t]:.0f} V" for t in terminals if t in live]
        if hot:
            says = f"{load} off is not dead: to earth, {', '.join(hot)}"
            yield Finding(NAME, load, "note", says, pair.witness(case))
