"""Mistakes made with devices: bridged, turned round, of another kind; and insulation rubbed through."""

from __future__ import annotations

import re
from itertools import combinations
from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.circuit import bound
from wirecheck.circuit.elements import (
    ByCoil,
    ByPosition,
    Capacitor,
    Coil,
    Conductor,
    Estimate,
    Link,
    VoltLoad,
)
from wirecheck.questions.mistakes import places
from wirecheck.questions.mistakes.mistake import Put

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.bound import Bound, BoundSentence
    from wirecheck.circuit.elements import Input
    from wirecheck.questions.mistakes.bench import Bench
    from wirecheck.questions.mistakes.mistake import Mistake

# Coil volts in ordinary use; a coil of up to 30 V could be taken for one of line volts, and the reverse.
# Common practice, no source.
COIL_VOLTS = (24.0, 120.0, 240.0)
LOW_VOLTS = 30.0


def bridged(bench: Bench, everywhere: bool) -> Iterator[Mistake | None]:
    """A jumper left across each way of a new device, and across each protection beside which hands were.

    everywhere: across every protection of the unit.
    """
    near = {bench.nets.root(e.node) for e in bench.ends}
    guards = {
        i.device
        for i in bench.right.inputs.values()
        if i.tripped is not None
        and (everywhere or near & {bench.nets.root(t) for t in bench.right.devices[i.device].terminals})
    }
    for tag in bench.right.devices:
        if tag not in bench.brought and tag not in guards:
            continue
        kind = "bridged" if tag in bench.brought else "protection bridged"
        for a, b in places.ways(bench.right, tag):
            if {a, b} <= places.used(bench.right):
                jumper = Conductor("jumper", a, b)
                step = places.step_of_device(bench.changed, tag)
                words = f"a jumper left from {a} to {b}"
                yield bench.make(kind, f"{a} to {b}", step, words, Put(more=(jumper,)))


def put_across(bench: Bench) -> Iterator[Mistake | None]:
    """A device meant to be in line put across a neighbouring contact, the conductor left where it was."""
    for lift in bench.lifted:
        for far in dict.fromkeys(places.across(bench.changed.before, lift.at)):
            if far in bench.right.terminals:
                jumper = Conductor("across", lift.end.node, far)
                put = Put({lift.end.key: lift.at}, more=(jumper,))
                words = (
                    f"{lift.end.wire} left on {lift.at}, and what belongs in line with it put across to {far}"
                )
                yield bench.make("put across", f"{lift.end.wire}, {lift.at} to {far}", lift.step, words, put)


def ways_exchanged(bench: Bench) -> Iterator[Mistake | None]:
    """All conductors on two terminals of a new device exchanged."""
    for tag in bench.brought:
        wired = [t for t in bench.right.devices[tag].terminals if t in places.used(bench.right)]
        spare = [t for t in bench.right.devices[tag].terminals if t not in wired]
        pairs = [*combinations(wired, 2), *((a, b) for a in wired for b in spare)]
        for a, b in pairs:
            words = f"everything for {a} on {b}" + (f" and for {b} on {a}" if b in wired else "")
            kind = (
                "other contact of the changeover"
                if places.counterpart(bench.right, a, b)
                else "ways exchanged"
            )
            step = places.step_of_device(bench.changed, tag)
            yield bench.make(kind, f"{a} and {b}", step, words, _swapped(bench, {a: b, b: a}))


def capacitors_exchanged(bench: Bench) -> Iterator[Mistake | None]:
    """A capacitor that the change brings, and another one, each in the other's place."""
    alone = {
        tag: d.terminals
        for tag, d in bench.right.devices.items()
        if len(d.elements) == 1 and isinstance(bench.right.elements[d.elements[0]], Capacitor)
    }
    for one, other in combinations(alone, 2):
        if {one, other} & set(bench.brought):
            (a, b), (c, d) = alone[one], alone[other]
            words = f"{one} and {other} in each other's place"
            put = _swapped(bench, {a: c, c: a, b: d, d: b})
            step = places.step_of_device(bench.changed, one if one in bench.brought else other)
            yield bench.make("capacitors exchanged", f"{one} and {other}", step, words, put)


def _swapped(bench: Bench, to: dict[str, str]) -> Put:
    wires = bench.right.conductors.values()
    return Put({(w.id, s): to[getattr(w, s)] for w in wires for s in places.SIDES if getattr(w, s) in to})


def other_sense(bench: Bench) -> Iterator[Mistake | None]:
    """A new device whose contacts close where they should open."""
    for tag in bench.brought:
        movers = {c.mover for c in places.same_contacts(bench.right, tag)}
        for mover in sorted(movers, key=str):
            name = mover.input if isinstance(mover, ByPosition) else mover.coil
            switch = bench.right.inputs.get(name)
            if switch is not None and (switch.opened_only_by_name or switch.lever):
                continue  # inside a motor, or a lever that shows where it stands
            words = f"{tag} is one whose contacts stand the other way: closed where they should be open"
            put = _turned(bench, tag, mover, switch)
            step = places.step_of_device(bench.changed, tag)
            yield bench.make("other sense", name, step, words, put)


def _turned(bench: Bench, tag: str, mover: ByCoil | ByPosition, switch: Input | None) -> Put:
    contacts = {
        c.id: replace(c, rests_closed=not c.rests_closed)
        for c in places.same_contacts(bench.right, tag)
        if c.mover == mover
    }
    if switch is None:
        return Put(elements=contacts)
    other = replace(
        switch, words=(switch.words[1], switch.words[0]) if "open" in switch.words else switch.words
    )
    expects = tuple(_reworded(s, switch.name) for s in bench.right.expects)
    return Put(elements=contacts, inputs={switch.name: other}, expects=expects)


def _reworded(sentence: BoundSentence, name: str) -> BoundSentence:
    """A sentence that says open or closed of a switch means its contact: now the other position."""
    if not re.search(rf"(?<![\w.-]){re.escape(name)} +(open|closed)\b", sentence.text):
        return sentence
    until = None if sentence.until is None else _other(sentence.until, name)
    return replace(sentence, condition=_other(sentence.condition, name), until=until)


def _other(condition: Bound, name: str) -> Bound:
    match condition:
        case bound.Not(part):
            return bound.Not(_other(part, name))
        case bound.And(parts):
            return bound.And(tuple(_other(p, name) for p in parts))
        case bound.Or(parts):
            return bound.Or(tuple(_other(p, name) for p in parts))
        case bound.InputIs(said, moved) if said == name:
            return bound.InputIs(said, not moved)
        case _:
            return condition


def coil_volts(bench: Bench) -> Iterator[Mistake | None]:
    """A new device whose coil is made for other volts."""
    for tag in bench.brought:
        coils = [
            e for i in bench.right.devices[tag].elements if isinstance(e := bench.right.elements[i], Coil)
        ]
        for coil in coils:
            volts = coil.volts.nominal if isinstance(coil.volts, Estimate) else coil.volts
            for other in COIL_VOLTS if coil.ohms is None else ():
                if (other > LOW_VOLTS) != (volts > LOW_VOLTS):
                    words = f"{tag} has a coil for {other:g} V instead of {volts:g} V"
                    loads = {
                        n: replace(x, volts=other)
                        for n, x in bench.right.loads.items()
                        if isinstance(x, VoltLoad) and x.element == coil.id
                    }
                    put = Put(elements={coil.id: replace(coil, volts=other)}, loads=loads)
                    step = places.step_of_device(bench.changed, tag)
                    yield bench.make("other coil volts", f"{coil.id} {other:g} V", step, words, put)


def bar_for_pole(bench: Bench) -> Iterator[Mistake | None]:
    """A new contactor of one pole less: a bar where a contact should open."""
    for tag in bench.brought:
        contacts = [c for c in places.same_contacts(bench.right, tag) if isinstance(c.mover, ByCoil)]
        for c in contacts:
            alike = [o for o in contacts if o.mover == c.mover and o.rests_closed == c.rests_closed]
            if len(alike) > 1 and {c.a, c.b} <= places.used(bench.right):
                words = f"{tag} is one with a bar from {c.a} to {c.b} in place of a contact"
                relays = {
                    n: replace(r, contacts=tuple(i for i in r.contacts if i != c.id))
                    for n, r in bench.right.relays.items()
                    if c.id in r.contacts
                }
                put = Put(elements={c.id: Link(c.id, c.device, c.a, c.b)}, relays=relays)
                step = places.step_of_device(bench.changed, tag)
                yield bench.make("bar for a pole", f"{c.a} to {c.b}", step, words, put)


def wrong_port(bench: Bench) -> Iterator[Mistake | None]:
    """A new switch screwed where another quantity of the same kind is felt."""
    for tag in bench.brought:
        for name in bench.right.devices[tag].inputs:
            switch = bench.right.inputs[name]
            points = switch.set_points
            own = bench.right.quantities.get(points.quantity) if points is not None else None
            for other in bench.right.quantities.values():
                if (
                    points is not None
                    and own is not None
                    and other.name != own.name
                    and other.unit == own.unit
                ):
                    felt = replace(switch, set_points=replace(points, quantity=other.name))
                    words = f"{name} feels {other.name}, not {own.name}"
                    step = places.step_of_device(bench.changed, tag)
                    put = Put(inputs={name: felt})
                    yield bench.make("on the wrong port", f"{name} on {other.name}", step, words, put)


def earthed(bench: Bench) -> Iterator[Mistake | None]:
    """Each conductor of the change rubbed through and touching earth."""
    pole = next((t for t in bench.right.poles if t in bench.right.earth), None)
    steps = {w: s.number for s in bench.changed.steps for w in s.wires}
    for wire in places.wires_of(bench.changed) if pole is not None else ():
        if bench.alike(wire.a, str(pole)):
            continue
        touch = Conductor(f"touch {wire.id}", wire.a, str(pole))
        words = f"{wire.id} rubbed through, touching earth"
        yield bench.make("touches earth", wire.id, steps[wire.id], words, Put(more=(touch,)))
