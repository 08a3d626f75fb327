"""Figures that the file may not give: their value in a scenario, and what a decision makes of their ends.

A scenario puts each estimate at nominal, low or high (engine.md section 2).
"""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Estimate
from wirecheck.engine.answers import OFF, ON, OVER, RUNS, STALLS, UNKNOWN, WEAK

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from wirecheck.circuit.elements import Figure

AT = {-1: "low", 0: "nominal", 1: "high"}
# The words of a load in the order of rising volts, or of a motor's torque.
RANK = {OFF: 0, WEAK: 1, STALLS: 1, ON: 2, RUNS: 2, OVER: 3}


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
    end. `unknown` where the words at the ends leave out one between them: below its volts and above them, a
    load may as well be at them.
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
    return UNKNOWN if skips(every) else here, single or set(fields)


def skips(words: set[Answer]) -> bool:
    """Do the words at the ends of what is estimated leave out one that comes between them?"""
    ranks = {RANK[w] for w in words if isinstance(w, str) and w in RANK}
    return bool(ranks) and len(ranks) <= max(ranks) - min(ranks)


def ends_of(count: int) -> list[tuple[int, ...]]:
    """The combinations in which estimates are looked at, the nominal one first."""
    nominal = (0,) * count
    if count <= 4:
        return [nominal, *product((-1, 1), repeat=count)] if count else [nominal]
    rows = [nominal, (-1,) * count, (1,) * count]
    rows += [tuple(end if i == k else -end for i in range(count)) for k in range(count) for end in (-1, 1)]
    return rows
