"""Why a meter reads what it reads, for the drill."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine import figures
from wirecheck.questions.meter import SAME_READING
from wirecheck.report.lines import volts_text

if TYPE_CHECKING:
    from wirecheck.questions.drill import asked


def read(q: asked.Meter) -> str:
    """Volts to earth of both points, and how the two stand to each other."""
    if q.reading.reads == "floating":
        return f"{q.reading.remark[:1].upper()}{q.reading.remark[1:]}."
    sides = (
        f"{t} {'is not tied to earth' if v is None else f'stands at {volts_text(v)} to earth'}"
        for t, v in zip(q.points, q.reading.to_earth, strict=True)
    )
    return f"{'; '.join(sides)}{_together(q)}."


def _together(q: asked.Meter) -> str:
    """Where both are live to earth, why the reading is their sum, or nothing.

    Phasors a and b are opposite where abs(a - b) = abs(a) + abs(b), and one where a - b = 0.
    """
    a, b = (v or 0.0 for v in q.reading.to_earth)
    volts = q.reading.volts or 0.0
    if min(a, b) < figures.LIVE_VOLTS:
        return ""
    if abs(volts - a - b) <= SAME_READING * (a + b):
        return (
            f". The two are opposite, one up while the other is down, so that between them is their sum, "
            f"{volts_text(volts)}"
        )
    if volts <= SAME_READING * (a + b):
        return ". Both go up and down together, so that nothing is between them"
    return ""
