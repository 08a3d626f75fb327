"""What stands below a ladder: the steps, the conductors, and what the letters of colours mean."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.draw.pieces import NAME, TEXT, Label, Marks, Piece, Rule
from wirecheck.draw.text import colour_letters, fitted_line, gauge_number, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Circuit, PlainStep

STEP = 14.0
CAUTION = "Computed, not measured: prove dead before touching."


class Line(Struct, frozen=True):
    """A row of the conductor table."""

    key: str
    cells: tuple[str, ...]  # name, colour and gauge, from, to, mark
    bold: bool = False


class Lines:
    """Text below each other, from the top."""

    def __init__(self, wide: float) -> None:
        self.wide = wide
        self.y = 0.0
        self.pieces: list[Piece] = []

    def head(self, key: str, text: str) -> None:
        self.y += STEP + 6
        shown = fitted_line(text, self.wide, NAME, bold=True)
        self.pieces.append(Label(key, shown, 0, self.y, NAME, bold=True))

    def say(self, key: str, text: str, indent: float = 0.0, bold: bool = False) -> None:
        """Words over as many lines as they need."""
        for number, line in enumerate(wrapped(text, self.wide - indent, TEXT, bold)):
            self.y += STEP
            self.pieces.append(Label(f"{key} {number}", line, indent, self.y, bold=bold))

    def row(self, line: Line, stops: Sequence[float]) -> None:
        """Cells from stop to stop; each is cut to its column."""
        self.y += STEP
        ends = (*stops[1:], self.wide)
        for number, (cell, start, end) in enumerate(zip(line.cells, stops, ends, strict=True)):
            text = fitted_line(cell, end - start - 6, TEXT, line.bold)
            if text:
                self.pieces.append(
                    Label(f"cell {line.key} {number}", text, start, self.y, bold=line.bold, whole=cell)
                )

    def rule(self, key: str) -> None:
        self.y += 5
        self.pieces.append(Rule(key, 0, self.wide, self.y))


def steps(lines: Lines, plain_steps: Iterable[PlainStep]) -> None:
    """The plain steps with the numbers that the marks bear."""
    lines.head("steps", "Steps")
    for step in plain_steps:
        lines.say(f"step {step.number}", f"Δ{step.number}  {step.words}", indent=0)


def conductors(lines: Lines, held: Iterable[Line]) -> None:
    """The table: name, colour, gauge, ends and mark of every conductor."""
    rows = list(held)
    stops = [0.0, 0.2, 0.38, 0.6, 0.82] if any(row.cells[4] for row in rows) else [0.0, 0.16, 0.5, 0.75, 1.0]
    lines.head("conductors", "Conductors")
    lines.row(Line("head", ("id", "colour, gauge", "from", "to", "mark"[: 4 if stops[4] < 1 else 0]), True),
              [stop * lines.wide for stop in stops])  # fmt: skip
    lines.rule("conductors")
    for row in rows:
        lines.row(row, [stop * lines.wide for stop in stops])


def lines_of(circuit: Circuit) -> list[Line]:
    """The conductors of the only circuit."""
    return [_line(wire, "") for wire in circuit.conductors.values()]


def lines_of_both(before: Circuit, after: Circuit, marks: tuple[Marks, Marks]) -> list[Line]:
    """The conductors of both circuits; one that changed stands twice, as it was and as it is."""
    held = []
    for name in dict.fromkeys((*before.conductors, *after.conductors)):
        was, now = before.conductors.get(name), after.conductors.get(name)
        if was is not None and name in marks[0].wires:
            held.append(_line(was, f"before: {marks[0].wires[name][1]}", "before"))
        if now is not None and name in marks[1].wires:
            held.append(_line(now, f"after: {marks[1].wires[name][1]}", "after"))
        if was is not None and now is not None and name not in marks[0].wires and name not in marks[1].wires:
            held.append(_line(now, ""))
    return held


def _line(wire: Conductor, mark: str, side: str = "") -> Line:
    look = f"{wire.color or '?'}, {wire.gauge or '?'}"
    return Line(f"{wire.id} {side}".strip(), (wire.id, look, wire.a, wire.b, mark), bool(mark))


def letters_key(circuits: Iterable[Circuit]) -> str:
    """What the letters beside lines stand for, in the order of the letters."""
    found = {
        colour_letters(wire.color): wire.color
        for circuit in circuits
        for wire in circuit.conductors.values()
        if wire.color is not None
    }
    words = ", ".join(f"{letters} {colour}" for letters, colour in sorted(found.items()) if letters != colour)
    gauges = any(gauge_number(w.gauge).isdigit() for c in circuits for w in c.conductors.values())
    return "; ".join(part for part in (words, "a bare number is AWG" if gauges else "") if part)
