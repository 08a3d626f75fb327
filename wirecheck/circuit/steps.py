"""The steps of a change, in order: each as the plain things that hands do."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, TypeVar

from msgspec.structs import replace

from wirecheck.circuit import hands
from wirecheck.circuit.doubt import left_undone, left_unread
from wirecheck.circuit.elements import Conductor
from wirecheck.circuit.graph import PlainStep, Replacement
from wirecheck.circuit.hands import Done, find_end, refuse
from wirecheck.circuit.nodes import Nodes
from wirecheck.circuit.select import choose
from wirecheck.circuit.wiring import Wiring, conductor
from wirecheck.design.broken import NODES, inside_of
from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from wirecheck.design import models
    from wirecheck.design.broken import Broken, LostStep
    from wirecheck.design.resolved import ResolvedDevice

A = TypeVar("A")
B = TypeVar("B")


def both(first: Callable[[], A], second: Callable[[], B]) -> tuple[A, B]:
    """What two searches find. Raises BadInput with the problems of both."""
    try:
        found = first()
    except BadInput as bad:
        try:
            second()
        except BadInput as worse:
            raise BadInput([*bad.problems, *worse.problems]) from None
        raise
    return found, second()


@dataclass
class Work:
    """The wiring as the steps go on, and what was done to it.

    gone: tag -> the place of the step that took the device out.
    stages: the wiring after each plain step.
    doubt: names that rest on what is wrong in the files, or on a step that could not be done.
    """

    wiring: Wiring
    brought: Mapping[str, ResolvedDevice]
    doubt: Broken
    steps: tuple[PlainStep, ...] = ()
    stages: tuple[Wiring, ...] = ()
    removed: list[str] = field(default_factory=list)
    replaced: list[Replacement] = field(default_factory=list)
    gone: dict[str, Place] = field(default_factory=dict)

    def note(self, done: Done, place: Place, of: str = "") -> None:
        """Take over what was done, as the next plain step."""
        step = PlainStep(
            len(self.steps) + 1, done.kind, done.words, done.wires, done.devices, done.terminals, of, place
        )
        self.wiring, self.steps = done.wiring, (*self.steps, step)
        self.stages = (*self.stages, done.wiring)


def carry_out(
    wiring: Wiring,
    brought: Mapping[str, ResolvedDevice],
    change: models.ChangeFile,
    lost: Iterable[LostStep],
    problems: list[Problem],
) -> Work:
    """Every step in order. One that cannot be done is a problem; later ones on the same things are not.

    lost: steps that cannot be read, and so cannot be done.
    """
    work = Work(wiring, brought, wiring.broken)
    redefined = frozenset(brought).intersection(wiring.devices)
    waiting = sorted(lost, key=lambda step: step.place)
    replacing = {s.replace.with_ for s in change.steps if s.replace is not None}
    for tag, device in brought.items():
        if tag not in wiring.devices:
            fitted = replace(work.wiring, devices={**work.wiring.devices, tag: device})
            done = Done(fitted, "add", f"Fit {tag}, {device.type_name}", (), (tag,))
            if tag in replacing:
                work.wiring = fitted
            else:
                work.note(done, change.key_place("devices", tag))
    for index, step in enumerate(change.steps):
        place, kept = change.place("steps", index), copy(work)
        while waiting and waiting[0].place < place:
            work.doubt = work.doubt.also(left_unread(waiting.pop(0), work.wiring))
        try:
            _step(work, step, place)
        except BadInput as bad:
            problems.extend(work.doubt.left(bad.problems))
            work.wiring, work.steps, work.stages = kept.wiring, kept.steps, kept.stages
            doubted = replace(work.wiring, broken=work.doubt)
            work.doubt = work.doubt.also(left_undone(step, doubted, redefined, bad.problems))
    for step_left in waiting:
        work.doubt = work.doubt.also(left_unread(step_left, work.wiring))
    return work


def _step(work: Work, step: models.Step, place: Place) -> None:
    """One step as written."""
    if step.lift is not None:
        wire = choose(step.lift.wire, work.wiring, step.lift.place("wire"))
        work.note(hands.lift(work.wiring, wire, step.lift.end, step.lift.place("end")), place)
    elif step.land is not None:
        _land(work, step.land, place)
    elif step.run is not None:
        _run(work, step.run, place)
    elif step.splice is not None:
        join = [(name, step.splice.place("join", i)) for i, name in enumerate(step.splice.join)]
        work.note(hands.splice(work.wiring, step.splice.name, join, step.splice.place("name")), place)
    elif step.cut is not None:
        wire = choose(step.cut.wire, work.wiring, step.cut.place("wire"))
        work.note(hands.cut(work.wiring, wire, step.cut.place("wire")), place)
    elif step.remove is not None:
        _remove(work, step.remove, place)
    elif step.replace is not None:
        _replace(work, step.replace, place)
    elif step.in_series is not None:
        _in_series(work, step.in_series, place)
    elif step.across is not None:
        _across(work, step.across, place)


def _land(work: Work, land: models.Land, place: Place) -> None:
    wire, on = both(
        lambda: choose(land.wire, work.wiring, land.place("wire")),
        lambda: find_end(work.wiring, land.on, land.place("on")),
    )
    work.note(hands.land(work.wiring, wire, on, land.end, land.place()), place)


def _run(work: Work, run: models.Run, place: Place) -> None:
    (a, b), _ = both(
        lambda: both(lambda: _end(work, run, "from_"), lambda: _end(work, run, "to")),
        lambda: hands.check_id(work.wiring, run.id, run.place()),
    )
    work.note(hands.run(work.wiring, conductor(run, a, b), run.place()), place)


def _end(work: Work, run: models.Run, key: Literal["from_", "to"]) -> str:
    """One end of a new conductor, with room for it; one of an id that is taken may be the other twice."""
    end = find_end(work.wiring, getattr(run, key), run.place(key))
    if run.id not in work.wiring.conductors:
        hands.check_room(work.wiring, end, 1, run.place())
    return end


def _remove(work: Work, remove: models.Remove, place: Place) -> None:
    if remove.wire is not None:
        wire = choose(remove.wire, work.wiring, remove.place("wire"))
        work.note(hands.remove_wire(work.wiring, wire), place)
    if remove.device is not None:
        tag = _present(work, remove.device, remove.place("device")).tag
        work.note(hands.remove_device(work.wiring, tag), place)
        work.removed.append(tag)
        work.gone[tag] = place


def _replace(work: Work, said: models.Replace, place: Place) -> None:
    old, new = both(
        lambda: _present(work, said.device, said.place("device")), lambda: _replacement(work, said)
    )
    moves, positions = both(lambda: _moves(said, old, new), lambda: _positions(said, old, new))
    work.note(hands.replace_device(work.wiring, old.tag, new, moves, said.place("with_")), place)
    work.replaced.append(Replacement(old.tag, new.tag, positions))
    work.gone[old.tag] = place
    if old.tag != new.tag:
        work.removed.append(old.tag)


def _replacement(work: Work, said: models.Replace) -> ResolvedDevice:
    """The device that comes in, which the change must bring."""
    new = work.brought.get(said.with_)
    if new is None:
        stands = f"{said.with_} stands in the unit; " if said.with_ in work.wiring.devices else ""
        message = (
            f"{stands}a change describes under `devices` what it puts in.{meant(said.with_, work.brought)}"
        )
        refuse("unknown-device", message, said.place("with_"), about=(said.with_, *NODES))
    return new


def _moves(said: models.Replace, old: ResolvedDevice, new: ResolvedDevice) -> dict[str, str]:
    """Old terminal -> new, by short names."""
    problems: list[Problem] = []
    for a, b in said.moves.items():
        sides = ((a, old, said.key_place("moves", a)), (b, new, said.place("moves", a)))
        for name, device, place in sides:
            if name not in device.terminals:
                has = ", ".join(device.terminals)
                message = f"{device.tag}, {device.type_name}, has no terminal {name}; it has {has}."
                message += meant(name, device.terminals)
                about = inside_of(device.tag)
                problems.append(Problem("unknown-terminal", message, place, about=about))
    if problems:
        raise BadInput(problems)
    return dict(said.moves)


def positions_of(device: ResolvedDevice) -> tuple[str, ...]:
    """The names of a device's positions, "" where it has one; none where it is no switch."""
    return tuple(device.positions)


def _positions(said: models.Replace, old: ResolvedDevice, new: ResolvedDevice) -> dict[str, str]:
    """Old position -> new; like names are one, and so are the only ones of both."""
    olds, news = positions_of(old), positions_of(new)
    found = {p: p for p in olds if p in news}
    problems: list[Problem] = []
    for a, b in said.positions.items():
        sides = ((a, old, olds, said.key_place("positions", a)), (b, new, news, said.place("positions", a)))
        for name, device, known, place in sides:
            if known != ("",) and name not in known:
                has = f"it has {', '.join(known)}" if known else "it has none"
                message = f"{device.tag} has no position {name}; {has}.{meant(name, known)}"
                about = inside_of(device.tag)
                problems.append(Problem("unknown-position", message, place, about=about))
        found["" if olds == ("",) else a] = "" if news == ("",) else b
    if problems:
        raise BadInput(problems)
    return found


def _in_series(work: Work, said: models.InSeries, place: Place) -> None:
    """Lift the conductor, land it on one side of the device, run from the other side to where it was."""
    (tag, first, second), wire = both(
        lambda: _way(work, said.device, said.place("device")),
        lambda: choose(said.in_, work.wiring, said.place("in_")),
    )
    of = f"{said.device} in series at {said.at}"
    work.note(hands.lift(work.wiring, wire, said.at, said.place("at")), place, of)
    if work.wiring.devices[tag].leads:
        joint = _free(f"{tag}.joint", work)
        work.note(hands.splice(work.wiring, joint, [(wire.id, place)], place), place, of)
        _new(work, f"{tag}.in", joint, first, place, of)
    else:
        lifted = work.wiring.conductors[wire.id]
        work.note(hands.land(work.wiring, lifted, first, said.at, said.place("device")), place, of)
    _new(work, f"{tag}.in", second, said.at, place, of)


def _across(work: Work, said: models.Across, place: Place) -> None:
    """Two new conductors, from the ends of the device's way to the two terminals."""
    (tag, *ends), to = both(
        lambda: _way(work, said.device, said.place("device")),
        lambda: both(
            lambda: find_end(work.wiring, said.terminals[0], said.place("terminals", 0)),
            lambda: find_end(work.wiring, said.terminals[1], said.place("terminals", 1)),
        ),
    )
    of = f"{said.device} across {said.terminals[0]} and {said.terminals[1]}"
    if to[0] == to[1]:
        refuse(
            "wire-to-itself",
            f"{to[0]} is named twice; across goes from one terminal to another.",
            said.place("terminals"),
        )
    for a, b in zip(ends, to, strict=True):
        _new(work, f"{tag}.across", a, b, place, of)


def _way(work: Work, text: str, place: Place) -> tuple[str, str, str]:
    """The tag and both ends of the way through a device: PS, or PS.C-NO."""
    device = _present(work, text.partition(".")[0], place)
    declared = {device.tag: device.device.place()}
    way = Nodes(work.wiring.devices, declared, {}, ()).through(device, text.partition(".")[2], place)
    if way[0] == way[1]:
        message = f"{text} is one terminal; say a way through {device.tag}: {device.tag}.A-B."
        refuse("way-missing", message, place, about=inside_of(device.tag))
    return device.tag, *way


def _new(work: Work, stem: str, a: str, b: str, place: Place, of: str) -> None:
    number = 1
    while f"{stem}.{number}" in work.wiring.conductors:
        number += 1
    wire = Conductor(f"{stem}.{number}", a, b, place=place)
    work.note(hands.run(work.wiring, wire, place), place, of)


def _free(name: str, work: Work) -> str:
    number, found = 1, name
    terminals = work.wiring.devices[name.partition(".")[0]].terminals
    while found in work.wiring.splices or found.partition(".")[2] in terminals:
        number += 1
        found = f"{name}.{number}"
    return found


def _present(work: Work, tag: str, place: Place) -> ResolvedDevice:
    """A device that stands in the unit, or is brought, at this step."""
    device = work.wiring.devices.get(tag)
    if device is None:
        gone = " It was taken out by a step before." if tag in work.gone else meant(tag, work.wiring.devices)
        message = f"no device is called {tag} at this step.{gone}"
        refuse("unknown-device", message, place, about=(tag, *NODES))
    return device
