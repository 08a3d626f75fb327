"""What is unknown after a step that could not be done: the names that it would have made, moved or freed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.select import fits
from wirecheck.design.broken import CONDUCTORS, MOVED, SPLICES, at, inside_of, section, seen_at
from wirecheck.problem import near

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.circuit.wiring import Wiring
    from wirecheck.design import models
    from wirecheck.design.broken import LostStep
    from wirecheck.problem import Problem

MISSED = ("unknown-device", "unknown-splice")  # said once, not at every step
LEAST = {"cut": 1, "remove": 1, "run": 3, "in-series": 3, "across": 3}  # texts in a step; of others 2


def left_undone(
    step: models.Step, wiring: Wiring, redefined: frozenset[str], problems: Iterable[Problem]
) -> set[str]:
    """The names left in doubt by a step that cannot be done on this wiring, for these problems.

    redefined: tags of the unit that the change gives to devices of its own. What `wiring.broken` hides was in
    doubt before; nothing else was meant by it.
    """
    missed = {problem.about[0] for problem in problems if problem.code in MISSED and problem.about}
    missed.update(_of_conductors(step, wiring), _of_devices(step, wiring))
    if step.replace is not None:  # which of both devices of a tag stands there is not known
        named = {step.replace.device, step.replace.with_}
        missed.update(word for tag in named & redefined or redefined for word in inside_of(tag))
    return missed


def left_unread(step: LostStep, wiring: Wiring) -> set[str]:
    """The names left in doubt by a step that cannot be read: all that it names."""
    found = {part for name in step.names for part in (name, name.partition(":")[0])}
    found.update(word for name in step.names for word in at(name))
    if step.key != "run":
        found.update(wire for name in step.names for wire in _at(name, wiring))
    if len(step.names) < LEAST.get(step.key, 2):  # what it would have made or moved may not be said at all
        found.update((MOVED, SPLICES, *CONDUCTORS, section("steps")))
    return found


def _of_conductors(step: models.Step, wiring: Wiring) -> Iterator[str]:
    if step.lift is not None:
        yield from _wires(step.lift.wire, wiring, step.lift.end)
    if step.land is not None:
        yield from _wires(step.land.wire, wiring)
        yield from at(step.land.on)
    if step.run is not None:
        yield step.run.id
        yield from (*at(step.run.from_), *at(step.run.to))
    if step.splice is not None:
        yield from (step.splice.name, *at(step.splice.name))
        for joined in step.splice.join:
            yield from _wires(joined.partition(":")[0], wiring)
    if step.cut is not None:
        wires = _wires(step.cut.wire, wiring)
        yield from (*wires, *(CONDUCTORS if MOVED in wires else ()))  # what it would have made has its name
    if step.remove is not None and step.remove.wire is not None:
        yield from _wires(step.remove.wire, wiring)
    if step.in_series is not None:
        yield from _wires(step.in_series.in_, wiring, step.in_series.at)


def _of_devices(step: models.Step, wiring: Wiring) -> Iterator[str]:
    if step.remove is not None and step.remove.device is not None:
        yield from _taken_out(step.remove.device, wiring)
    if step.replace is not None:
        yield from _taken_out(step.replace.device, wiring)
        yield from at(step.replace.with_)
    if step.in_series is not None:
        for tag in _fitted(step.in_series.device, wiring):
            yield from (f"{tag}.in", f"{tag}.joint", *at(tag))
        yield from at(step.in_series.at)
    if step.across is not None:
        for tag in _fitted(step.across.device, wiring):
            yield from (f"{tag}.across", *at(tag))
        yield from (word for end in step.across.terminals for word in at(end))


def _fitted(device: str, wiring: Wiring) -> Iterable[str]:
    """The tags of the device that a compound step may have meant."""
    tag = device.partition(".")[0]
    return (tag,) if tag in wiring.devices or wiring.broken.hides([tag]) else wiring.devices


def _wires(ref: models.WireRef, wiring: Wiring, end: str = "") -> set[str]:
    """The conductors that a step may have meant; where there is none to think of, any."""
    here = {*_at(end, wiring)}
    if isinstance(ref, str):
        known, doubted = ref in wiring.conductors, wiring.broken.hides([ref])
        likely = here.union([] if known else near(ref, wiring.conductors)) if not doubted else set()
        return {ref, *likely} if known or doubted or likely else {ref, MOVED}
    fitting = {w.id for w in wiring.conductors.values() if fits(w, ref, wiring.loose)}
    ends = [place for place in (ref.at, ref.to) if place]
    if not fitting and wiring.broken.hides(map(seen_at, ends)):
        return set()
    return fitting or here.union(wire for place in ends for wire in _at(place, wiring)) or {MOVED}


def _taken_out(tag: str, wiring: Wiring) -> set[str]:
    """The conductors that a device, or the one that was probably meant, would have let go."""
    known = tag in wiring.devices or wiring.broken.hides([tag])
    tags = (tag,) if known else near(tag, wiring.devices)
    return {wire for t in tags for wire in _at(t, wiring)} if tags else {MOVED}


def _at(name: str, wiring: Wiring) -> Iterator[str]:
    """The conductors that end at a terminal, a splice or a device."""
    for wire in wiring.conductors.values():
        if any(end == name or end.partition(".")[0] == name for end in (wire.a, wire.b)):
            yield wire.id
