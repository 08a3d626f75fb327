"""Ladders cut where only rails pass, so that each piece fits a printed page beside its other side."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.circuit.graph import Changed
from wirecheck.draw.faces import faces
from wirecheck.draw.ladder import WIDE, height_of, panel_of
from wirecheck.draw.pieces import Bar, Dot, End, Label, Panel, Plate, Rule, Stretch, Symbol
from wirecheck.draw.sections import plan

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.pieces import Piece

TALLEST = 940.0  # at 0.74, 8 pt on A4 or Letter, a page and its heading
WITH_TITLE = 48.0  # below a title, to within the first line
CLEAR = 3.0  # what ink needs beside its centre line


class Slice(Struct, frozen=True):
    """A part of the ladder, the same heights on each side: `before`, and `after` where there is a change."""

    height: float
    panels: dict[str, Panel]


def slices(drawn: Changed | Circuit) -> tuple[Slice, ...]:
    """The ladder of a unit, or before and after, from the top."""
    panels = _panels(drawn)
    tall = max(p.height for p in panels.values())
    cuts = _cuts([piece for p in panels.values() for piece in p.pieces], tall)
    found = [
        Slice(bottom - top, {side: _part(panel, top, bottom) for side, panel in panels.items()})
        for top, bottom in pairwise(cuts)
    ]
    return tuple(s for s in found if any(p.pieces for p in s.panels.values()))


def _panels(drawn: Changed | Circuit) -> dict[str, Panel]:
    sides = faces(drawn)
    laid = plan(sides)
    tall = height_of(sides, laid)
    if isinstance(drawn, Changed):
        return {face.side: panel_of(face.side, face, laid, 0, 0, tall) for face in sides}
    return {"before": panel_of("ladder", sides[0], laid, 0, 0, tall)}


def _cuts(pieces: Sequence[Piece], tall: float) -> list[float]:
    """Where to cut: in the last gap that still fits; never through ink but rails."""
    gaps = list(_gaps(sorted(span for piece in pieces if (span := _kept(piece)) is not None), tall))
    found = [0.0]
    while tall - found[-1] > TALLEST:
        fitting = [g for g in gaps if found[-1] + 1 < g <= found[-1] + TALLEST]
        later = [g for g in gaps if g > found[-1] + TALLEST]
        if not fitting and not later:
            break
        found.append(fitting[-1] if fitting else later[0])
    return [*found, tall]


def _gaps(spans: Sequence[tuple[float, float]], tall: float) -> Iterator[float]:
    """The middle of every stretch of height that nothing is drawn at."""
    end = 0.0
    for top, bottom in spans:
        if top > end:
            yield (top + end) / 2
        end = max(end, bottom)
    if tall > end:
        yield end


def _kept(piece: Piece) -> tuple[float, float] | None:
    """From where to where nothing is cut: a section's title stays with what it is of."""
    span = _span(piece)
    if span is not None and piece.key.startswith("title "):
        return span[0], span[1] + WITH_TITLE
    return span


def _span(piece: Piece) -> tuple[float, float] | None:
    """From where to where a piece reaches; None of a rail, which may be cut."""
    match piece:
        case Label() | Plate():
            return piece.box.top - CLEAR, piece.box.bottom + CLEAR
        case Symbol():
            box = piece.frame or piece.box
            return min(box.top, piece.box.top) - CLEAR, max(box.bottom, piece.box.bottom) + CLEAR
        case Stretch() if piece.rail:
            return None
        case Stretch():
            heights = [y for _, y in piece.points]
            return min(heights) - 2 * CLEAR, max(heights) + 2 * CLEAR
        case End() | Dot() | Rule() | Bar():
            return piece.y - CLEAR, piece.y + CLEAR


def _part(panel: Panel, top: float, bottom: float) -> Panel:
    """What stands between two heights; rails are cut to them."""
    pieces: list[Piece] = []
    for piece in panel.pieces:
        span = _span(piece)
        if isinstance(piece, Stretch) and span is None:
            (x, first), (_, last) = piece.points
            if first < bottom and last > top:
                pieces.append(replace(piece, points=((x, max(first, top)), (x, min(last, bottom)))))
        elif span is not None and top <= span[0] + CLEAR and span[1] - CLEAR <= bottom + 1:
            pieces.append(piece)
    return Panel(panel.name, 0, -top, WIDE, bottom - top, tuple(pieces))
