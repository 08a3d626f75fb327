"""The sides of a picture: of a unit one, of a change before and after, with their marks."""

from __future__ import annotations

from wirecheck.circuit.graph import Changed, Circuit
from wirecheck.draw.look import Face
from wirecheck.draw.marks import marks_after, marks_before
from wirecheck.draw.wiring import Wiring


def faces(drawn: Changed | Circuit) -> list[Face]:
    """`both` of a unit; `before` and `after` of a change."""
    if isinstance(drawn, Circuit):
        return [Face("both", Wiring(drawn))]
    return [
        Face("before", Wiring(drawn.before), marks_before(drawn)),
        Face("after", Wiring(drawn.after), marks_after(drawn)),
    ]
