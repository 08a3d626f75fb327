"""The ladder before and after a change, beside each other: what did not change stands in the same place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.draw.ladder import WIDE, height_of, panel_of, says
from wirecheck.draw.look import Face
from wirecheck.draw.marks import marks_after, marks_before
from wirecheck.draw.pieces import Panel, Sheet, Stretch
from wirecheck.draw.rest import at_rest
from wirecheck.draw.sections import plan
from wirecheck.draw.tables import CAUTION, Lines, conductors, letters_key, lines_of_both, steps
from wirecheck.draw.wiring import Wiring

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Changed
    from wirecheck.draw.pieces import Marks

GAP = 16.0
ACROSS = 2 * WIDE + GAP


def before_after(changed: Changed, state: str | None = None) -> Sheet:
    """Both ladders, the numbered steps, and every conductor with its mark. state: shown, else all at rest."""
    marks = marks_before(changed), marks_after(changed)
    faces = [
        Face("before", Wiring(changed.before), marks[0]),
        Face("after", Wiring(changed.after), marks[1]),
    ]
    laid = plan(faces)
    tall = height_of(faces, laid)
    top = Lines(ACROSS)
    top.head("unit", changed.before.name)
    top.say("change", changed.name, bold=True)
    top.say("at rest", state or at_rest(changed.before, changed.after))
    panels = [Panel("head", 0, 0, ACROSS, top.y + 4, tuple(top.pieces))]
    for number, (face, title) in enumerate(zip(faces, ("Before", "After"), strict=True)):
        head = Lines(WIDE)
        head.head(title, title)
        x = number * (WIDE + GAP)
        panels.append(Panel(f"head {face.side}", x, top.y, WIDE, head.y + 4, tuple(head.pieces)))
        panels.append(panel_of(face.side, face, laid, x, top.y + head.y + 12, tall))
    below = _below(changed, marks, panels)
    y = top.y + 32 + tall
    panels.append(Panel("tables", 0, y, ACROSS, below.y + 6, tuple(below.pieces)))
    said = "; ".join(f"{p.name}: {says(p.pieces)}" for p in panels if p.name in ("before", "after"))
    return Sheet(f"{changed.before.name}: {changed.name}", ACROSS, y + below.y + 6, tuple(panels), said)


def _below(changed: Changed, marks: tuple[Marks, Marks], panels: list[Panel]) -> Lines:
    lines = Lines(ACROSS)
    steps(lines, changed.steps)
    for text in _without_line(marks, panels):
        lines.say("no line", text)
    conductors(lines, lines_of_both(changed.before, changed.after, marks))
    lines.say("letters", letters_key([changed.before, changed.after]))
    lines.say("caution", CAUTION)
    return lines


def _without_line(marks: tuple[Marks, Marks], panels: list[Panel]) -> list[str]:
    """Marked conductors that no single line of the ladder stands for, in words."""
    found = []
    for side, held in zip(("before", "after"), marks, strict=True):
        pieces = next(p.pieces for p in panels if p.name == side)
        drawn = {wire for piece in pieces if isinstance(piece, Stretch) for wire in piece.wires}
        lacks = [f"{wire} ({text})" for wire, (_, text) in held.wires.items() if wire not in drawn]
        if lacks:
            found.append(f"{side.capitalize()}, part of several lines of the ladder: {', '.join(lacks)}.")
    return found
