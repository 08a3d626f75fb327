"""What a protection that the change brings does by itself: the switches of its quantity placed by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.checks.case import Case
from wirecheck.checks.kept import kept, kept_in_both, off, unsure, works
from wirecheck.checks.source import Source
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.question import At, Not, every, some
from wirecheck.engine.variables import pairs_of_inputs
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.elements import Input
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.question import Question


def freed(circuit: Circuit, p: Input) -> Circuit:
    """The circuit with every switch of P's quantity moved by hand instead of by the quantity."""
    if p.set_points is None:
        return circuit
    quantity = p.set_points.quantity
    inputs = {
        n: replace(i, set_points=None)
        if i.set_points is not None and i.set_points.quantity == quantity
        else i
        for n, i in circuit.inputs.items()
    }
    return replace(circuit, inputs=inputs)


def held_untripped(circuit: Circuit, p: Input) -> dict[str, bool]:
    """The other protections of the same quantity, held untripped."""
    if p.set_points is None:
        return {}
    return {
        n: not i.tripped
        for n, i in circuit.inputs.items()
        if n != p.name
        and i.tripped is not None
        and i.set_points is not None
        and i.set_points.quantity == p.set_points.quantity
    }


class ByHand(Struct, frozen=True):
    """The loads that are off wherever P is tripped and not off elsewhere; may there be more of them?

    fields: those that would decide it.
    """

    loads: tuple[str, ...]
    doubtful: bool
    fields: tuple[str, ...]


def by_hand(pair: Pair, p: Input) -> ByHand:
    """What P keeps off with the switches of its quantity placed by hand, the other protections untripped."""
    circuit = freed(pair.changed.after, p)
    world = World(circuit, held=held_untripped(pair.changed.after, p), named=[p.name])
    source = Source(world, Plain(circuit, pair.after.scenario), None, pair.plain)
    tripped = At("after", p.name, bool(p.tripped))
    good, doubtful, fields = [], False, dict[str, None]()
    for load in kept(circuit) if source.exists(tripped) else ():
        runs, unknown = works(circuit, "after", load), unsure(circuit, "after", load)
        if source.exists(every(tripped, runs)):
            continue
        if not source.exists(every(tripped, unknown)) and source.exists(every(Not(tripped), runs)):
            good.append(load)
        elif source.exists(every(Not(tripped), some(runs, unknown))):
            doubtful = True
            joints = (next(source.where(every(q, unknown)), None) for q in (tripped, Not(tripped)))
            whys = (Case(j, source.explorer).after.why.get(load, ()) for j in joints if j is not None)
            fields |= dict.fromkeys(f for why in whys for f in why)
    pair.after.sensitive.update(source.sensitive)
    return ByHand(tuple(good), doubtful, tuple(fields))


def lost_by_hand(pair: Pair, p: Input) -> tuple[str, ...]:
    """The loads of the unit (named as after) that P kept off by hand and has no influence on any more.

    A switch of the same quantity may hide it: it opens first, so no value of the quantity shows the loss. A
    protection is there for the day on which that switch sticks.
    """
    if p.set_points is None or p.tripped is None or not shared(pair, p):
        return ()
    names = {old: new for new, old in pairs_of_inputs(*_circuits(pair), pair.changed.replaced).items()}
    before = Placed(pair, pair.changed.before, p, p.tripped)
    now = pair.changed.after.inputs.get(names.get(p.name, ""))
    after = None
    if now is not None:
        word_tripped = p.words[p.tripped]
        moved = now.words.index(word_tripped) == 1 if word_tripped in now.words else p.tripped
        after = Placed(pair, pair.changed.after, now, moved)
    return tuple(
        new
        for old, new in kept_in_both(pair)
        if before.keeps_off(old) and (after is None or not after.decides(new))
    )


def shared(pair: Pair, p: Input) -> bool:
    """Does another switch sense P's quantity, before or after?"""
    quantity = p.set_points.quantity if p.set_points is not None else ""
    others = (i for c in _circuits(pair) for i in c.inputs.values() if i.name != p.name)
    return any(i.set_points is not None and i.set_points.quantity == quantity for i in others)


def _circuits(pair: Pair) -> tuple[Circuit, Circuit]:
    return pair.changed.before, pair.changed.after


class Placed:
    """One circuit with the switches of P's quantity placed by hand, its other protections untripped."""

    def __init__(self, pair: Pair, circuit: Circuit, p: Input, moved: bool) -> None:
        """moved: does P stand moved when tripped?"""
        by_hand = freed(circuit, p)
        self.circuit = circuit
        self.world = World(by_hand, held=held_untripped(circuit, p), named=[p.name])
        self.source = Source(self.world, Plain(by_hand, pair.after.scenario), None, pair.plain)
        self.tripped: Question = At("after", p.name, moved)
        self.others = tuple(k for k, v in enumerate(self.world.variables) if v.name != p.name)

    def keeps_off(self, load: str) -> bool:
        """Is a load off wherever P is tripped, and not off somewhere else?"""
        if self.source.exists(every(self.tripped, Not(off(self.circuit, "after", load)))):
            return False
        return self.source.exists(every(Not(self.tripped), works(self.circuit, "after", load)))

    def decides(self, load: str) -> bool:
        """Is there a position of all else in which a load works with P untripped and not with P tripped?"""
        runs = works(self.circuit, "after", load)
        free = self.source.positions(every(Not(self.tripped), runs), self.others)
        return not free or not free <= self.source.positions(every(self.tripped, runs), self.others)
