"""What a protection that the change brings does by itself: the switches of its quantity placed by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from wirecheck.engine.answers import OFF, UNKNOWN
from wirecheck.engine.plain.explore import Explorer
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


def by_hand(pair: Pair, p: Input) -> tuple[list[str], tuple[str, ...]]:
    """The loads that are off wherever P is tripped and not off somewhere else; and fields that leave doubt."""
    circuit = freed(pair.changed.after, p)
    world = World(circuit, held=held_untripped(pair.changed.after, p), named=[p.name])
    unit = type(pair.after)(circuit, pair.after.scenario)
    explorer = Explorer(world, unit).run()
    tripped: dict[str, set[str]] = {}
    other: dict[str, set[str]] = {}
    why: dict[str, None] = {}
    for joint in explorer.came:
        words = explorer.words(True, joint.setting, joint.after)
        side = tripped if world.position(circuit, p.name, joint.setting) == p.tripped else other
        for load, word in words.loads.items():
            side.setdefault(load, set()).add(word)
            why |= dict.fromkeys(words.why.get(load, ()))
    pair.after.sensitive.update(unit.sensitive)
    good = [n for n, words in tripped.items() if words == {OFF} and other.get(n, set()) - {OFF, UNKNOWN}]
    doubtful = [n for n, words in tripped.items() if words <= {OFF, UNKNOWN} and other.get(n, set()) - {OFF}]
    return good, tuple(why) if doubtful else ()
