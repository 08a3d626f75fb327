"""Which supplies stand behind a transformer: they take part where its secondary is shorted.

What hangs together with its windings through closed contacts, impedances and transformers, but not beyond a
supply's pole or earth, as in `Secondaries`.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from wirecheck.engine.fast.eliminate import Row, reach
from wirecheck.engine.fast.table import FALSE, TRUE, Table

if TYPE_CHECKING:
    from wirecheck.engine.fast.contract import Edges, Nets
    from wirecheck.engine.solver import Solver


class Behind:
    """Where each hot supply stands behind each transformer. joined: net -> pole net -> where."""

    def __init__(self, table: Table, plain: Solver, nets: Nets, joined: dict[int, Row]) -> None:
        self.table, self.plain, self.nets, self.joined = table, plain, nets, joined
        poles = set(nets.poles)
        self.off = {
            n: table.negate(table.any(w for p, w in row.items() if p in poles)) for n, row in joined.items()
        }
        self.hot: dict[str, list[int]] = {}
        for net, pole in zip(nets.poles, plain.circuit.poles.values(), strict=True):
            if pole.phasor != 0:
                self.hot.setdefault(pole.supply, []).append(net)
        self.sinks = {s: nets.count + k for k, s in enumerate(self.hot)}
        self.rows = reach(
            table, [*joined, *self.sinks.values()], self._edges(), self.sinks.values(), through=False
        )

    def _spans(self) -> list[tuple[int, int]]:
        spans = [(self.nets.net(z.a), self.nets.net(z.b)) for z in self.plain.impedances.values()]
        for core in self.plain.transformers.values():
            ends = [self.nets.net(t) for a, b, _ in core.windings for t in (a, b)]
            spans += combinations(ends, 2)
        return spans

    def _edges(self) -> Edges:
        table, off, found = self.table, self.off, dict[tuple[int, int], int]()

        def tie(a: int, b: int, where: int) -> None:
            key = (min(a, b), max(a, b))
            if a != b and where != FALSE:
                found[key] = table.either(found.get(key, FALSE), where)

        for (a, b), closed in self.nets.edges.items():
            tie(a, b, table.all((closed, off[a], off[b])))
        for a, b in self._spans():
            tie(a, b, table.both(off[a], off[b]))
            for here, there in ((a, b), (b, a)):
                for supply, nets in self.hot.items():
                    at = table.any(self.joined[there].get(n, FALSE) for n in nets)
                    tie(here, self.sinks[supply], table.both(off[here], at))
        return found

    def supplies(self, core: str) -> dict[frozenset[str], int]:
        """The supplies behind a transformer -> where these and no others."""
        table, found = self.table, dict[str, int]()
        ends = {self.nets.net(t) for a, b, _ in self.plain.transformers[core].windings for t in (a, b)}
        for supply, nets in self.hot.items():
            at = table.any(self.joined[e].get(n, FALSE) for e in ends for n in nets)
            over = table.any(self.rows[e].get(self.sinks[supply], FALSE) for e in ends)
            found[supply] = table.either(at, over)
        return exactly(table, found)


def exactly(table: Table, where: dict[str, int]) -> dict[frozenset[str], int]:
    """Supply -> where it takes part, as: set of supplies -> where these and no others take part."""
    found = {frozenset[str](): TRUE}
    for supply, here in where.items():
        found = {
            (s | {supply} if inside else s): node
            for s, so_far in found.items()
            for inside in (True, False)
            if (node := table.both(so_far, here if inside else table.negate(here))) != FALSE
        }
    return found
