"""`no-cross-feed`: circuits that were apart still are: no chain joins two of them but through earth."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from wirecheck.checks.commons import may_be_tied, tied
from wirecheck.checks.earth_ways import hung_together
from wirecheck.checks.finding import Finding
from wirecheck.engine.nets import Joined
from wirecheck.engine.question import EVERYWHERE, NOWHERE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.engine.solver import Solver, View

NAME = "no-cross-feed"


def joins(view: View) -> frozenset[frozenset[str]]:
    """The pairs of circuits joined here by conductors, closed contacts and impedances, not passing earth.

    A circuit is a supply, by its name, or a transformer's secondary, by the transformer's.
    """
    plain, network = view.plain, view.network
    of, node = plain.nets.of, network.node
    earth = {node[of[t]] for t in plain.circuit.earth}
    hung = Joined(plain.nets.count)
    for a, b in network.ends.values():
        if a not in earth and b not in earth:
            hung.join(a, b)
    at: dict[int, set[str]] = {}
    for name, terminal in _ends(plain):
        if node[of[terminal]] not in earth:
            at.setdefault(hung.find(node[of[terminal]]), set()).add(name)
    return _pairs(at) | tied(plain.circuit, view.shut)


def may_join(plain: Solver) -> bool:
    """Can any position of the contacts join two circuits? True too where none does after all."""
    circuit, of, hung = plain.circuit, plain.nets.of, hung_together(plain, over_windings=False)
    earth = {of[t] for t in circuit.earth}  # what only a contact ties to earth is not there in every position
    at: dict[int, set[str]] = {}
    for name, terminal in _ends(plain):
        if of[terminal] not in earth:
            at.setdefault(hung.find(of[terminal]), set()).add(name)
    return bool(_pairs(at)) or may_be_tied(circuit)


def _ends(plain: Solver) -> Iterator[tuple[str, str]]:
    """The circuits, each with its poles or the ends of its secondary."""
    yield from ((pole.supply, pole.terminal) for pole in plain.circuit.poles.values())
    yield from ((core.device, t) for core in plain.transformers.values() for t in core.secondary)


def _pairs(at: dict[int, set[str]]) -> frozenset[frozenset[str]]:
    return frozenset(frozenset(p) for names in at.values() for p in combinations(sorted(names), 2))


def check(pair: Pair) -> Iterator[Finding]:
    """Fail for each two circuits that a state joins and the matching state before does not."""
    found: set[frozenset[str]] = set()
    for case in pair.distinct(EVERYWHERE if may_join(pair.after) else NOWHERE):
        now = {p for v in pair.views(case.joint) for p in joins(v)}
        fresh = now - found
        if not fresh:
            continue
        was = {p for v in pair.views_before(case.joint) for p in renamed(pair, joins(v))}
        for both in sorted(fresh - was, key=sorted):
            found.add(both)
            one, other = sorted(both)
            says = f"{one} and {other} are joined, which were apart: each can feed back into the other"
            witness = pair.witness(case, pair.way_between(case, one, other))
            yield Finding(NAME, f"{one} and {other}", "fail", says, witness)
    if not found:
        yield Finding(
            NAME, "unit", "pass", f"no two circuits are joined that were apart, in {pair.count} states"
        )


def renamed(pair: Pair, pairs: frozenset[frozenset[str]]) -> set[frozenset[str]]:
    """Pairs of the unit before in the tags of the unit after."""
    new = {r.old: r.new for r in pair.changed.replaced}
    return {frozenset(new.get(n, n) for n in p) for p in pairs}
