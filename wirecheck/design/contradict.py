"""Figures of one device that cannot both be right: exchanged, or two sayings of one thing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wirecheck.design.kinds import Coil, Resistor, Winding
from wirecheck.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from wirecheck.design.models import Device, Element
    from wirecheck.problem import Place

    At = Callable[[str], Place]

# Nameplates round: two figures that differ by less say the same. Project rule.
AGREE = 0.1


def contradictions(
    tag: str, name: str, element: Element, given: Mapping[str, Any], at: At
) -> Iterator[Problem]:
    """What contradicts itself in the figures that a device gives of one element. at: where each stands."""
    called = f"{tag}.{name}"
    match element:
        case Coil():
            yield from _ohms(called, given, element.volts, ("va", "inrush"), at)
        case Resistor():
            yield from _ohms(called, given, element.volts, ("watts",), at)
        case Winding():
            if (given.get("r"), given.get("x")) == (0, 0):
                message = f"{called}: r and x are both 0; a winding has an impedance."
                yield Problem("impossible-figure", message, at("r"), ((at("x"), "and this"),))


def of_motor(tag: str, device: Device) -> Iterator[Problem]:
    """The same of a device whose windings are one motor: a locked rotor takes more than a running one."""
    given = device.figures
    for name in ("fla", "rla"):
        running, lra = given.get(name), given.get("lra")
        if running is not None and lra is not None and lra < running:
            message = f"{tag}: lra is below {name}; a locked rotor takes more than a running one. Exchanged?"
            others = ((device.place(name), "the running amps"),)
            yield Problem("lra-below-running", message, device.place("lra"), others)


def _ohms(
    called: str, given: Mapping[str, Any], own_volts: float | None, others: tuple[str, ...], at: At
) -> Iterator[Problem]:
    """`ohms` stands in place of the others; volts² over any of them is ohms too."""
    ohms, volts = given.get("ohms"), given.get("volts", own_volts)
    for name in others:
        other = given.get(name)
        if ohms is None or other is None or volts is None:
            continue
        meant = volts**2 / other
        if abs(meant - ohms) > AGREE * ohms:
            other_ohms = f"{name} {other:g} at {volts:g} V is {meant:.4g}"
            message = f"{called}: ohms is {ohms:g}, but {other_ohms}; give one."
            yield Problem("figures-differ", message, at("ohms"), ((at(name), "and this"),))
