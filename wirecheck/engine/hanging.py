"""What hangs on a supply: where a short has put it out, its relays are out and its loads read `short`."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Transformer
from wirecheck.engine.judge import load_elements

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.nets import Nets


class Hanging:
    """Loads and coils by supply. ends: the nets at the ends of each impedance; coils: those that move."""

    def __init__(
        self, circuit: Circuit, nets: Nets, ends: dict[str, tuple[int, int]], coils: Iterable[str]
    ) -> None:
        self.circuit, self.nets, self.ends = circuit, nets, ends
        self.coils = frozenset(coils)
        self.poles = [(nets.of[p.terminal], p.supply) for p in circuit.poles.values()]
        self._kept: dict[str, tuple[frozenset[str], frozenset[str]]] = {}

    def on(self, supply: str) -> tuple[frozenset[str], frozenset[str]]:
        """Loads and coils on a supply or its secondaries with every contact closed, but not through earth."""
        if supply not in self._kept:
            nets = self._reached_from(supply)
            elements = {i for i, (a, b) in self.ends.items() if a in nets or b in nets}
            loads = self.circuit.loads.items()
            hung = frozenset(n for n, load in loads if elements & set(load_elements(load)))
            self._kept[supply] = (hung, self.coils & elements)
        return self._kept[supply]

    def _reached_from(self, supply: str) -> set[int]:
        earth = {self.nets.of[t] for t in self.circuit.earth}
        foreign = {n for n, s in self.poles if s != supply}
        near: dict[int, set[int]] = {}
        for a, b in self._edges():
            near.setdefault(a, set()).add(b)
            near.setdefault(b, set()).add(a)
        queue = [n for n, s in self.poles if s == supply and n not in earth]
        seen = set(queue)
        for at in queue:
            new = near.get(at, set()) - seen - earth - foreign
            seen |= new
            queue.extend(new)
        return seen

    def _edges(self) -> list[tuple[int, int]]:
        """Impedances, contacts, and the ends of each transformer with one another."""
        of = self.nets.of
        edges = list(self.ends.values()) + [(of[c.a], of[c.b]) for c in self.circuit.contacts.values()]
        for core in self.circuit.elements.values():
            if isinstance(core, Transformer):
                edges += combinations([of[t] for a, b, _ in core.windings for t in (a, b)], 2)
        return edges
