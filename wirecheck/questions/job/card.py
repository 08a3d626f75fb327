"""What stands on the card for the panel door."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.graph import Changed
from wirecheck.questions.job.cautions import contactors
from wirecheck.questions.job.parts import ratings, set_points

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.job.parts import SetPoint


class Card(Struct, frozen=True):
    """drawn: of which the ladder is made. added: devices with what they are marked with.

    verdict: of `verify`, "" where the card is of a unit without a change. beware: what stays live with a
    relay out.
    """

    drawn: Circuit | Changed
    unit: str
    about: str
    change: str = ""
    reason: str = ""
    verdict: str = ""
    added: tuple[tuple[str, str], ...] = ()
    steps: tuple[str, ...] = ()
    set_points: tuple[SetPoint, ...] = ()
    beware: tuple[str, ...] = ()


def card(drawn: Circuit | Changed, verdict: str = "") -> Card:
    """The card of a unit, or of a unit as changed."""
    if not isinstance(drawn, Changed):
        points, beware = set_points(drawn), tuple(contactors(drawn))
        return Card(drawn, drawn.name, drawn.about, set_points=points, beware=beware)
    after = drawn.after
    added = tuple(
        (t, "; ".join((d.type, *ratings(after, d)))) for t, d in after.devices.items() if t in drawn.brought
    )
    return Card(
        drawn, after.name, after.about, drawn.name, drawn.reason, verdict, added,
        tuple(s.words for s in drawn.steps), set_points(after), tuple(contactors(after)),
    )  # fmt: skip
