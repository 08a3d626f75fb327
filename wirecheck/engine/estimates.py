"""Figures that the file may not give: their value in a scenario, and what a decision makes of their ends.

A scenario puts each estimate at nominal, low or high (engine.md section 2).
"""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Estimate
from wirecheck.engine.answers import OFF, OVER, STALLS, UNKNOWN, WEAK, WORKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from wirecheck.circuit.elements import Figure

AT = {-1: "low", 0: "nominal", 1: "high"}


def value(figure: Figure, scenario: Mapping[str, int]) -> float:
    """A figure as it is in this scenario: given, or its estimate at nominal, low or high."""
    if isinstance(figure, Estimate):
        end: float = getattr(figure, AT[scenario.get(figure.field, 0)])
        return end
    return figure


def ends(figure: Figure) -> tuple[float, float]:
    """The range of a figure."""
    return (figure.low, figure.high) if isinstance(figure, Estimate) else (figure, figure)


def among(figures: Iterable[Figure | None]) -> list[Estimate]:
    """Those of some figures that are estimates."""
    return [f for f in figures if isinstance(f, Estimate)]


Answer = str | bool


def decided(
    fields: tuple[str, ...], base: Mapping[str, int], decide: Callable[[Mapping[str, int]], Answer]
) -> tuple[Answer, set[str]]:
    """The answer of a decision at `base`, and the estimates on which it depends.

    Every combination of ends up to four of them, beyond that each in turn against all others at the opposite
    end. `unknown` where the ends lie on both sides of what a load works at: between them it may work.
    """
    if not fields:
        return decide(base), set()
    answers = {row: decide({**base, **dict(zip(fields, row, strict=True))}) for row in ends_of(len(fields))}
    row = tuple(base.get(f, 0) for f in fields)
    here, every = answers[row] if row in answers else decide(base), set(answers.values())
    if len(every) <= 1:
        return here, set()
    single = {
        fields[k]
        for one, a in answers.items()
        for other, b in answers.items()
        if a != b
        for k in [next(i for i in range(len(fields)) if one[i] != other[i])]
        if sum(x != y for x, y in zip(one, other, strict=True)) == 1
    }
    return UNKNOWN if straddles(every) else here, single or set(fields)


def straddles(words: set[Answer]) -> bool:
    """Is a load below its volts at one end and above them at another, and works at none?"""
    return OVER in words and not words & WORKING and bool(words & {OFF, WEAK, STALLS})


def ends_of(count: int) -> list[tuple[int, ...]]:
    """The combinations in which estimates are looked at, the nominal one first."""
    nominal = (0,) * count
    if count <= 4:
        return [nominal, *product((-1, 1), repeat=count)] if count else [nominal]
    rows = [nominal, (-1,) * count, (1,) * count]
    rows += [tuple(end if i == k else -end for i in range(count)) for k in range(count) for end in (-1, 1)]
    return rows
