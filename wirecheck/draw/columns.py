"""A unit's ladder as it is, in columns beside each other, for a sheet that is wider than a phone."""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import TYPE_CHECKING

from wirecheck.circuit.graph import Changed
from wirecheck.draw.bars import bar_pieces
from wirecheck.draw.ladder import WIDE, height_of, section_pieces
from wirecheck.draw.look import Face
from wirecheck.draw.marks import marks_after
from wirecheck.draw.pieces import Panel, Sheet
from wirecheck.draw.sections import plan
from wirecheck.draw.wiring import Wiring

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.pieces import Piece

MOST = 3  # columns


def in_columns(drawn: Circuit | Changed) -> tuple[tuple[Sheet, ...], ...]:
    """The ladder in one column, in two, in three: as many ways as it has sections to part.

    Each column has whole sections; the highest is as low as it can be. What a change brought is marked.
    """
    changed = isinstance(drawn, Changed)
    circuit = drawn.after if isinstance(drawn, Changed) else drawn
    face = (
        Face("both", Wiring(circuit), marks_after(drawn))
        if isinstance(drawn, Changed)
        else Face("both", Wiring(circuit))
    )
    laid = plan([face])
    rows: list[tuple[float, Sequence[Piece]]] = [
        (s.top, section_pieces(face, laid, s)) for s in laid.sections
    ]
    bars = bar_pieces(face, laid.bottom)
    rows += [(laid.bottom, bars[0])] if bars else []
    bottom = height_of([face], laid)
    name = f"{circuit.name}, as it is{' now' if changed else ''}"
    return tuple(_columns(name, rows, bottom, n) for n in range(1, min(MOST, len(rows)) + 1))


def _columns(
    name: str, rows: list[tuple[float, Sequence[Piece]]], bottom: float, count: int
) -> tuple[Sheet, ...]:
    tops = [top for top, _ in rows] + [bottom]

    def highest(cuts: tuple[int, ...]) -> float:
        return max(tops[b] - tops[a] for a, b in pairwise((0, *cuts, len(rows))))

    cuts = min(combinations(range(1, len(rows)), count - 1), key=highest)
    return tuple(
        _column(f"{name}, {k}", [p for _, pieces in rows[a:b] for p in pieces], tops[a], tops[b])
        for k, (a, b) in enumerate(pairwise((0, *cuts, len(rows))), 1)
    )


def _column(name: str, pieces: list[Piece], top: float, bottom: float) -> Sheet:
    panel = Panel("ladder", 0, -top, WIDE, bottom - top, tuple(pieces))
    return Sheet(name, WIDE, bottom - top, (panel,))
