"""What a protection that the change brings does by itself: the switches of its quantity placed by hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from wirecheck.checks.plainly import case
from wirecheck.checks.source import Source
from wirecheck.engine.answers import OFF, UNKNOWN
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.question import At, Not, every, some, word
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.elements import Input
    from wirecheck.circuit.graph import Circuit


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


@dataclass(frozen=True, slots=True)
class ByHand:
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
    for load in circuit.loads if source.exists(tripped) else ():
        off, unknown = word("after", load, {OFF}), word("after", load, {UNKNOWN})
        works = Not(some(off, unknown))
        if source.exists(every(tripped, works)):
            continue
        if not source.exists(every(tripped, unknown)) and source.exists(every(Not(tripped), works)):
            good.append(load)
        elif source.exists(every(Not(tripped), Not(off))):
            doubtful = True
            joints = (next(source.where(every(q, unknown)), None) for q in (tripped, Not(tripped)))
            whys = (case(source.explorer, j).after.why.get(load, ()) for j in joints if j is not None)
            fields |= dict.fromkeys(f for why in whys for f in why)
    pair.after.sensitive.update(source.sensitive)
    return ByHand(tuple(good), doubtful, tuple(fields))
