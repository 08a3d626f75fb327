"""A job sheet and a card as pages: one file each, font and pictures inside, to print or for a phone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.draw import connections
from wirecheck.draw.svg import faces
from wirecheck.report.html import template

if TYPE_CHECKING:
    from wirecheck.questions.job.hands import Hand
    from wirecheck.report.job.blocks import Sheet


def page(sheet: Sheet) -> str:
    """The job sheet as HTML."""
    return template("jobsheet.html").render(sheet=sheet, pictures=pictures, style=_style())


def pictures(hand: Hand) -> list[str]:
    """A step's terminals and splices, each before and after, as SVG to stand in the page.

    None of a loose end alone: what hangs in the air has no place to look at.
    """
    stage = hand.stage
    loose = stage.before.loose | stage.after.loose
    names = [n for n in connections.touched(stage) if n not in loose]
    drawn = [connections.closeup(stage, name) for name in names]
    number = hand.step.number
    return [connections.svg(s, prefix=f"s{number}-{k}-", bare=True) for k, s in enumerate(drawn)]


def _style() -> str:
    return f"{faces()}\n{connections.STYLE}"
