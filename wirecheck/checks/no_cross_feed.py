"""`no-cross-feed`: circuits that were apart still are: no chain joins two of them but through earth."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.engine.nets import Joined
from wirecheck.engine.question import EVERYWHERE, NOWHERE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.engine.solver import View

NAME = "no-cross-feed"


def joins(view: View) -> frozenset[frozenset[str]]:
    """The pairs of circuits joined here by conductors, closed contacts and impedances, not passing earth.

    A circuit is a supply, by its name, or a transformer's secondary, by the transformer's.
    """
    plain, network = view.plain, view.network
    earth = {network.node[plain.nets.of[t]] for t in plain.circuit.earth}
    hung = Joined(plain.nets.count)
    for a, b in network.ends.values():
        if a not in earth and b not in earth:
            hung.join(a, b)
    at: dict[int, set[str]] = {}
    for pole in plain.circuit.poles.values():
        node = network.node[plain.nets.of[pole.terminal]]
        if node not in earth:
            at.setdefault(hung.find(node), set()).add(pole.supply)
    for core in plain.transformers.values():
        for terminal in core.secondary:
            node = network.node[plain.nets.of[terminal]]
            if node not in earth:
                at.setdefault(hung.find(node), set()).add(core.device)
    return frozenset(frozenset(p) for names in at.values() for p in combinations(sorted(names), 2))


def check(pair: Pair) -> Iterator[Finding]:
    """Fail for each two circuits that a state joins and the matching state before does not."""
    found: set[frozenset[str]] = set()
    for case in pair.distinct(EVERYWHERE if joins(pair.after.superposed()) else NOWHERE):
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
