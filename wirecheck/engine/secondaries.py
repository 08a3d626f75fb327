"""Transformers whose primary stands on known potentials: their secondary is known too, or shorted.

Ideal (engine.md section 2): every winding has the same volts per turn φ.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Transformer
from wirecheck.engine import figures
from wirecheck.engine.answers import Potential, Short
from wirecheck.engine.nets import closed_path
from wirecheck.engine.network import apart, unlike

if TYPE_CHECKING:
    from collections.abc import Callable

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.nets import Nets
    from wirecheck.engine.network import Fixed


class Secondaries:
    """The transformers of one circuit, in the networks of it. `node[net]`: where a net stands in one of them.

    ends: the nets at the ends of each impedance.
    """

    def __init__(self, circuit: Circuit, nets: Nets, ends: dict[str, tuple[int, int]]) -> None:
        self.circuit, self.nets, self.ends = circuit, nets, ends
        self.cores = [e for e in circuit.elements.values() if isinstance(e, Transformer)]

    def hold(self, node: tuple[int, ...], fixed: Fixed, is_closed: Callable[[str], bool]) -> Short | None:
        """Where a primary stands on known potentials its secondary is known too: as good as poles.

        Not so where an impedance ties an unearthed secondary to another known potential: that is solved
        whole.
        """
        left = list(self.cores)
        progress = True
        while progress:
            progress = False
            for core in list(left):
                phi = self._volts_per_turn(core, node, fixed)
                if phi is None:
                    continue
                left.remove(core)
                progress = True
                short = self._hold(core, phi, node, fixed, is_closed)
                if short is not None:
                    return short
        return None

    def _volts_per_turn(self, core: Transformer, node: tuple[int, ...], fixed: Fixed) -> complex | None:
        """φ where a winding but the secondary stands on known potentials of one reference."""
        for a, b, turns in core.windings[:-1]:
            one, other = fixed.get(node[self.nets.of[a]]), fixed.get(node[self.nets.of[b]])
            if one is None or other is None or one.ref != other.ref or apart(one, other):
                continue
            return (one.volts - other.volts) / turns
        return None

    def _hold(
        self,
        core: Transformer,
        phi: complex,
        node: tuple[int, ...],
        fixed: Fixed,
        is_closed: Callable[[str], bool],
    ) -> Short | None:
        """Write what φ says of each winding's ends into `fixed`; the short where it contradicts."""
        for a, b, turns in core.windings:
            na, nb = node[self.nets.of[a]], node[self.nets.of[b]]
            known_a, known_b = fixed.get(na), fixed.get(nb)
            rise = turns * phi
            source = self._source_of(core, node, fixed)
            if known_a is not None and known_b is not None:
                here = Potential(known_b.ref, known_b.volts + rise, known_a.source)
                if known_a.ref == known_b.ref and unlike(known_a, here):
                    return self._short(core, a, b, node, is_closed)
                continue
            if na == nb:
                if abs(rise) > figures.SLACK:
                    return self._short(core, a, b, node, is_closed)
                continue
            if known_b is not None:
                fixed[na] = Potential(known_b.ref, known_b.volts + rise, source)
            elif known_a is not None:
                fixed[nb] = Potential(known_a.ref, known_a.volts - rise, source)
            elif self._stands_alone(core, na, nb, node, fixed):
                fixed[nb] = Potential(f"~{core.id}", 0j, source)
                fixed[na] = Potential(f"~{core.id}", rise, source)
        return None

    def _source_of(self, core: Transformer, node: tuple[int, ...], fixed: Fixed) -> str:
        for a, b, _ in core.windings[:-1]:
            for terminal in (a, b):
                known = fixed.get(node[self.nets.of[terminal]])
                if known is not None and known.source:
                    return known.source
        return ""

    def _stands_alone(self, core: Transformer, na: int, nb: int, node: tuple[int, ...], fixed: Fixed) -> bool:
        """Does nothing but its own loads hang on this secondary?"""
        near: dict[int, set[int]] = {}
        for a, b in self.ends.values():
            near.setdefault(node[a], set()).add(node[b])
            near.setdefault(node[b], set()).add(node[a])
        others = {
            node[self.nets.of[t]]
            for c in self.cores
            for k, (a, b, _) in enumerate(c.windings)
            if not (c is core and k == len(c.windings) - 1)
            for t in (a, b)
        }
        seen, queue = {na, nb}, [na, nb]
        for at in queue:
            if at in fixed or at in others:
                return False
            for to in near.get(at, ()):
                if to not in seen:
                    seen.add(to)
                    queue.append(to)
        return True

    # --- shorts ------------------------------------------------------------------------------------

    def _short(
        self, core: Transformer, a: str, b: str, node: tuple[int, ...], is_closed: Callable[[str], bool]
    ) -> Short:
        """A secondary whose two ends are joined, or forced to another voltage than it gives."""
        goals = [b]
        if node[self.nets.of[a]] != node[self.nets.of[b]]:
            goals = [t for t in self.nets.of if t != a and (t in self.circuit.poles or self._is_end(t))]
        path = closed_path(self.circuit, is_closed, a, goals)
        return Short(path or (a, b), self._supplies_behind(core, node))

    def forced(self, core: Transformer, node: tuple[int, ...]) -> Short:
        """The short of an ideal winding that is forced in a part: the way from its one end to its other."""
        of = self.nets.of
        a, b, _ = core.windings[-1]
        goals = [b]
        if node[of[a]] != node[of[b]]:
            device = core.id.partition(".")[0]
            goals = [t for t in of if t != a and self._is_end(t) and t.partition(".")[0] != device]
        shut = {c.id for c in self.circuit.contacts.values() if node[of[c.a]] == node[of[c.b]]}
        path = closed_path(self.circuit, shut.__contains__, a, goals)
        return Short(path or (a, b), self._supplies_behind(core, node))

    def _is_end(self, terminal: str) -> bool:
        return any(terminal in (a, b) for c in self.cores for a, b, _ in c.windings)

    def _supplies_behind(self, core: Transformer, node: tuple[int, ...]) -> frozenset[str]:
        """The supplies that hang together with this transformer's windings, but not through earth."""
        of = self.nets.of
        earth = {node[of[t]] for t in self.circuit.earth}
        near: dict[int, set[int]] = {}
        edges = [(node[a], node[b]) for a, b in self.ends.values()]
        for c in self.cores:
            ends = [node[of[t]] for a, b, _ in c.windings for t in (a, b)]
            edges += combinations(ends, 2)  # each end passes on what reaches another, though one be cut
        for a, b in edges:
            near.setdefault(a, set()).add(b)
            near.setdefault(b, set()).add(a)
        poles = {node[of[t]] for t in self.circuit.poles}
        queue = list({node[of[t]] for a, b, _ in core.windings for t in (a, b)})
        seen = set(queue)
        for at in queue:
            if at not in earth and at not in poles:
                new = near.get(at, set()) - seen
                seen |= new
                queue.extend(new)
        hot = (p for p in self.circuit.poles.values() if p.phasor != 0)
        return frozenset(p.supply for p in hot if node[of[p.terminal]] in seen)
