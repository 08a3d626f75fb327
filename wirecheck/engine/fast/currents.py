"""Which elements, conductors and contacts carry current, as vectors: `engine/flow.py` all at once.

Says so only where the currents of one side cannot cancel: where all of them lie on one side of a line through
zero. Else, and where numbers decide beyond single elements, it raises NotHere: then ask a state at a time.
"""

from __future__ import annotations

import cmath
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Coil
from wirecheck.engine import figures
from wirecheck.engine.fast.limits import NotHere
from wirecheck.engine.fast.table import FALSE
from wirecheck.engine.flow import COUNTS, COUNTS_VA, Flow
from wirecheck.engine.network import apart
from wirecheck.engine.solve import ohms

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.circuit.elements import Impedance, Transformer
    from wirecheck.engine.fast.frame import Frame
    from wirecheck.engine.fast.rings import Phasor, Rings
    from wirecheck.engine.solver import View

STRAIGHT = 0.999  # cosine from which two directions are one


@dataclass
class Ends:
    """What comes out of elements at each terminal: where, and every phasor that it has somewhere, A."""

    where: dict[str, int] = field(default_factory=dict)
    phasors: dict[str, set[Phasor]] = field(default_factory=dict)

    def add(self, a: str, b: str, current: complex, where: int, lags: bool = False) -> None:
        """Of an element from a to b. lags: up to a quarter turn to either side, as of what takes power."""
        for terminal, out in ((a, -current), (b, current)):
            self.where[terminal] = self.where.get(terminal, 0) | where
            self.phasors.setdefault(terminal, set()).add((out, lags))


class Currents:
    """Where everything of one circuit carries current, in one frame. Raises NotHere."""

    def __init__(self, frame: Frame, flow: Flow, rings: Rings) -> None:
        self.frame, self.unit, self.flow, self.rings = frame, frame.unit, flow, rings
        self.plain, self.clear = frame.unit.plain, frame.clear()
        self.ends = Ends()
        self.found: dict[str, int] = {}
        self.closed = {c: frame.value(n) & self.clear for c, n in self.unit.nets.literals.items()}
        for i, z in self.plain.impedances.items():
            self._impedance(i, z)
        self._transformers()
        self._wiring()

    # --- impedances --------------------------------------------------------------------------------

    def _impedance(self, element: str, z: Impedance) -> None:
        net, known = self.unit.nets.net, self.unit.known
        least = COUNTS * self.flow.designed[element]
        for one, at_a in known.at[net(z.a)].items():
            for other, at_b in known.at[net(z.b)].items():
                where = self.frame.value(at_a) & self.frame.value(at_b) & self.clear
                if not where or one.ref != other.ref:
                    continue
                if apart(one, other):
                    raise NotHere("two supplies that nothing puts in step")
                for is_in, here in self._positions(element, z, where):
                    amps = (one.volts - other.volts) / ohms(
                        z, is_in, self.plain.circuit.hertz, self.plain.scenario
                    )
                    if abs(amps) >= least > 0:
                        self._carries(element, z, amps, here)
        asks = self.unit.floating.asks
        ask = self.frame.value(asks.get(net(z.a), FALSE)) | self.frame.value(asks.get(net(z.b), FALSE))
        if ask & self.clear:
            self._asked(element, z, ask & self.clear)

    def _positions(self, element: str, z: Impedance, where: int) -> Iterable[tuple[bool, int]]:
        """A coil in and out -> where; all else has one impedance."""
        if not isinstance(z, Coil) or element not in self.plain.coils:
            return ((False, where),)
        there = self.frame.coil(element)
        return ((True, where & there), (False, where & (there ^ self.frame.ones)))

    def _carries(self, element: str, z: Impedance, amps: complex, where: int) -> None:
        if where:
            self.found[element] = self.found.get(element, 0) | where
            self.ends.add(z.a, z.b, amps, where)

    def _asked(self, element: str, z: Impedance, ask: int) -> None:
        """Where the part is solved: does it count, does something in its part, its current."""

        def answer(view: View) -> tuple[object, ...]:
            part = view.network.part_of.get(element)
            if part is None:
                return False, False, 0j
            if view.network.parts[part].part.cores:
                raise NotHere("a transformer within a part that is solved")
            amps = view.solution(part, self.plain.scenario).amps
            counting = {i for i, a in amps.items() if abs(a) >= COUNTS * self.flow.designed[i] > 0}
            here = amps[element]
            return element in counting, bool(counting), complex(round(here.real, 9), round(here.imag, 9))

        seen = self.frame.asker.seen(self.frame, ("current", element), ask, answer, element)
        for (counts, some, amps), where in seen.items():
            if counts:
                self.found[element] = self.found.get(element, 0) | where
            if some:
                self.ends.add(z.a, z.b, amps, where)

    # --- transformers ------------------------------------------------------------------------------

    def _transformers(self) -> None:
        """Each draws on its primary where something draws on its secondary; those farthest down first."""
        left = list(self.plain.transformers.values())
        while left:
            waits = {self.rings.piece(t) for c in left for a, b, _ in c.windings[:-1] for t in (a, b)}
            core = next((c for c in left if self.rings.piece(self._alone_at(c)) not in waits), None)
            if core is None:
                raise NotHere("transformers that feed each other")
            left.remove(core)
            self._transformer(core)

    def _alone_at(self, core: Transformer) -> str:
        """The end of a secondary at which nothing else feeds, with every contact closed."""
        circuit = self.plain.circuit
        others = {t for c in self.plain.transformers.values() if c is not core for t in c.secondary}
        sources = {self.rings.piece(t) for t in (*circuit.poles, *others)}
        for end, other in (core.secondary, core.secondary[::-1]):
            if self.rings.piece(end) not in {*sources, self.rings.piece(other)}:
                return end
        raise NotHere("a secondary that something else feeds too")

    def _transformer(self, core: Transformer) -> None:
        value, net = self.frame.value, self.unit.nets.net
        ends = {net(t) for a, b, _ in core.windings for t in (a, b)}
        floats = 0
        for n in ends:
            floats |= value(self.unit.floating.floats[n])
        if floats & value(self.unit.floating.driven[core.id]) & self.clear:
            raise NotHere("a transformer within a part that is solved")
        end = self._alone_at(core)
        drawn = self._drawn(core, end)
        if not drawn:
            return
        self.found[core.id] = drawn
        first, last = core.secondary
        for phasor, lags in self.rings.beyond(end, self.ends.phasors):
            self.ends.add(first, last, phasor if end == first else -phasor, drawn, lags)
        fed = 0
        for a, b, _ in core.windings[:-1]:
            for volts, where in self._across(core, a, b).items():
                if where & fed:
                    raise NotHere("two primaries fed at once")
                if here := where & drawn:
                    fed |= where
                    self.ends.add(a, b, volts / abs(volts), here, lags=True)

    def _drawn(self, core: Transformer, end: str) -> int:
        """Where something draws on a secondary; each thing that may has to be enough by itself."""
        phasors = self.rings.beyond(end, self.ends.phasors)
        least = COUNTS * core.va if core.va is not None else COUNTS_VA
        if any(not lags and abs(p * core.windings[-1][2]) < least for p, lags in phasors):
            raise NotHere("a current that may be too small for its transformer to count")
        if not one_sided(phasors):
            raise NotHere("currents of a secondary that may cancel")
        return self.rings.reached(end, self.ends.where, self.closed)

    def _across(self, core: Transformer, a: str, b: str) -> dict[complex, int]:
        """Volts across a winding that something else feeds -> where."""
        net, at = self.unit.nets.net, self.unit.known.at
        fed = self._on_a_source(a, core) & self._on_a_source(b, core)
        found: dict[complex, int] = {}
        for one, here in at[net(a)].items():
            for other, there in at[net(b)].items():
                volts = one.volts - other.volts
                where = self.frame.value(here) & self.frame.value(there) & self.clear
                if where and one.ref == other.ref and abs(volts) > figures.SLACK:
                    found[volts] = found.get(volts, 0) | where & fed
        return found

    def _on_a_source(self, terminal: str, core: Transformer) -> int:
        """Where a terminal is joined to a pole or to another transformer's secondary."""
        net, row = self.unit.nets.net(terminal), self.unit.known.joined
        others = (t for c in self.plain.transformers.values() if c is not core for t in c.secondary)
        found = 0
        for source in {*self.unit.nets.poles, *(self.unit.nets.net(t) for t in others)}:
            found |= self.frame.ones if source == net else self.frame.value(row[net].get(source, FALSE))
        return found

    # --- what has no impedance ------------------------------------------------------------------------

    def _wiring(self) -> None:
        """Poles balance what they reach; then every conductor and closed contact."""
        there = {s: self.rings.reached(s, self.ends.where, self.closed) for s in self.rings.sources}
        for source, where in there.items():
            self.ends.where[source] = self.ends.where.get(source, 0) | where
        if not self.rings.never_cancel(self.ends.phasors, one_sided):
            raise NotHere("currents that may cancel")
        self.found |= self.rings.carrying(self.ends.where, self.closed, self.clear)


def one_sided(phasors: Iterable[Phasor]) -> bool:
    """Do all these lie on one side of a line through zero, so that no sum of them is zero?"""
    every = [(p / abs(p), lags) for p, lags in phasors if abs(p) > figures.SLACK]
    if not every:
        return True
    across = next((p for p, lags in every if lags), None) or _middle([p for p, _ in every])
    return all(_beside(p, lags, across) for p, lags in every)


def _middle(phasors: list[complex]) -> complex:
    """The direction in the middle of these: opposite to the middle of the widest gap between them."""
    turns = sorted(cmath.phase(p) for p in phasors)
    gaps = [(b - a, (a + b) / 2) for a, b in pairwise([*turns, turns[0] + 2 * cmath.pi])]
    return -cmath.rect(1.0, max(gaps)[1])


def _beside(p: complex, lags: bool, across: complex) -> bool:
    return (p * across.conjugate()).real > (STRAIGHT if lags else figures.SLACK)
