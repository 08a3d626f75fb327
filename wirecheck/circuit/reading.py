"""A unit file's parts on the way to a circuit: devices resolved, wiring, what is said beside it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wirecheck import quantity
from wirecheck.circuit.assemble import Held, Said, assemble, lines
from wirecheck.circuit.wiring import Wiring, read_wiring
from wirecheck.design import types
from wirecheck.problem import Problem, meant

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.graph import Circuit
    from wirecheck.design import models
    from wirecheck.design.load import Drafted
    from wirecheck.design.resolved import ResolvedDevice

AMBIENTS = ("lowest_ambient", "highest_ambient")


def bound(drafted: Drafted, problems: list[Problem]) -> tuple[Wiring, Circuit]:
    """The wiring of a unit and its circuit, as far as they are sound. Problems are added to, no echoes."""
    unit = drafted.unit
    devices = resolve_all(unit.devices, unit.types, unit.conditions)
    wiring = read_wiring(drafted, devices, problems)
    found: list[Problem] = []
    circuit = assemble(wiring, said_by(unit, found), found)
    problems += wiring.broken.left(found)
    return wiring, circuit


def resolve_all(
    devices: Mapping[str, models.Device],
    user_types: Mapping[str, models.DeviceType],
    conditions: Mapping[str, models.Quantity],
) -> dict[str, ResolvedDevice]:
    """Every device with its type, as the draft of the file has tried it. Raises BadInput."""
    known = types.Types(user_types)
    return {tag: types.resolve(tag, device, known, conditions) for tag, device in devices.items()}


def said_by(unit: models.UnitFile, problems: list[Problem]) -> Said:
    """What a unit file says beside its wiring."""
    return Said(
        name=unit.unit.name,
        about=unit.unit.about or "",
        refrigerant=unit.unit.refrigerant,
        design=design_of(unit.unit, problems),
        place=unit.place(),
        given=tuple(Held(name, word, unit.place("given", name)) for name, word in unit.given.items()),
        impossible=lines(unit.impossible, lambda i: unit.place("impossible", i)),
        expects=lines(unit.expects, lambda i: unit.place("expects", i)),
    )


def design_of(head: models.UnitHead, problems: list[Problem]) -> dict[str, float]:
    """The outdoor temperatures that the unit is designed for, K; a bare number is degF."""
    found: dict[str, float] = {}
    for name, text in (head.design or {}).items():
        if name not in AMBIENTS:
            message = f"`design` takes {' and '.join(AMBIENTS)}, not {name}.{meant(name, AMBIENTS)}"
            problems.append(Problem("unknown-key", message, head.key_place("design", name)))
            continue
        try:
            found[name] = quantity.read(text, "degF").si
        except quantity.QuantityError as error:
            problems.append(Problem(error.code, error.message, head.place("design", name)))
    if found.get("lowest_ambient", 0.0) > found.get("highest_ambient", math.inf):
        message = "the lowest ambient cannot be above the highest."
        others = ((head.place("design", "highest_ambient"), "the highest"),)
        place = head.place("design", "lowest_ambient")
        problems.append(Problem("impossible-figure", message, place, others))
    return found
