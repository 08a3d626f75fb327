"""Placed trees to pieces, for one face: what is not in its circuit keeps its place as a plain line."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.draw.elements import element
from wirecheck.draw.pieces import (
    NAME,
    PLATE_HEIGHT,
    Box,
    Dot,
    Label,
    Piece,
    Plate,
    Stretch,
    Symbol,
    plate_width,
)
from wirecheck.draw.sizes import (
    LONGEST_WORD,
    MOTOR_RADIUS,
    PLATE_BASE,
    PLATE_STEP,
    PLATE_UP,
    TAG_TALL,
    TAG_UP,
    TERMINAL_DOWN,
    WORD_TALL,
    WORD_UP,
    leaf_side,
    motor_ends,
    motor_terminals,
    tag_text,
    tag_width,
    taps_text,
)
from wirecheck.draw.text import width
from wirecheck.draw.tree import Leaf, Motor, Parallel, Series, ThreePhase

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.draw.look import Face
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

    def run(self, placed: Placed, x_in: float, x_out: float, before: Ends = NONE, after: Ends = NONE) -> None:
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
            over = max(plate_reach(self.face.motor_mark(tree.name)[1]), LONGEST_WORD / 2)
            reach = over, tag, MOTOR_RADIUS + 1
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
        """A polyline of a net; its labels above its first point, between what is clear at either side."""
        wires = self.face.wires(net, *near)
        mark, plates = self.face.plates(wires)
        self.pieces.append(Stretch(net, points, wires, mark, near=self.face.near(*near)))
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
                look = self.face.look(tree)
                self.pieces.extend(element(look, placed.centre, placed.y, self.lines))
            case Parallel():
                self._branches(placed)
            case Motor():
                self._motor(placed, tree)
            case ThreePhase() | Series():
                raise TypeError("drawn by the rung that holds it")

    def _branches(self, placed: Placed) -> None:
        there = [part for part in placed.parts if self.face.shows(part.cell.tree)]
        for part in there:
            self.run(part, placed.x0, placed.x1)
        for x, right in ((placed.x0, False), (placed.x1, True)):
            net = self._net(placed, right)
            for n, (upper, lower) in enumerate(pairwise([placed, *there])):
                if lower.y > upper.y:
                    below = {e for part in there[n:] for e in self.face.ends(part.cell.tree, right)}
                    near = self.face.near(below)
                    self.pieces.append(Stretch(net, ((x, upper.y), (x, lower.y)), near=near))
            self.pieces.extend(Dot(net, x, part.y) for part in there[:-1])

    def _motor(self, placed: Placed, tree: Motor) -> None:
        x, y, sign = placed.centre, placed.y, -1 if tree.mirrored else 1
        (below,) = placed.parts
        far = placed.x0 if tree.mirrored else placed.x1
        common, main, aux = motor_ends(self.face, tree)
        ends = (
            (common, x - sign * MOTOR_RADIUS, y),
            (main, x + sign * MOTOR_RADIUS, y),
            (aux, x, y + MOTOR_RADIUS),
        )
        mark, plate = self.face.motor_mark(tree.name)
        edges = (tree.main.key, tree.aux.key, *(leaf.key for leaf in tree.unused))
        top = y - MOTOR_RADIUS - TAG_UP
        circle = Symbol(tree.name, edges, "motor", x, y, ends, Box(0, 0, 0, 0), "M", tree.mirrored, mark)
        self._circle(replace(circle, word_at=(x, top - TAG_TALL - WORD_UP)))
        self._name(tree.name, x, top, "middle")
        if plate:
            middle = top - TAG_TALL - WORD_TALL - PLATE_UP - PLATE_HEIGHT / 2
            self.pieces.append(Plate(f"plate {tree.name}", tree.name, plate, x, middle))
        self._motor_letters(tree, x, y, sign)
        self._main_lead(tree, main, x + sign * MOTOR_RADIUS, y, far)
        self._below_motor(tree, placed, below, x, far)
        bottom = y + placed.cell.down - 4
        side, anchor = (placed.x0, "start") if sign > 0 else (placed.x1, "end")
        self.label(f"taps {tree.name}", taps_text(tree), side, bottom, anchor=anchor)

    def _name(self, name: str, x: float, y: float, anchor: str) -> None:
        self.label(f"tag {name}", tag_text(name), x, y, size=NAME, bold=True, anchor=anchor, whole=name)

    def _circle(self, motor: Symbol) -> None:
        """The motor with its box; terminals of one letter stand inside, at their leads."""
        x, y, r = motor.x, motor.y, MOTOR_RADIUS + 1
        names = [(self.face.terminal(t), ex - x, ey - y) for t, ex, ey in motor.ends]
        pins = tuple((name, 0.63 * dx, 0.63 * dy) for name, dx, dy in names if len(name) == 1)
        box = Box(x - r, y - r, x + r, y + r)
        frame = Box(x - r - 2, y - r - 2, x + r + 2, y + r + 2) if motor.mark in ("new", "gone") else None
        says = f"{motor.key}: motor, {', '.join(t for t, _, _ in motor.ends)}"
        self.pieces.append(replace(motor, box=box, pins=pins, says=says, frame=frame))

    def _motor_letters(self, tree: Motor, x: float, y: float, sign: int) -> None:
        """One letter: inside the circle at its lead; longer: outside, below the lead."""
        common, main, aux = motor_terminals(self.face, tree)
        for name, side in ((common, -sign), (main, sign)):
            key = f"at {tree.name} {name}"
            if len(name) > 1:
                anchor = "start" if side > 0 else "end"
                self.label(key, name, x + side * (MOTOR_RADIUS + 5), y + TERMINAL_DOWN, anchor=anchor)
        if len(aux) > 1:
            anchor = "end" if sign > 0 else "start"
            self.label(f"at {tree.name} {aux}", aux, x - sign * 3, y + MOTOR_RADIUS + 12, anchor=anchor)

    def _main_lead(self, tree: Motor, main: str, x: float, y: float, far: float) -> None:
        net = self.face.wiring.net(main)
        near = self.face.ends(tree.main, right=not tree.mirrored)
        self.line(net, ((x, y), (far, y)), [near], (x, x, x), (far, far, far))

    def _below_motor(self, tree: Motor, placed: Placed, below: Placed, x: float, far: float) -> None:
        """Down from the circle, along what is in line with the aux winding, and back up to the main lead."""
        aux_end = self.face.ends(tree.aux, right=not tree.mirrored)
        aux = self.face.wiring.net(min(aux_end)[1])
        main = self.face.wiring.net(min(self.face.ends(tree.main, right=not tree.mirrored))[1])
        top = placed.y + MOTOR_RADIUS
        self.pieces.append(Stretch(aux, ((x, top), (x, below.y)), near=self.face.near(aux_end)))
        if tree.mirrored:
            self.run(below, far, x, after=aux_end)
        else:
            self.run(below, x, far, before=aux_end)
        near = self.face.near(self.face.ends(below.cell.tree, right=not tree.mirrored))
        self.pieces.append(Stretch(main, ((far, placed.y), (far, below.y)), near=near))
        self.pieces.append(Dot(main, far, placed.y))

    # --- three lines ---

    def three(self, placed: Placed, tree: ThreePhase, x_in: float) -> None:
        """Three chains from x_in into one motor: its first terminal on top, the second at the left."""
        x, y = placed.centre, placed.parts[1].y
        slots = ((x, y - MOTOR_RADIUS), (x - MOTOR_RADIUS, y), (x, y + MOTOR_RADIUS))
        ends = []
        for part, chain, winding, slot in zip(placed.parts, tree.chains, tree.windings, slots, strict=True):
            terminal = min(self.face.ends(winding, right=False))[1]
            ends.append((terminal, *slot))
            self._chain(part, chain, winding, x_in, (slot[0], part.y))
            if part.y != slot[1]:
                near = self.face.near(self.face.ends(winding, right=False))
                self.pieces.append(
                    Stretch(self.face.wiring.net(terminal), ((slot[0], part.y), slot), near=near)
                )
        mark, plate = self.face.motor_mark(tree.name)
        edges = tuple(winding.key for winding in tree.windings)
        right = x + MOTOR_RADIUS + 4
        circle = Symbol(tree.name, edges, "motor", x, y, tuple(ends), Box(0, 0, 0, 0), "M 3~", mark=mark)
        self._circle(replace(circle, word_at=(right + LONGEST_WORD / 2, y + 4 + WORD_TALL)))
        self._name(tree.name, right, y + 4, "start")
        if plate:
            middle = right + plate_width(plate) / 2
            self.pieces.append(Plate(f"plate {tree.name}", tree.name, plate, middle, y - 14))
        names = [self.face.terminal(terminal) for terminal, _, _ in ends]
        self.label(f"at {ends[0][0]}", names[0], x + 3, placed.parts[0].y + 9)
        self.label(f"at {ends[1][0]}", names[1], x - MOTOR_RADIUS - 5, y + TERMINAL_DOWN, anchor="end")
        self.label(f"at {ends[2][0]}", names[2], x + 3, placed.parts[2].y - 3)

    def _chain(
        self, part: Placed, chain: Tree | None, winding: Leaf, x_in: float, corner: tuple[float, float]
    ) -> None:
        """One line to the motor, as far as the corner above, below or at its terminal."""
        motor = self.face.ends(winding, right=False)
        x_out = corner[0]
        if chain is not None and self.face.shows(chain):
            self.run(part, x_in, x_out, after=motor)
        else:
            net = self.face.wiring.net(min(motor)[1])
            left, right = (x_in, x_in, x_in), (x_out, x_out, x_out)
            self.line(net, ((x_in, part.y), (x_out, part.y)), [motor], left, right)
