"""Placed trees to pieces, for one face: what is not in its circuit keeps its place as a plain line."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from wirecheck.draw.measure import (
    MOTOR_RADIUS,
    NOTE_STEP,
    PLATE_BASE,
    PLATE_STEP,
    PLATE_UP,
    TAG_TALL,
    TAG_UP,
    TERMINAL_DOWN,
    below_ink,
    leaf_side,
    motor_terminals,
    refers,
    tag_base,
    tag_text,
    tag_width,
    taps_text,
)
from wirecheck.draw.pieces import (
    NAME,
    PLATE_HEIGHT,
    TEXT,
    Box,
    Dot,
    Label,
    Piece,
    Plate,
    Stretch,
    Symbol,
    plate_width,
)
from wirecheck.draw.text import width
from wirecheck.draw.tree import Leaf, Motor, Parallel, Series, ThreePhase

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.draw.look import Face, Look
    from wirecheck.draw.place import Placed
    from wirecheck.draw.tree import Tree


Ends = frozenset[tuple[str, str]]  # ends of edges: key and terminal
NONE: Ends = frozenset()
Clear = tuple[float, float, float]  # x beside plates, names, symbols
Stop = tuple["Placed | None", float, Ends]  # a cell, or a place and the ends of edges there


def plate_reach(text: str) -> float:
    """Half the width of a device's plate, if it has one."""
    return plate_width(text) / 2 if text else 0.0


class Pen:
    """Collects the pieces of one panel. lines: the number of the line on which each edge is drawn."""

    def __init__(self, face: Face, detail: int, lines: Mapping[str, int]) -> None:
        self.face = face
        self.detail = detail
        self.lines = lines
        self.pieces: list[Piece] = []
        self._named: set[str] = set()

    # --- from end to end ---

    def run(
        self, placed: Placed, x_in: float, x_out: float, before: Ends = NONE, after: Ends = NONE
    ) -> None:
        """The tree with the stretches that lead to it from x_in and away from it to x_out.

        before, after: the ends of edges at x_in and x_out, where it is no bar or rail.
        """
        parts = self._parts(placed)
        first, last = parts[0], parts[-1]
        self._stretch(self._net(first, False), placed.y, (None, x_in, before), (first, 0.0, NONE))
        for here, following in pairwise(parts):
            self._draw(here)
            self._stretch(self._net(here, True), placed.y, (here, 0.0, NONE), (following, 0.0, NONE))
        self._draw(last)
        self._stretch(self._net(last, True), placed.y, (last, 0.0, NONE), (None, x_out, after))

    def _parts(self, placed: Placed) -> list[Placed]:
        if isinstance(placed.cell.tree, Series):
            return [part for part in placed.parts if self.face.shows(part.cell.tree)]
        return [placed]

    def _net(self, placed: Placed, right: bool) -> str:
        return self.face.net(placed.cell.tree, right)

    def _edge(self, placed: Placed, right: bool) -> float:
        """Where the ink of a cell begins on its line."""
        tree = placed.cell.tree
        if isinstance(tree, Leaf):
            half = self.face.look(tree).shape.half
            return placed.centre + (half if right else -half)
        if isinstance(tree, Motor) and tree.mirrored == right:
            return placed.centre + (MOTOR_RADIUS if right else -MOTOR_RADIUS)
        return placed.x1 if right else placed.x0

    def _clear(self, placed: Placed, right: bool) -> Clear:
        """Where plates, names and the symbol leave off: room for labels beside a cell, by height."""
        tree, sign = placed.cell.tree, 1 if right else -1
        if isinstance(tree, Leaf):
            look = self.face.look(tree)
            reach = plate_reach(look.plate), tag_width(look) / 2, leaf_side(look)
        elif isinstance(tree, Motor) and tree.mirrored == right:
            tag = max(width(tag_text(tree.name), NAME, bold=True) / 2, MOTOR_RADIUS + 1)
            reach = plate_reach(self.face.motor_mark(tree.name)[1]), tag, MOTOR_RADIUS + 1
        else:
            edge = self._edge(placed, right)
            return edge, edge, edge
        over, top, line = (placed.centre + sign * r for r in reach)
        return over, top, line

    def _stretch(self, net: str, y: float, left: Stop, right: Stop) -> None:
        """A stretch of a net between two stops: a cell, or a place with the ends of edges there."""
        near = []
        for (cell, _, ends), is_left in ((left, True), (right, False)):
            near.append(self.face.ends(cell.cell.tree, right=is_left) if cell is not None else ends)
        start = self._edge(left[0], True) if left[0] is not None else left[1]
        end = self._edge(right[0], False) if right[0] is not None else right[1]
        first = self._clear(left[0], True) if left[0] is not None else (start, start, start)
        second = self._clear(right[0], False) if right[0] is not None else (end, end, end)
        self.line(net, ((start, y), (end, y)), near, first, second)

    def line(
        self, net: str, points: tuple[tuple[float, float], ...], near: list[Ends], left: Clear, right: Clear
    ) -> None:
        """A polyline of a net; its labels above its first point, between what is clear at the left and right."""
        wires = self.face.wires(net, *near)
        mark, plates = self.face.plates(wires)
        self.pieces.append(Stretch(net, points, wires, mark))
        if self._named.issuperset(wires):
            return  # a line drawn in several stretches is named once
        self._named.update(wires)
        text, y = self.face.wire_text(wires, self.detail), points[0][1]
        self.label(f"wire {' '.join(wires)}", text, (left[2] + right[2]) / 2, y - 4, anchor="middle")
        for number, plate in enumerate(plates):
            first, second = left[1], right[1]
            if number:  # as high as the plates of devices
                first, second = max(left[0], left[1]), min(right[0], right[1])
            at = y - PLATE_BASE - PLATE_HEIGHT / 2 - number * PLATE_STEP
            key = f"plate {wires[0]} {number}"
            self.pieces.append(Plate(key, " ".join(wires), plate, (first + second) / 2, at))

    def label(self, key: str, text: str, x: float, y: float, **style: object) -> None:
        if text:
            self.pieces.append(Label(key, text, x, y, **style))  # type: ignore[arg-type]

    # --- cells ---

    def _draw(self, placed: Placed) -> None:
        tree = placed.cell.tree
        match tree:
            case Leaf():
                self._element(placed, self.face.look(tree))
            case Parallel():
                self._branches(placed)
            case Motor():
                self._motor(placed, tree)
            case ThreePhase() | Series():
                raise TypeError("drawn by the rung that holds it")

    def _element(self, placed: Placed, look: Look) -> None:
        x, y, shape = placed.centre, placed.y, look.shape
        ends = ((look.left, x - shape.half, y), (look.right, x + shape.half, y))
        box = Box(x - shape.side, y - shape.top, x + shape.side, y + shape.bottom)
        self.pieces.append(
            Symbol(look.key, look.elements, look.symbol, x, y, ends, box, look.letters, look.flipped, look.mark,
                   look.says, frame=self._frame(look, box))
        )  # fmt: skip
        top = y - tag_base(look)
        self.label(f"tag {look.key}", tag_text(look.tag), x, top, size=NAME, bold=True, anchor="middle", whole=look.tag)
        if look.plate:
            self.pieces.append(
                Plate(f"plate {look.key}", look.key, look.plate, x, top - TAG_TALL - PLATE_UP - PLATE_HEIGHT / 2)
            )
        for (terminal, name), sign, anchor in zip(
            ((look.left, look.letterings[0]), (look.right, look.letterings[1])), (-1, 1), ("end", "start"), strict=True
        ):
            self.label(f"at {look.key} {terminal}", name, x + sign * (shape.side + 1), y + TERMINAL_DOWN, anchor=anchor)
        self._below(look, x, y)

    @staticmethod
    def _frame(look: Look, box: Box) -> Box | None:
        """Round what is new or gone afterwards: clear of its terminals."""
        if not look.framed:
            return None
        clear = leaf_side(look) - look.shape.side - 2
        bottom = max(box.bottom + 1, box.top + look.shape.top + TERMINAL_DOWN + 4)
        return Box(box.left - clear, box.top - 1, box.right + clear, bottom)

    def _below(self, look: Look, x: float, y: float) -> None:
        """Set points; under a contact its coil's line, under a coil the lines of its contacts."""
        down = y + below_ink(look) + 0.8 * TEXT
        for number, note in enumerate(look.notes):
            self.label(f"set {look.key} {number}", note, x, down + number * NOTE_STEP, anchor="middle")
        down += len(look.notes) * NOTE_STEP
        if not refers(look):
            return
        circuit = self.face.circuit
        found = [(self.lines[look.coil], False)] if look.coil in self.lines else []
        if not look.coil:
            contacts = [c for c in circuit.contacts.values() if getattr(c.mover, "coil", None) == look.key]
            found = [(self.lines[c.id], c.rests_closed) for c in contacts if c.id in self.lines]
        self._references(look.key, sorted(set(found)), x, down)

    def _references(self, key: str, found: list[tuple[int, bool]], x: float, y: float) -> None:
        """Line numbers in brackets, those of normally-closed contacts underlined."""
        texts = ["(", *(f"{n}" for n, _ in found), ")"] if found else []
        wide = sum(width(t, TEXT) for t in texts) + 4 * max(0, len(found) - 1)
        start = x - wide / 2
        for index, text in enumerate(texts):
            closed = 0 < index <= len(found) and found[index - 1][1]
            self.label(f"line {key} {index}", text, start, y, underlined=closed)
            start += width(text, TEXT) + (4 if 0 < index < len(found) else 0)

    def _branches(self, placed: Placed) -> None:
        there = [part for part in placed.parts if self.face.shows(part.cell.tree)]
        for part in there:
            self.run(part, placed.x0, placed.x1)
        for x, right in ((placed.x0, False), (placed.x1, True)):
            net, lowest = self._net(placed, right), there[-1].y
            if lowest > placed.y:
                self.pieces.append(Stretch(net, ((x, placed.y), (x, lowest))))
            self.pieces.extend(Dot(net, x, part.y) for part in there[:-1])
