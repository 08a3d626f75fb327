"""Mistakes made with conductors: the wrong one, the wrong place, none at all."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Capacitor
from wirecheck.questions.lookalikes import same_colour
from wirecheck.questions.mistakes import places
from wirecheck.questions.mistakes.mistake import Ends, Put

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.elements import Conductor
    from wirecheck.questions.mistakes.bench import Bench
    from wirecheck.questions.mistakes.mistake import Mistake
    from wirecheck.questions.mistakes.places import End, Lifted


def other_lifted(bench: Bench) -> Iterator[Mistake | None]:
    """The change made in another conductor: one on the same terminal, or another lead of the same motor."""
    for lift in bench.lifted:
        own = bench.right.conductors[lift.end.wire]
        for wire, side, at in beside_it(bench, lift, own):
            same = "look-alike lifted" if same_colour(own, wire) else "wrong conductor lifted"
            kind = same if at == lift.at else "in the wrong motor lead"
            place = f"off {at}" if at == lift.at else f"off {at}, another lead of the motor,"
            words = f"{wire.id} taken {place} in place of {own.id}{_looks(wire)}"
            put = Put(remade(bench, lift, (wire.id, side), at))
            yield bench.make(kind, f"{wire.id} for {own.id}", lift.step, words, put)


def beside_it(bench: Bench, lift: Lifted, own: Conductor) -> Iterator[tuple[Conductor, str, str]]:
    """Conductors that could be taken for the lifted one: (conductor, its side, the terminal it sits on)."""
    done = {e.key for e in bench.ends}
    motor = next((m for n in (own.a, own.b) if (m := places.motor_of(bench.right, n)) is not None), None)
    leads = bench.right.devices[motor.device].terminals if motor is not None else ()
    at_motor = places.motor_of(bench.changed.before, lift.at) is not None
    for wire in bench.right.conductors.values():
        for side, far in (("a", "b"), ("b", "a")):
            node, beyond = getattr(wire, side), getattr(wire, far)
            free = wire.id != own.id and (wire.id, side) not in done
            if (free and node == lift.at) or (
                free and (node if at_motor else beyond) in leads and not bench.alike(node, lift.at)
            ):
                yield wire, side, node


def remade(bench: Bench, lift: Lifted, other: tuple[str, str], at: str) -> Ends:
    """Where the ends lie when the change is made on another conductor, at the terminal that one sits on."""
    ends: Ends = {lift.end.key: lift.at, other: lift.end.node}
    if at != lift.at:
        ends |= {e.key: at for e in bench.ends if e.node == lift.at and e.key != lift.end.key}
    return ends


def elsewhere(bench: Bench, everywhere: bool) -> Iterator[Mistake | None]:
    """Each end on each terminal beside its own, or on the other side of a string; or left where it was."""
    was = {lift.end.key: lift for lift in bench.lifted}
    for end in bench.ends:
        if end.key in was:
            lift = was[end.key]
            words = f"{end.wire} left on {lift.at}, not moved to {end.node}"
            yield bench.make(
                "left where it was", f"{end.wire} on {lift.at}", lift.step, words, _moved(end, lift.at)
            )
        for to in landings(bench, end, everywhere):
            words = f"{end.wire} landed on {to} instead of {end.node}"
            name = f"{end.wire} on {to} for {end.node}"
            yield bench.make(kind_of_place(bench, end.node, to), name, end.step, words, _moved(end, to))


def landings(bench: Bench, end: End, everywhere: bool) -> list[str]:
    """Terminals that an end could be landed on in place of its own, each once.

    everywhere: one terminal of every other net of the unit besides, for a sweep.
    """
    found = dict.fromkeys((*places.beside(bench.right, end.node), *places.across(bench.right, end.node)))
    if everywhere:
        nets = {bench.nets.root(t) for t in found}
        landing = {t for d in bench.right.devices.values() for t in d.terminals}
        for t in bench.right.terminals:
            if bench.nets.root(t) not in nets and (t in landing or t in bench.right.poles):
                nets.add(bench.nets.root(t))
                found[t] = None
    return [t for t in found if t != end.node and t not in bench.right.splices]


def kind_of_place(bench: Bench, right: str, wrong: str) -> str:
    """What a wrong landing is called."""
    device, other = bench.right.device_of(right), bench.right.device_of(wrong)
    same = device is not None and other is not None and device.tag == other.tag
    if same and places.counterpart(bench.right, right, wrong):
        return "other contact of the changeover"
    if same and device is not None:
        sections = [i for i in device.elements if isinstance(bench.right.elements[i], Capacitor)]
        if len(sections) > 1:
            return "wrong capacitor section"
    return (
        "wrong terminal"
        if same or wrong not in places.across(bench.right, right)
        else "wrong side of the string"
    )


def forgotten(bench: Bench) -> Iterator[Mistake | None]:
    """Each end left hanging; each new conductor never run."""
    for end in bench.ends:
        words = f"{end.wire} left hanging beside {end.node}"
        yield bench.make(
            "end forgotten", f"{end.wire} off {end.node}", end.step, words, Put(loose=(end.key,))
        )
    both = {e.wire for e in bench.ends if e.side == "a"} & {e.wire for e in bench.ends if e.side == "b"}
    for wire in bench.right.conductors:
        if wire in both and wire not in bench.changed.before.conductors:
            step = next(e.step for e in bench.ends if e.wire == wire)
            words = f"{wire} never run"
            yield bench.make("conductor forgotten", wire, step, words, Put(gone=frozenset({wire})))


def exchanged(bench: Bench) -> Iterator[Mistake | None]:
    """Each two ends that the change touches, one in the other's place."""
    for one, other in combinations(bench.ends, 2):
        if one.wire != other.wire and one.node != other.node:
            ends = {one.key: other.node, other.key: one.node}
            where = f"{one.wire} on {other.node}, {other.wire} on {one.node}"
            words = f"{one.wire} and {other.wire} exchanged: {where}"
            name = f"{one.wire} at {one.node} and {other.wire} at {other.node}"
            yield bench.make("ends exchanged", name, max(one.step, other.step), words, Put(ends))


def _moved(end: End, to: str) -> Put:
    return Put({end.key: to})


def _looks(wire: Conductor) -> str:
    found = ", ".join(t for t in (wire.color, wire.gauge, wire.route) if t)
    return f" ({found})" if found else ""
