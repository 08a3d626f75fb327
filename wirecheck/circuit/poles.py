"""Supplies as poles at fixed phasors."""

from __future__ import annotations

import cmath
from math import radians, sqrt
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Pole
from wirecheck.design.broken import section
from wirecheck.problem import Problem, meant

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.design.models import Supply

HERTZ = 60.0  # contract section 2: `hertz` is 60 unless given


def phasors(kind: str, volts: float) -> dict[str, complex]:
    """The phasor of each pole of a supply, V rms; N and PE are 0.

    Three poles turn L1-L2-L3. The high leg stands at 90° behind L1 with √3/2 of the line volts
    (geometry of the equilateral triangle whose side L1-L3 has N in its middle).
    """
    match kind:
        case "single-phase":
            hot: dict[str, complex] = {"L": volts}
        case "split-phase":
            hot = {"L1": volts / 2, "L2": -volts / 2}
        case "three-phase":
            hot = {f"L{n + 1}": _turned(volts / sqrt(3), -120 * n) for n in range(3)}
        case "two-legs-of-wye":
            hot = {f"L{n + 1}": _turned(volts / sqrt(3), -120 * n) for n in range(2)}
        case _:
            hot = {"L1": volts / 2, "L2": complex(0, -volts * sqrt(3) / 2), "L3": -volts / 2}
    return {name: complex(phasor) for name, phasor in {**hot, "N": 0, "PE": 0}.items()}


def poles_of(supplies: Mapping[str, Supply], problems: list[Problem]) -> dict[str, Pole]:
    """Every pole of every supply by its terminal, MAINS.L1. N and PE are known against all: source ""."""
    poles = {}
    for name, supply in supplies.items():
        source = _source(name, supplies, problems)
        for pole, phasor in phasors(supply.kind, supply.volts).items():
            terminal = f"{name}.{pole}"
            poles[terminal] = Pole(terminal, name, phasor, "" if pole in ("N", "PE") else source)
    return poles


def hertz_of(supplies: Mapping[str, Supply], problems: list[Problem]) -> float:
    """The one frequency of the file."""
    given = {name: s.hertz for name, s in supplies.items() if s.hertz is not None}
    first = next(iter(given), None)
    for name, hertz in given.items():
        if first is not None and hertz != given[first]:
            problems.append(
                Problem(
                    "hertz-differ",
                    f"{name} has {hertz:g} Hz, {first} {given[first]:g} Hz; a file has one frequency.",
                    supplies[name].place("hertz"),
                    ((supplies[first].place("hertz"), "the other supply's"),),
                )
            )
    return HERTZ if first is None else given[first]


def _turned(volts: float, degrees: float) -> complex:
    return cmath.rect(volts, radians(degrees))


def _source(name: str, supplies: Mapping[str, Supply], problems: list[Problem]) -> str:
    """The supply at the end of the chain of `same_source_as`."""
    seen = [name]
    while (other := supplies[seen[-1]].same_source_as) is not None:
        place = supplies[seen[-1]].place("same_source_as")
        if other not in supplies:
            if len(seen) == 1:  # said once, where the unknown name stands
                message = f"no supply is called {other}.{meant(other, supplies)}"
                about = (other, section("supplies"))
                problems.append(Problem("unknown-supply", message, place, about=about))
            break
        if other in seen:
            if seen[0] == other:
                problems.append(
                    Problem("source-loop", f"{' -> '.join([*seen, other])} goes in a ring.", place)
                )
            break
        seen.append(other)
    return min(seen) if supplies[seen[-1]].same_source_as in seen else seen[-1]
