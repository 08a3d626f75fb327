"""Connection diagrams: sheets of one unit, sheets before and after a change, and the file of all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.graph import Changed
from wirecheck.draw.connections.closeups import closeup, touched
from wirecheck.draw.connections.ends import union_of
from wirecheck.draw.connections.layout import WIDE
from wirecheck.draw.connections.pieces import Both, Run, Sheet
from wirecheck.draw.connections.place import Placer
from wirecheck.draw.connections.plan import plan
from wirecheck.draw.connections.svg import sheet_svg
from wirecheck.draw.marks import marks_after, marks_before
from wirecheck.draw.pieces import NAME, Label, Rule
from wirecheck.draw.tables import CAUTION, Lines, conductors, letters_key, lines_of, lines_of_both, steps
from wirecheck.draw.text import fitted_line

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.connections.plan import Plan

GAP = 16.0
TITLES = {"before": "Before", "after": "After", "": "Connections"}
EMPTY = "Nothing is described: no device, no supply."


def sheets(circuit: Circuit) -> tuple[Sheet, ...]:
    """A unit's connection diagram, on as many sheets as it needs."""
    laid = plan(union_of(circuit))
    return tuple(_sheet(laid, number, 0) for number in range(max(len(laid.sheets), 1)))


def before_after(changed: Changed) -> tuple[Both, ...]:
    """Each sheet before and after a change, of one size, with what did not change in one place."""
    laid = plan(union_of(changed))
    return tuple(
        Both(number + 1, _sheet(laid, number, 0), _sheet(laid, number, 1))
        for number in range(max(len(laid.sheets), 1))
    )


def _sheet(laid: Plan, number: int, view: int) -> Sheet:
    side, circuit = laid.union.views[view].side, laid.union.views[view].circuit
    of = len(laid.sheets)
    title = TITLES[side] + (f", sheet {number + 1} of {of}" if of > 1 else "")
    name = f"{circuit.name}: {title}"
    head = Label("title", fitted_line(title, WIDE, NAME, bold=True), 0, 14, NAME, bold=True)
    if not laid.sheets:
        return Sheet(name, 1, 1, WIDE, 40, (head, Label("empty", EMPTY, 0, 32)), EMPTY, side)
    pieces = Placer(laid, laid.sheets[number], view).pieces()
    says = "\n".join(piece.says for piece in pieces if isinstance(piece, Run))
    return Sheet(name, number + 1, of, WIDE, laid.sheets[number].height, (head, *pieces), says, side)


def whole(
    drawn: Circuit | Changed, levels: Mapping[str, Mapping[str, str]] | None = None, words: str = ""
) -> str:
    """All sheets in one SVG; of a change both sides beside each other, with steps and close-ups.

    levels: by side, "before" and "after", or "" of a unit alone; close-ups are at rest.
    words: which state it is.
    """
    across = 2 * WIDE + GAP if isinstance(drawn, Changed) else WIDE
    top, table = Lines(across), Lines(across)
    rows, found = _change_rows(drawn, top, table) if isinstance(drawn, Changed) else _rows(drawn, top, table)
    if words:
        top.say("state", words)
    table.say("caution", CAUTION)
    name = f"{drawn.before.name}: {drawn.name}" if isinstance(drawn, Changed) else drawn.name
    return _stacked(name, found, [[_text_sheet(top)], *rows, [_text_sheet(table)]], across, levels)


def _rows(circuit: Circuit, top: Lines, table: Lines) -> tuple[list[list[Sheet]], list[Sheet]]:
    """Rows of sheets; and those of them that are told in words."""
    found = list(sheets(circuit))
    top.head("unit", circuit.name)
    conductors(table, lines_of(circuit))
    table.say("letters", letters_key([circuit]))
    return [[sheet] for sheet in found], found


def _change_rows(changed: Changed, top: Lines, table: Lines) -> tuple[list[list[Sheet]], list[Sheet]]:
    found = [[both.before, both.after] for both in before_after(changed)]
    top.head("unit", changed.before.name)
    top.say("change", changed.name, bold=True)
    steps(top, changed.steps)
    marks = marks_before(changed), marks_after(changed)
    conductors(table, lines_of_both(changed.before, changed.after, marks))
    table.say("letters", letters_key([changed.before, changed.after]))
    close = [closeup(changed, terminal) for terminal in touched(changed)]
    pairs = [close[i : i + 2] for i in range(0, len(close), 2)]
    return [*found, *pairs], [sheet for row in found for sheet in row]


def _text_sheet(lines: Lines) -> Sheet:
    words = tuple(piece for piece in lines.pieces if isinstance(piece, Label | Rule))
    return Sheet("", 1, 1, lines.wide, lines.y + 6, words)


def _stacked(
    name: str,
    drawn: Sequence[Sheet],
    rows: Iterable[Sequence[Sheet]],
    wide: float,
    levels: Mapping[str, Mapping[str, str]] | None,
) -> str:
    """Rows of sheets below each other."""
    told = {id(sheet) for sheet in drawn}
    placed, y = [], 0.0
    for row in rows:
        x = 0.0
        for sheet in row:
            held = levels.get(sheet.side) if levels is not None and id(sheet) in told else None
            placed.append((sheet, x, y, held))
            x += sheet.width + GAP
        y += max((sheet.height for sheet in row), default=0.0) + GAP
    says = "\n".join(f"{sheet.name}\n{sheet.says}" for sheet in drawn)
    return sheet_svg(name, says, placed, (wide, y - GAP))
