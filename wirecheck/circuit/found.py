"""The steps that lead from one wiring to another, each as hands would do it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.circuit import hands
from wirecheck.circuit.differing import looks
from wirecheck.circuit.graph import PlainStep
from wirecheck.circuit.hands import Done
from wirecheck.problem import Place

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.wiring import Wiring

NOWHERE = Place("(unit)")


@dataclass
class _Found:
    """The wiring as the steps go on. goal: where they lead."""

    wiring: Wiring
    goal: Wiring
    steps: list[PlainStep]
    stages: list[Wiring]

    def note(self, done: Done, place: Place | None) -> None:
        step = PlainStep(0, done.kind, done.words, done.wires, done.devices, done.terminals, "", place)
        self.wiring = done.wiring
        self.steps.append(step)
        self.stages.append(done.wiring)


def found_steps(
    old: Wiring, new: Wiring, other: Iterable[str], told: Iterable[PlainStep]
) -> tuple[tuple[PlainStep, ...], tuple[Wiring, ...]]:
    """Every step from `old` to `new`, numbered, and the wiring after each.

    other: tags of both that are another device now. told: what no hand does, at the end.
    """
    work = _Found(replace(old, poles={**old.poles, **new.poles}), new, [], [])
    _fit(work)
    names = renumbered(old, new)
    _renumber(work, names)
    ends = _take_off(work)
    _change_devices(work, tuple(other))
    _put_on(work, ends)
    steps = tuple(replace(step, number=k) for k, step in enumerate([*work.steps, *told], 1))
    return steps, (*work.stages, *[work.wiring] * (len(steps) - len(work.stages)))


def renumbered(old: Wiring, new: Wiring) -> dict[str, str]:
    """Old id -> new id of a conductor that has the same ends and looks under another name."""
    gone = {i: w for i, w in old.conductors.items() if i not in new.conductors}
    fresh = {i: w for i, w in new.conductors.items() if i not in old.conductors}
    found: dict[str, str] = {}
    for name, wire in gone.items():
        like = next((i for i, w in fresh.items() if i not in found.values() and _alike(w, wire)), None)
        if like is not None:
            found[name] = like
    return found


def _alike(one: Conductor, other: Conductor) -> bool:
    return {one.a, one.b} == {other.a, other.b} and looks(one) == looks(other)


def _renumber(work: _Found, names: Mapping[str, str]) -> None:
    wires = {
        names.get(i, i): replace(w, id=names.get(i, i)) for i, w in work.wiring.conductors.items()
    }  # fmt: skip
    wiring = replace(work.wiring, conductors=wires)
    for old, new in names.items():
        place = work.goal.conductors[new].place
        work.note(Done(wiring, "rename", f"{old} is called {new} now: the same conductor", (new,)), place)


def _fit(work: _Found) -> None:
    for tag, device in work.goal.devices.items():
        if tag not in work.wiring.devices:
            fitted = replace(work.wiring, devices={**work.wiring.devices, tag: device})
            place = device.device.place()
            work.note(Done(fitted, "add", f"Fit {tag}, {device.type_name}", (), (tag,)), place)


def _take_off(work: _Found) -> list[tuple[str, str, str]]:
    """Conductors that are gone, and ends that are elsewhere now: (conductor, from where, to where)."""
    ends: list[tuple[str, str, str]] = []
    for name, wire in list(work.wiring.conductors.items()):
        now = work.goal.conductors.get(name)
        if now is None:
            work.note(hands.remove_wire(work.wiring, wire), wire.place)
            continue
        for was, to in moved(wire, now):
            work.note(hands.lift(work.wiring, work.wiring.conductors[name], was, NOWHERE), now.place)
            ends.append((name, was, to))
    return ends


def moved(was: Conductor, now: Conductor) -> list[tuple[str, str]]:
    """Old end -> new end of those that differ, whichever end is written first."""
    straight, across = (
        [(a, b) for a, b in zip((was.a, was.b), ends, strict=True) if a != b]
        for ends in ((now.a, now.b), (now.b, now.a))
    )
    return min(straight, across, key=len)


def _change_devices(work: _Found, other: tuple[str, ...]) -> None:
    for tag in [t for t in work.wiring.devices if t not in work.goal.devices]:
        work.note(hands.remove_device(work.wiring, tag), None)
    for tag in other:
        new = work.goal.devices[tag]
        place = new.device.place()
        done = hands.replace_device(work.wiring, tag, new, {}, place)
        work.note(replace(done, words=f"{tag} is another {new.type_name}, or set otherwise"), place)


def _put_on(work: _Found, ends: list[tuple[str, str, str]]) -> None:
    """Lifted ends landed, a splice that is new made of those that meet in it; then the new conductors."""
    known = work.wiring.splices
    for name in dict.fromkeys(to for _, _, to in ends if to in work.goal.splices and to not in known):
        join = [(f"{wire}:{was}", NOWHERE) for wire, was, to in ends if to == name]
        work.note(hands.splice(work.wiring, name, join, NOWHERE), None)
    for wire, was, to in ends:
        if to in known or to not in work.goal.splices:
            lifted = work.wiring.conductors[wire]
            work.note(hands.land(work.wiring, lifted, to, was, NOWHERE), work.goal.conductors[wire].place)
    for name, now in work.goal.conductors.items():
        if name not in work.wiring.conductors:
            work.note(hands.run(work.wiring, now, now.place or NOWHERE), now.place)
