"""Which closed contacts can stand at volts or carry current: told from how things hang together, unsolved.

Contacts in what no hot pole and no transformer reaches do nothing there, closed or open. States that differ
in these alone have the same volts and currents everywhere, so that one of them is enough to look at.
"""

from __future__ import annotations

from itertools import compress
from typing import TYPE_CHECKING

from wirecheck.engine.nets import Joined

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.engine.answers import Bits
    from wirecheck.engine.solver import Solver


class Energised:
    """The closed contacts that count in one circuit, by the position of all."""

    def __init__(self, plain: Solver) -> None:
        self.plain = plain
        of, circuit = plain.nets.of, plain.circuit
        self.nets = plain.nets.count
        self.contacts = [(of[c.a], of[c.b]) for c in circuit.contacts.values()]
        self.impedances = [(of[z.a], of[z.b]) for z in plain.impedances.values()]
        self.cores = [[of[t] for a, b, _ in x.windings for t in (a, b)] for x in plain.transformers.values()]
        self.poles = {of[t] for t in circuit.poles}
        self.hot = {of[t] for t, p in circuit.poles.items() if p.phasor != 0}
        self._kept: dict[Bits, tuple[int, ...]] = {}

    def among(self, closed: Bits) -> tuple[int, ...]:
        """The numbers of those that count, of the contacts that are closed."""
        if closed not in self._kept:
            self._kept[closed] = tuple(self._among(closed))
        return self._kept[closed]

    def _among(self, closed: Bits) -> Iterable[int]:
        node = Joined(self.nets)
        for a, b in compress(self.contacts, closed):
            node.join(a, b)
        held = {node.find(n) for n in self.poles}
        hangs, fed = Joined(self.nets), set[int]()
        for ends in self._ends(node):
            loose = [n for n in ends if n not in held]
            for n in loose[1:]:
                hangs.join(loose[0], n)
        for ends in self._feeding(node):
            fed |= {hangs.find(n) for n in ends if n not in held}
        for k, (a, _) in enumerate(self.contacts):
            if closed[k] and ((at := node.find(a)) in held or hangs.find(at) in fed):
                yield k

    def _ends(self, node: Joined) -> Iterable[list[int]]:
        """The nodes that hang together over each impedance and each transformer."""
        for ends in (*self.impedances, *self.cores):
            yield [node.find(n) for n in ends]

    def _feeding(self, node: Joined) -> Iterable[list[int]]:
        """The same of what may put volts on a node that no pole holds: any transformer, an end on a hot pole."""
        hot = {node.find(n) for n in self.hot}
        for ends in self.impedances:
            both = [node.find(n) for n in ends]
            if hot.intersection(both):
                yield both
        for core in self.cores:
            yield [node.find(n) for n in core]
