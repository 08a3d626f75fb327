"""Ladders: what makes each load run. One for each pair of poles and each secondary, every element once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.draw.bars import bar_pieces
from wirecheck.draw.bridged import bridged
from wirecheck.draw.faces import faces
from wirecheck.draw.pen import Pen
from wirecheck.draw.pieces import (
    NAME,
    RAIL,
    End,
    Label,
    Panel,
    Piece,
    Sheet,
    Stretch,
    Symbol,
)
from wirecheck.draw.place import rows
from wirecheck.draw.rest import at_rest
from wirecheck.draw.rows import END_GAP, LEFT, RIGHT, end_text, rail_text
from wirecheck.draw.rungs import LOOSE, SUPPLY
from wirecheck.draw.sections import plan
from wirecheck.draw.shared import untwined
from wirecheck.draw.tables import CAUTION, Lines, conductors, letters_key, lines_of
from wirecheck.draw.text import fitted, short
from wirecheck.draw.tree import ThreePhase

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.look import Face
    from wirecheck.draw.sections import Plan, Section, Set

WIDE = 360.0


LEVELS_SAY = "Thin line: no voltage. Thicker, brown: voltage only. Thickest, blue: current. ?: not known."


def whole(circuit: Circuit, state: str | None = None) -> Sheet:
    """All ladders of a circuit below each other, and its conductors. state: what is shown, else rest."""
    (face,) = faces(circuit)
    laid = plan([face])
    tall = height_of([face], laid)
    top, table = Lines(WIDE), Lines(WIDE)
    top.head("unit", circuit.name)
    top.say("at rest", state or at_rest(circuit))
    for text in bridged(face):
        table.say("bridged", text)
    conductors(table, lines_of(circuit))
    table.say("letters", letters_key([circuit]))
    table.say("caution", CAUTION)
    ladder = panel_of("ladder", face, laid, 0, top.y + 12, tall)
    below = Panel("conductors", 0, ladder.y + tall + 4, WIDE, table.y + 6, tuple(table.pieces))
    panels = (Panel("head", 0, 0, WIDE, top.y + 4, tuple(top.pieces)), ladder, below)
    return Sheet(circuit.name, WIDE, below.y + below.height, panels, says(ladder.pieces))


def says(pieces: Sequence[Piece]) -> str:
    """The elements in words, for those who do not see the picture."""
    return "; ".join(piece.says for piece in pieces if isinstance(piece, Symbol))


def panel_of(name: str, face: Face, whole: Plan, x: float, y: float, tall: float) -> Panel:
    """All sections of one face below each other."""
    pieces = [p for section in whole.sections for p in section_pieces(face, whole, section)]
    bars = bar_pieces(face, whole.bottom)
    return Panel(name, x, y, WIDE, tall, (*pieces, *(bars[0] if bars else ())))


def height_of(faces: Sequence[Face], whole: Plan) -> float:
    """Of the panels of these faces."""
    bars = [bar_pieces(face, whole.bottom) for face in faces]
    return max([whole.bottom, *(b[1] for b in bars if b)])


def title_of(key: tuple[str, ...]) -> str:
    """What a section is called."""
    if key == SUPPLY:
        return "Supply, as far as its rails"
    if key == LOOSE:
        return "Not between two rails"
    return " – ".join(short(name) for name in key)


def section_pieces(face: Face, whole: Plan, section: Section) -> list[Piece]:
    """A section as one face has it; nothing of what only the other has."""
    there = [one for one in section.sets if face.shows(one.row.rung.tree)]
    if not there:
        return []
    if len(section.key) == 2:
        pieces = _rails(face, section)
    else:
        title = title_of(section.key)
        pieces = [Label(f"title {title}", title, LEFT, section.top + NAME, NAME, bold=True)]
    numbered: dict[int, float] = {}
    for y in sorted({y for one in there for y, _ in rows(one.placed)}):
        numbered.setdefault(whole.numbers[y], y)
    pieces += [Label(f"number {n}", str(n), LEFT - 4, y + 4, anchor="end") for n, y in numbered.items()]
    for one in there:
        pieces.extend(untwined(_set_pieces(face, whole, one)))
    return pieces


def _rails(face: Face, section: Section) -> list[Piece]:
    pieces: list[Piece] = []
    rails = {rail.key: rail for rail in face.wiring.rails.values()}
    for key, x, anchor in ((section.key[0], LEFT, "start"), (section.key[1], RIGHT, "end")):
        if key not in rails:
            continue
        rail = rails[key]
        ends = [t for k, t in face.wiring.ends.get(rail.net, ()) if k in rail.feed]
        name = fitted(f"{key}, {ends[-1]}" if ends else key, 150, RAIL, bold=True)
        pieces.append(Label(f"rail {key}", name, x, section.top + RAIL, RAIL, True, anchor))  # type: ignore[arg-type]
        near = face.near(face.wiring.ends.get(rail.net, ()))
        ends_of_it = (x, section.rail_top), (x, section.rail_bottom)
        pieces.append(Stretch(rail.net, ends_of_it, rail=True, near=near))
    return pieces


def _set_pieces(face: Face, whole: Plan, one: Set) -> list[Piece]:
    row, pen = one.row, Pen(face, one.row.detail, whole.lines(face))
    tree = row.cell.tree
    if isinstance(tree, ThreePhase):
        pen.three(one.placed, tree, one.x_in)
        for part, rail in zip(one.placed.parts, row.rung.section, strict=True):
            _three_end(pen, tree.name, rail, one.x_in, part.y)
        return pen.pieces
    pen.run(one.placed, one.x_in, one.x_out)
    _end(pen, whole, one, right=False)
    _end(pen, whole, one, right=True)
    return pen.pieces


def _three_end(pen: Pen, motor: str, rail: str, x: float, y: float) -> None:
    net = next((r.net for r in pen.face.wiring.rails.values() if r.key == rail), rail)
    terminal = pen.face.wiring.name_of(net) or rail
    key = f"end left {motor} {rail}"
    pen.pieces.append(End(key, terminal, x, y))
    pen.label(key, rail_text(rail), x - END_GAP, y + 4, anchor="end")


def _end(pen: Pen, whole: Plan, one: Set, right: bool) -> None:
    """The text at an end that is no rail."""
    end, x, y = one.row.right if right else one.row.left, one.x_out if right else one.x_in, one.placed.y
    if end is not None and not end.startswith("fold "):
        return
    anchor = "start" if right else "end"
    at = x + END_GAP if right else x - END_GAP
    if end is not None:
        words = f"{'to' if right else 'from'} line {_other_line(whole, pen.face, end, right)}"
        pen.pieces.append(End(end, "", x, y))
        pen.label(f"{end} {right}", words, at, y + 4, anchor=anchor)
        return
    tree = one.row.rung.tree
    edge, terminal = min(pen.face.ends(tree, right))
    key = f"end {'right' if right else 'left'} {edge} {terminal}"
    pen.pieces.append(End(key, terminal, x, y))
    pen.label(key, end_text(pen.face, one.row.rung, right), at, y + 4, anchor=anchor)


def _other_line(whole: Plan, face: Face, fold: str, right: bool) -> int:
    """The number of the line on which a folded line goes on, or from which it comes."""
    sets = (one for section in whole.sections for one in section.sets if face.shows(one.row.rung.tree))
    found = (one for one in sets if (one.row.left if right else one.row.right) == fold)
    return whole.numbers[next(found).placed.y]
