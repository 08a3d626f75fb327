"""Builds the network of one position of all contacts (engine.md sections 1 and 2).

Conductors and links are contracted once; closed contacts join nets for each position of them. What hangs
together through impedances and transformers, cut at nodes of known potential, is one part; each distinct
part is solved once and its answer kept.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.answers import Potential, Short
from wirecheck.engine.nets import Joined, closed_path
from wirecheck.engine.network import Network, Part, Placed, unlike
from wirecheck.engine.secondaries import Secondaries

if TYPE_CHECKING:
    from collections.abc import Callable

    from wirecheck.circuit.elements import Impedance, Pole
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.nets import Nets
    from wirecheck.engine.network import Fixed


class Builder:
    """Builds the network of one position of all contacts; holds what does not change between them."""

    def __init__(self, circuit: Circuit, nets: Nets, impedances: dict[str, Impedance]) -> None:
        self.circuit, self.nets = circuit, nets
        self.poles = [(nets.of[p.terminal], p) for p in circuit.poles.values()]
        self.ends = {i: (nets.of[z.a], nets.of[z.b]) for i, z in impedances.items()}
        self.secondaries = Secondaries(circuit, nets, self.ends)

    def network(
        self,
        closed: list[tuple[int, int]],
        coils_in: frozenset[str],
        is_closed: Callable[[str], bool],
        dead: frozenset[str] = frozenset(),
    ) -> Network:
        """The network where the contacts between the nets of `closed` are closed.

        dead: supplies that feed nothing.
        """
        joined = Joined(self.nets.count)
        for a, b in closed:
            joined.join(a, b)
        node = tuple(joined.find(i) for i in range(self.nets.count))
        fixed, short = self._poles(node, is_closed, dead)
        if short is None:
            short = self.secondaries.hold(node, fixed, is_closed)
        ends = {i: (node[a], node[b]) for i, (a, b) in self.ends.items()}
        if short is not None:
            return Network(node, fixed, (), {}, ends, short)
        parts, part_of = self._parts(node, fixed, ends, coils_in)
        return Network(node, fixed, parts, part_of, ends)

    def _poles(
        self, node: tuple[int, ...], is_closed: Callable[[str], bool], dead: frozenset[str]
    ) -> tuple[Fixed, Short | None]:
        """Nodes at the potential of a pole; the short where unlike poles are joined.

        Every supply with a hot pole at such a joint takes part, whichever poles the path leads between.
        """
        fixed: Fixed = {}
        joined: dict[int, list[Pole]] = {}
        ends: tuple[str, str] | None = None
        unlikes: set[int] = set()
        for net, pole in self.poles:
            if pole.supply in dead and pole.phasor != 0:
                continue
            at, here = node[net], Potential("", pole.phasor, pole.source)
            known = fixed.get(at)
            if known is not None and unlike(known, here):
                unlikes.add(at)
                ends = ends or (joined[at][0].terminal, pole.terminal)
            elif known is None or (not known.source and here.source):
                fixed[at] = here
            joined.setdefault(at, []).append(pole)
        if ends is None:
            return fixed, None
        hot = {p.supply for at in unlikes for p in joined[at] if p.phasor != 0}
        return fixed, Short(closed_path(self.circuit, is_closed, ends[0], [ends[1]]), frozenset(hot))

    def _parts(
        self,
        node: tuple[int, ...],
        fixed: Fixed,
        ends: dict[str, tuple[int, int]],
        coils_in: frozenset[str],
    ) -> tuple[tuple[Placed, ...], dict[str, int]]:
        """What hangs together through impedances and transformers, cut at known potentials."""
        joined = Joined(self.nets.count)
        for a, b in ends.values():
            if a not in fixed and b not in fixed:
                joined.join(a, b)
        core_ends = {
            c.id: [(node[self.nets.of[a]], node[self.nets.of[b]]) for a, b, _ in c.windings]
            for c in self.secondaries.cores
        }
        loose = {i: [n for pair in pairs for n in pair if n not in fixed] for i, pairs in core_ends.items()}
        for nodes in loose.values():
            for n in nodes[1:]:
                joined.join(nodes[0], n)
        groups: dict[tuple[str, int | str], tuple[list[str], list[str]]] = {}
        for i, (a, b) in ends.items():
            free = a if a not in fixed else b if b not in fixed else None
            key = ("at", joined.find(free)) if free is not None else ("alone", i)
            groups.setdefault(key, ([], []))[0].append(i)
        for i, nodes in loose.items():
            if nodes:
                groups.setdefault(("at", joined.find(nodes[0])), ([], []))[1].append(i)
        placed: list[Placed] = []
        part_of: dict[str, int] = {}
        for branches, inner in groups.values():
            for i in (*branches, *inner):
                part_of[i] = len(placed)
            placed.append(self._place(branches, inner, ends, core_ends, fixed, coils_in))
        return tuple(placed), part_of

    def _place(
        self,
        branches: list[str],
        cores: list[str],
        ends: dict[str, tuple[int, int]],
        core_ends: dict[str, list[tuple[int, int]]],
        fixed: Fixed,
        coils_in: frozenset[str],
    ) -> Placed:
        local: dict[int, int] = {}

        def at(n: int) -> int:
            return local.setdefault(n, len(local))

        rows = tuple((i, at(ends[i][0]), at(ends[i][1]), i in coils_in) for i in branches)
        inner = tuple((i, tuple((at(a), at(b)) for a, b in core_ends[i])) for i in cores)
        known = tuple((k, fixed[n]) for n, k in local.items() if n in fixed)
        part = Part(rows, inner, known, len(local))
        return Placed(part, tuple(local), (branches + cores)[0])
