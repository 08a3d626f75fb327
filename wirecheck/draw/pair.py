"""The ladder before and after a change, beside each other: what did not change stands in the same place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.draw.bridged import bridged
from wirecheck.draw.faces import faces
from wirecheck.draw.ladder import WIDE, height_of, panel_of, says
from wirecheck.draw.pieces import Panel, Sheet, Stretch
from wirecheck.draw.rest import at_rest
from wirecheck.draw.sections import plan
from wirecheck.draw.tables import CAUTION, Lines, conductors, letters_key, lines_of_both, steps

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Changed
    from wirecheck.draw.look import Face

GAP = 16.0
ACROSS = 2 * WIDE + GAP


def before_after(changed: Changed, state: str | None = None) -> Sheet:
    """Both ladders, the numbered steps, and every conductor with its mark. state: shown, else all at rest."""
    sides = faces(changed)
    laid = plan(sides)
    tall = height_of(sides, laid)
    top = Lines(ACROSS)
    top.head("unit", changed.before.name)
    top.say("change", changed.name, bold=True)
    top.say("at rest", state or at_rest(changed.before, changed.after))
    panels = [Panel("head", 0, 0, ACROSS, top.y + 4, tuple(top.pieces))]
    for number, (face, title) in enumerate(zip(sides, ("Before", "After"), strict=True)):
        head = Lines(WIDE)
        head.head(title, title)
        x = number * (WIDE + GAP)
        panels.append(Panel(f"head {face.side}", x, top.y, WIDE, head.y + 4, tuple(head.pieces)))
        panels.append(panel_of(face.side, face, laid, x, top.y + head.y + 12, tall))
    below = _below(changed, sides, panels)
    y = top.y + 32 + tall
    panels.append(Panel("tables", 0, y, ACROSS, below.y + 6, tuple(below.pieces)))
    said = "; ".join(f"{p.name}: {says(p.pieces)}" for p in panels if p.name in ("before", "after"))
    return Sheet(f"{changed.before.name}: {changed.name}", ACROSS, y + below.y + 6, tuple(panels), said)


def _below(changed: Changed, sides: list[Face], panels: list[Panel]) -> Lines:
    lines = Lines(ACROSS)
    steps(lines, changed.steps)
    for face in sides:
        for text in (*bridged(face), *_without_line(face, panels)):
            lines.say("no line", f"{face.side.capitalize()}: {text}")
    marks = sides[0].marks, sides[1].marks
    conductors(lines, lines_of_both(changed.before, changed.after, marks))
    lines.say("letters", letters_key([changed.before, changed.after]))
    lines.say("caution", CAUTION)
    return lines


def _without_line(face: Face, panels: list[Panel]) -> list[str]:
    """Marked conductors that no single line of the ladder stands for, in words."""
    pieces = next(p.pieces for p in panels if p.name == face.side)
    drawn = {wire for piece in pieces if isinstance(piece, Stretch) for wire in piece.wires}
    told = {wire for edge in face.wiring.bridged for wire in face.wiring.past(edge)}
    marked = face.marks.wires.items()
    lacks = [f"{wire} ({text})" for wire, (_, text) in marked if wire not in drawn | told]
    return [f"part of several lines of the ladder: {', '.join(lacks)}."] if lacks else []
