"""A device's figures written into the elements of its type."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from wirecheck.design.contradict import contradictions
from wirecheck.design.fields import InVolts
from wirecheck.design.fieldset import flat_figures
from wirecheck.design.kinds import FIGURES, Coil, Contact, Resistor, Winding, figures_given
from wirecheck.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.design.models import Device, DeviceType, Element
    from wirecheck.problem import Place


def merged(
    tag: str, device: Device, kind: DeviceType, figures: Mapping[str, Any], problems: list[Problem]
) -> dict[str, Element]:
    """The elements with the device's figures; thresholds of coils as fractions of rated volts."""
    made: dict[str, Element] = {}
    for name, element in kind.elements.items():
        general = _general(kind, element, figures)
        own = _own(name, element, figures)
        for figure in sorted(general.keys() & own.keys()):
            if general[figure] != own[figure]:
                _twice(tag, name, figure, device, problems)
        given = {**general, **own}
        problems += contradictions(tag, name, element, given, partial(_at, device, name))
        element = element.model_copy(update=given)
        if isinstance(element, Coil):
            element = _thresholds(f"{tag}.{name}", device, name, element, problems)
        made[name] = element
    return made


def _general(kind: DeviceType, element: Element, figures: Mapping[str, Any]) -> dict[str, Any]:
    """What the device says of all elements of this kind."""
    flat = flat_figures(kind)
    general = {f: figures[f] for f, owner in flat.items() if owner is type(element) and f in figures}
    if isinstance(element, Contact) and element.listed and not element.auxiliary and figures.get("contact"):
        general |= figures_given(figures["contact"])
    if isinstance(element, Winding) and element.tap and "main" not in kind.elements and figures.get("main"):
        general |= figures_given(figures["main"])
    return general


def _own(name: str, element: Element, figures: Mapping[str, Any]) -> dict[str, Any]:
    """What the device says of this element by its name."""
    part = figures.get(name) if name != "contact" else None
    if part is None or not hasattr(part, "model_fields_set"):
        return {}
    return {f: v for f, v in figures_given(part).items() if f in FIGURES[type(element)].model_fields}


def _twice(tag: str, name: str, figure: str, device: Device, problems: list[Problem]) -> None:
    place = device.key_place(figure) if figure in device.figures else device.place("contact", figure)
    others = ((device.place(name, figure), "and here"),)
    message = f"{tag}: `{figure}` of {name} is given twice, and differs."
    problems.append(Problem("figure-twice", message, place, others))


def _thresholds(called: str, device: Device, name: str, coil: Coil, problems: list[Problem]) -> Coil:
    fractions: dict[str, float] = {}
    for field in ("pick_up", "drop_out"):
        given = getattr(coil, field)
        if not isinstance(given, InVolts):
            fractions |= {} if given is None else {field: given}
        elif coil.volts is None:
            message = f"{called}: `{field}` in volts needs the coil's rated `volts` beside it."
            problems.append(Problem("threshold-without-volts", message, _at(device, name, field)))
        else:
            fractions[field] = given / coil.volts
    _check_thresholds(called, device, name, coil, fractions, problems)
    return coil.model_copy(update=fractions)


def _check_thresholds(
    called: str,
    device: Device,
    name: str,
    coil: Coil,
    fractions: Mapping[str, float],
    problems: list[Problem],
) -> None:
    pick_up, drop_out = fractions.get("pick_up"), fractions.get("drop_out")
    if pick_up is not None and pick_up > 1.1:
        message = f"{called} picks up above 110 % of its rated volts."
        problems.append(Problem("impossible-figure", message, _at(device, name, "pick_up")))
    if drop_out is not None and drop_out >= (pick_up or 1.0):
        above = "its pick_up" if pick_up else "rated volts"
        message = f"{called}: drop_out must be below {above}, or the coil can never hold."
        problems.append(Problem("drop-out-too-high", message, _at(device, name, "drop_out")))
    if coil.inrush is not None and coil.va is not None and coil.inrush < coil.va:
        message = f"{called}: inrush is below va; a coil takes more with its armature open. Exchanged?"
        problems.append(Problem("inrush-below-va", message, _at(device, name, "inrush")))


def _at(device: Device, name: str, field: str) -> Place:
    """Where the device says a figure of an element: by itself, under `contact`, or by the element's name."""
    if field in device.figures:
        return device.place(field)
    part = device.figures.get(name) if name != "contact" else None
    said = part is not None and field in getattr(part, "model_fields_set", ())
    return device.place(name if said else "contact", field)


def with_loads(elements: Mapping[str, Element]) -> dict[str, Element]:
    """Resistors that have rated volts are loads, but for a start device's."""
    return {
        name: e.model_copy(update={"load": e.duty is None and (e.load or e.volts is not None)})
        if isinstance(e, Resistor)
        else e
        for name, e in elements.items()
    }
