"""One compiled circuit: its program, and which of its relays have to be followed through every order.

`tracked` are the coils in rings, with a delay or with memory of their own, and all upstream of them: a pulse
in passing can set them. Every other coil is a function of the setting and of the tracked ones (engine.md 4).
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from wirecheck.engine.fast.contract import Movers, contracted
from wirecheck.engine.fast.floating import floating
from wirecheck.engine.fast.potentials import known
from wirecheck.engine.fast.table import FALSE, CoilBit, DelayBit, Table
from wirecheck.engine.fast.words import CoilWants, Judged, LoadWords
from wirecheck.engine.feeds import owners

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.circuit.elements import Estimate
    from wirecheck.engine.fast.space import Space
    from wirecheck.engine.solver import Solver


@dataclass
class Unit:
    """A circuit as a program. `side`: "before" or "after"; `plain`: its networks, a position at a time."""

    side: str
    table: Table
    space: Space
    plain: Solver
    dead: frozenset[str] = frozenset()  # supplies that a short has put out

    def __post_init__(self) -> None:
        self.movers = Movers(self.table, self.space, self.plain, self.side)
        self.nets = contracted(self.movers)
        self.known = known(self.table, self.plain, self.nets, self.dead)
        self.floating = floating(self.table, self.plain, self.nets, self.known)
        judged = Judged(self.table, self.plain, self.nets, self.known, self.floating)
        self.loads: dict[str, LoadWords] = {n: judged.load(x) for n, x in self.plain.circuit.loads.items()}
        self.judged_coils: dict[str, LoadWords] = {}  # those that were asked for
        self.coils: dict[str, CoilWants] = {i: judged.coil(i) for i in self.plain.coils}
        self.forced = {c: self._forced(c) for c in self.plain.transformers}
        self.many_sources = len({p.supply for p in self.plain.circuit.poles.values() if p.phasor != 0}) > 1
        self.tracked: frozenset[str] = frozenset()
        self.track(self.read_by_shorts())

    def coil_word(self, relay: str) -> LoadWords:
        """A relay's coil, judged by its volts like a load."""
        if relay not in self.judged_coils:
            judged = Judged(self.table, self.plain, self.nets, self.known, self.floating)
            self.judged_coils[relay] = judged.load(self.plain.circuit.coil_loads[relay])
        return self.judged_coils[relay]

    @cached_property
    def owners(self) -> dict[str, tuple[str, ...]]:
        """Name of each load, relay and other coil -> its elements."""
        return owners(self.plain.circuit)

    def without(self, dead: frozenset[str]) -> Unit:
        """The same circuit with these supplies put out."""
        return Unit(self.side, self.table, self.space, self.plain, self.dead | dead)

    def following(self, coils: Iterable[str]) -> Unit:
        """The same circuit with these coils followed too."""
        found = copy(self)
        found.track(coils)
        return found

    def means_the_same(self, other: Unit) -> bool:
        """Has each node that both units share the same value in the same state?"""
        mine, theirs = self.plain, other.plain
        return (
            self.table is other.table
            and self.side == other.side
            and self.alias == other.alias
            and tuple(mine.coils) == tuple(theirs.coils)
            and tuple(mine.circuit.delays) == tuple(theirs.circuit.delays)
        )

    def moves_like(self, other: Unit) -> bool:
        """Do the coils of both want the same in every state, and is neither ever shorted?"""
        mine, theirs = ({i: (w.pull, w.keep, w.ask) for i, w in unit.coils.items()} for unit in (self, other))
        unshorted = all(
            all(self.table.never(n) for n in unit.known.short.values())
            and self.table.never(unit.known.doubtful)
            and all(n == FALSE for n in unit.forced.values())
            for unit in (self, other)
        )
        return (
            unshorted
            and self.means_the_same(other)
            and mine == theirs
            and all(ask == FALSE for _, _, ask in mine.values())
            and self._relays() == other._relays()
        )

    def _relays(self) -> dict[str, str]:
        return {r.name: r.coil for r in self.plain.circuit.relays.values()}

    def taps(self, load: str) -> list[str]:
        """The names of a motor's taps: BLW.high."""
        return [f"{load}.{t}" for t in getattr(self.plain.circuit.loads[load], "taps", ())]

    def _forced(self, core: str) -> int:
        """Where a transformer stands driven in a part that is solved: its winding may be forced."""
        ends = {self.nets.net(t) for a, b, _ in self.plain.transformers[core].windings for t in (a, b)}
        loose = self.table.any(self.floating.floats[n] for n in ends)
        found = self.table.both(loose, self.floating.driven[core])
        return FALSE if self.table.never(found) else found

    @property
    def doubtful(self) -> Iterable[dict[str, Estimate]]:
        """The estimates on which the wants of coils between known potentials depend."""
        return (w.doubts for w in self.coils.values() if w.doubts)

    # --- which coils are followed ------------------------------------------------------------------

    def track(self, more: Iterable[str]) -> None:
        """Follow these coils too, and all upstream of them."""
        above = {i: self._read(i) for i in self.coils}
        first = {i for i in self.coils if self._remembers(i) or _in_ring(i, above)} | set(more) | self.tracked
        queue = list(first)
        for i in queue:
            new = above[i] - first
            first |= new
            queue.extend(new)
        self.tracked = frozenset(first)
        self.tracked_in_order = tuple(i for i in self.coils if i in first)
        self.alias = {self.movers.coils[i]: self.coils[i].pull for i in self.coils if i not in self.tracked}

    def _remembers(self, coil: str) -> bool:
        """A delay; a range of volts that neither pulls it in nor lets it drop; its own impedance matters."""
        wants = self.coils[coil]
        delayed = any(d.coil == coil for d in self.plain.circuit.delays.values())
        return delayed or wants.pull != wants.keep or wants.ask != FALSE

    def _read(self, coil: str) -> set[str]:
        """The coils on whose position this one's wants depend."""
        wants = self.coils[coil]
        reads = self.table.reads[wants.pull] | self.table.reads[wants.keep] | self.table.reads[wants.ask]
        if wants.ask != FALSE:
            return set(self.coils)
        return self._coils_in(reads)

    def _coils_in(self, reads: int) -> set[str]:
        found = set()
        delays = self.plain.circuit.delays
        for k, name in enumerate(self.table.names):
            if reads >> k & 1 and isinstance(name, CoilBit | DelayBit) and name.side == self.side:
                found.add(name.coil if isinstance(name, CoilBit) else delays[name.delay].coil)
        return found

    def read_by_shorts(self) -> set[str]:
        """The coils on whose position a short depends."""
        reads = self.table.reads[self.known.doubtful]
        for node in (*self.known.short.values(), *self.forced.values()):
            reads |= self.table.reads[node]
        if any(node != FALSE for node in self.forced.values()):
            return set(self.coils)
        return self._coils_in(reads)

    def read_from(self, coils: Iterable[str]) -> set[str]:
        """The coils whose wants depend on these, over others too."""
        found = set(coils)
        above = {i: self._read(i) for i in self.coils}
        while True:
            more = {i for i, read in above.items() if read & found} - found
            if not more:
                return found
            found |= more


def _in_ring(coil: str, above: dict[str, set[str]]) -> bool:
    seen: set[str] = set()
    queue = list(above[coil])
    for i in queue:
        if i == coil:
            return True
        if i not in seen:
            seen.add(i)
            queue.extend(above[i])
    return False
