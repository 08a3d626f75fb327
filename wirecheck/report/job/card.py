"""The card for the panel door: the ladder as it is now, what was added, set points, date, signature."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.draw.columns import in_columns
from wirecheck.draw.svg import MARGIN, faces, svg
from wirecheck.report.html import template
from wirecheck.report.lines import LAST

if TYPE_CHECKING:
    from wirecheck.draw.pieces import Sheet
    from wirecheck.questions.job.card import Card


class Paper(Struct, frozen=True):
    """A sheet of paper. size: as CSS says it; room: of the ladder, mm wide and high. apart: on its back."""

    size: str
    wide: float
    tall: float
    apart: bool


# 216 x 279, 210 x 297 and 210 x 148 mm, margins of 10 (A5: 8) taken off; ISO 216 and ANSI/ASME Y14.1.
PAPERS = {
    "letter": Paper("letter portrait", 195, 150, False),
    "a4": Paper("A4 portrait", 189, 165, False),
    "a5": Paper("A5 landscape", 193, 122, True),
}
BETWEEN = 4.0  # columns, mm


class Drawn(Struct, frozen=True):
    """A column of the ladder. wide: mm on paper."""

    svg: str
    wide: float


def page(card: Card, paper: str) -> str:
    """The card as HTML, laid out for a paper."""
    on = PAPERS[paper]
    return template("card.html").render(
        card=card, paper=on, columns=columns(card, on), between=BETWEEN, style=faces(), last=LAST
    )


def columns(card: Card, paper: Paper) -> list[Drawn]:
    """The ladder in as many columns as let it be drawn largest on this paper."""
    scale, best = max(((_scale(c, paper), c) for c in in_columns(card.drawn)), key=lambda found: found[0])
    return [Drawn(svg(s), round((s.width + 2 * MARGIN) * scale, 1)) for s in best]


def _scale(sheets: tuple[Sheet, ...], paper: Paper) -> float:
    """Millimetres for a unit of the drawing."""
    wide = sum(s.width + 2 * MARGIN for s in sheets)
    tall = max(s.height + 2 * MARGIN for s in sheets)
    return min((paper.wide - BETWEEN * (len(sheets) - 1)) / wide, paper.tall / tall)
