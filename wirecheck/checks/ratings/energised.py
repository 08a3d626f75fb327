"""Which closed contacts can stand at volts or carry current: told from how things hang together, unsolved.

Contacts in what no hot pole and no transformer reaches do nothing there, closed or open. States that differ
in these alone have the same volts and currents everywhere, so that one of them is enough to look at.
"""

from __future__ import annotations

from itertools import compress
from typing import TYPE_CHECKING

from wirecheck.engine.nets import Joined

if TYPE_CHECKING:
    from collections.abc import Iterator

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

    def _among(self, closed: Bits) -> Iterator[int]:
        joined = Joined(self.nets)
        for a, b in compress(self.contacts, closed):
            joined.join(a, b)
        node = [joined.find(n) for n in range(self.nets)]
        held, hot = ({node[n] for n in nets} for nets in (self.poles, self.hot))
        hangs, fed = self._hanging(node, held, hot)
        for k, (a, _) in enumerate(self.contacts):
            if closed[k] and (node[a] in held or hangs.find(node[a]) in fed):
                yield k

    def _hanging(self, node: list[int], held: set[int], hot: set[int]) -> tuple[Joined, set[int]]:
        """What hangs together between poles, over impedances and transformers; and which of it is fed.

        A transformer feeds, and so does an impedance with an end on a hot pole.
        """
        hangs, feeding = Joined(self.nets), list[int]()
        for a, b in self.impedances:
            one, other = node[a], node[b]
            if one not in held and other not in held:
                hangs.join(one, other)
            elif one in hot or other in hot:
                feeding += (one, other)
        for core in self.cores:
            ends = [node[n] for n in core if node[n] not in held]
            feeding += ends
        return hangs, {hangs.find(n) for n in feeding if n not in held}
