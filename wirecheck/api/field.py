"""What goes to the unit: the job sheet and the card for the panel door. All raise BadInput."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.api.files import pair_of, unit_of

if TYPE_CHECKING:
    from wirecheck.questions.job.card import Card
    from wirecheck.questions.job.sheet import JobSheet


def jobsheet(unit: str, change: str, plain: bool = False) -> JobSheet:
    """All that a technician takes to the unit: verdict, list, steps, cautions, readings."""
    from wirecheck.questions.job import sheet

    return sheet.jobsheet(pair_of(unit, change), plain)


def card(unit: str, change: str | None) -> Card:
    """What stands on the card for the panel door: of the unit, or of the unit as changed."""
    from wirecheck.questions import verify as question
    from wirecheck.questions.job import card as cards

    if change is None:
        return cards.card(unit_of(unit))
    changed = pair_of(unit, change)
    return cards.card(changed, question.verify(changed, noted=False).verdict)
