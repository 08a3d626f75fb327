"""The inputs of one resolved device: what moves its contacts, how it rests, where it trips."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import ByPosition, Contact, Element, Input, SetPoints
from wirecheck.design import models
from wirecheck.design.fieldset import moved_by_motor
from wirecheck.problem import Problem

if TYPE_CHECKING:
    from wirecheck.design.resolved import PositionSpec, ResolvedDevice

OVERLOAD = "overload"


def input_name(device: ResolvedDevice, spec: models.Contact) -> str:
    """The tag, or TAG.position where it has several; what no hand moves has a name of its own."""
    if not spec.listed:
        return f"{device.tag}.{spec.moved_by or OVERLOAD}"
    if moved_by_motor(device.type, spec):
        return f"{device.tag}.{spec.moved_by}"
    return position_name(device, spec.moved_by or "")


def position_name(device: ResolvedDevice, position: str) -> str:
    """The name of the input that a position is."""
    return f"{device.tag}.{position}" if len(device.positions) > 1 else device.tag


def inputs_of(
    device: ResolvedDevice, elements: dict[str, Element], problems: list[Problem]
) -> dict[str, Input]:
    """The device's inputs, in the order of its contacts."""
    rests: dict[str, set[bool]] = {}
    specs: dict[str, models.Contact] = {}
    for name, spec in device.elements.items():
        element = elements.get(f"{device.tag}.{name}")
        if not isinstance(spec, models.Contact) or not isinstance(element, Contact):
            continue
        if isinstance(element.mover, ByPosition):
            rests.setdefault(element.mover.input, set()).add(element.rests_closed)
            specs.setdefault(element.mover.input, spec)
    return {name: _input(device, name, specs[name], closed, problems) for name, closed in rests.items()}


def _input(
    device: ResolvedDevice, name: str, contact: models.Contact, rests: set[bool], problems: list[Problem]
) -> Input:
    words = (
        ("rest", "moved") if len(rests) > 1 else ("closed", "open") if True in rests else ("open", "closed")
    )
    inner = not contact.listed
    by_motor = moved_by_motor(device.type, contact)
    spec = None if inner or by_motor else _position(device, contact.moved_by or "")
    normal = (
        spec is not None
        and spec.normal is not None
        and _moved(device, name, "normal", spec.normal, words, problems)
    )
    return Input(
        name=name, device=device.tag, words=words,
        set_points=None if spec is None else _set_points(spec),
        hand_reset=spec is not None and spec.hand_reset,
        normal=normal,
        tripped=None if spec is None else _tripped(device, name, spec, words, problems),
        lever=device.isolates or device.type.hand,
        listed=not inner, opened_only_by_name=inner, by_motor=by_motor,
    )  # fmt: skip


def _position(device: ResolvedDevice, name: str) -> PositionSpec | None:
    if name in device.positions:
        return device.positions[name]
    return next(iter(device.positions.values())) if len(device.positions) == 1 else None


def _set_points(spec: PositionSpec) -> SetPoints | None:
    if spec.senses is None or spec.low is None or spec.high is None or spec.above_moved is None:
        return None
    return SetPoints(spec.senses, spec.low, spec.high, spec.above_moved, spec.set_point_text)


def _tripped(
    device: ResolvedDevice, name: str, spec: PositionSpec, words: tuple[str, str], problems: list[Problem]
) -> bool | None:
    """The position, moved or not, on the tripped side of a protection."""
    match spec.trips:
        case None:
            return None
        case "above" | "below":
            if spec.above_moved is None:  # a switch without set points, which `resolve` has refused
                return None
            return spec.above_moved == (spec.trips == "above")
        case word:
            return _moved(device, name, "trips", word, words, problems)


def _moved(
    device: ResolvedDevice, name: str, key: str, word: str, words: tuple[str, str], problems: list[Problem]
) -> bool:
    """Whether a word of a position means moved."""
    said = words if word in words else ("rest", "moved")
    if word in said:
        return said.index(word) == 1
    message = f"{name} moves contacts of both senses; its positions are rest and moved, not {word}."
    problems.append(Problem("position-word", message, device.device.place(key)))
    return False
