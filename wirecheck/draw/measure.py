"""Room that trees take: widths, heights and gaps, enough for the labels of every side of a picture."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.draw.pieces import NAME, PLATE_HEIGHT, TEXT, plate_width
from wirecheck.draw.sizes import (
    CELL,
    LONGEST_WORD,
    MOTOR_RADIUS,
    NOTE_STEP,
    PLATE_BASE,
    PLATE_STEP,
    PLATE_UP,
    ROW_GAP,
    SPARE,
    TAG_TALL,
    TAG_UP,
    TIGHT,
    WORD_TALL,
    leaf_depth,
    leaf_side,
    leaf_width,
    motor_terminals,
    outer_width,
    tag_height,
    tag_text,
    tag_width,
    taps_text,
)
from wirecheck.draw.text import width
from wirecheck.draw.tree import Leaf, Motor, Parallel, Series, ThreePhase, Tree

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.draw.look import Face


class Free(Struct, frozen=True):
    """What is free at one end of a cell: beside plates (over), names (top) and the symbol (line)."""

    over: float = 0.0
    top: float = 0.0
    line: float = 0.0


class Cell(Struct, frozen=True):
    """A measured tree. up, down: from the line that passes through it. gaps: see the kinds below.

    Series: between parts. Parallel: (before, after) each part, flattened. Motor: see `MotorRoom`.
    """

    tree: Tree
    width: float
    up: float
    down: float
    left: Free = Free()
    right: Free = Free()
    parts: tuple[Cell, ...] = ()
    gaps: tuple[float, ...] = ()
    drops: tuple[float, ...] = ()  # of each part's line below the first
    centre: float = 0.0  # of a leaf or motor, from the left
    load: bool = True  # goes to the right where there is room to spare


class Measure:
    """Measures trees for some faces; `detail` as in Face.wire_text, and below 0 for narrow cells too."""

    def __init__(self, faces: Sequence[Face], detail: int) -> None:
        self.faces = faces
        self.detail = detail

    def cell(self, tree: Tree) -> Cell:
        match tree:
            case Leaf():
                return self._leaf(tree)
            case Series(parts):
                return self._series(tree, tuple(self.cell(part) for part in parts))
            case Parallel(parts):
                return self._parallel(tree, tuple(self.cell(part) for part in parts))
            case Motor():
                return self._motor(tree)
            case ThreePhase():
                return self._three(tree)

    def _showing(self, tree: Tree) -> list[Face]:
        return [face for face in self.faces if face.shows(tree)]

    # --- one element ---

    def _leaf(self, tree: Leaf) -> Cell:
        looks = [face.look(tree) for face in self._showing(tree)]
        wide = max(CELL if self.detail >= 0 else TIGHT, *(leaf_width(look) for look in looks))
        tag = max(tag_width(look) for look in looks)
        plate = max(plate_width(look.plate) if look.plate else 0.0 for look in looks)
        side = max(leaf_side(look) for look in looks)
        free = Free((wide - plate) / 2, (wide - tag) / 2, wide / 2 - side)
        up = max(self._line_up(tree), *(tag_height(look) for look in looks))
        down = max(leaf_depth(look) for look in looks)
        return Cell(tree, wide, up, down, free, free, centre=wide / 2, load=looks[0].load)

    # --- in line ---

    def _series(self, tree: Series, parts: tuple[Cell, ...]) -> Cell:
        gaps = [0.0] * (len(parts) - 1)
        for face in self.faces:
            there = [i for i, part in enumerate(parts) if face.shows(part.tree)]
            for i, j in pairwise(there):
                between = sum(gaps[i:j]) + sum(parts[k].width for k in range(i + 1, j))
                need = self.need(face, parts[i], parts[j])
                gaps[j - 1] += max(0.0, need - between)
        wide = sum(part.width for part in parts) + sum(gaps)
        up = max(*(part.up for part in parts), *(self._line_up(part.tree) for part in parts))
        down = max(part.down for part in parts)
        return Cell(tree, wide, up, down, parts[0].left, parts[-1].right, parts, tuple(gaps))

    def _line_up(self, tree: Tree) -> float:
        """Height of the labels of the lines that end at this tree: plates stand above them."""
        return PLATE_BASE + PLATE_STEP * max(self._most_plates(face, tree) for face in self.faces)

    @staticmethod
    def _most_plates(face: Face, tree: Tree) -> int:
        """How many plates stand above each other on a line to one of its ends."""
        if not face.shows(tree):
            return 0
        ends = [found for right in (False, True) if (found := face.ends(tree, right))]
        return max((len(face.plates(face.wires(face.wiring.net(min(e)[1]), e))[1]) for e in ends), default=0)

    def need(self, face: Face, left: Cell | None, right: Cell | None) -> float:
        """Length that a stretch between two cells needs beyond what is free in them; None: a bar or rail."""
        ends = [face.ends(left.tree, right=True)] if left is not None else []
        ends += [face.ends(right.tree, right=False)] if right is not None else []
        net = face.net(left.tree, right=True) if left is not None else self._left_net(face, right)
        wires = face.wires(net, *ends)
        text, plates = face.wire_text(wires, self.detail), face.plates(wires)[1]
        first, second = left.right if left else Free(), right.left if right else Free()
        needs = [0.0]
        if text:
            needs.append(width(text, TEXT) + 2 * SPARE - first.line - second.line)
        for number, plate in enumerate(plates):
            free = [min(f.top, f.over) if number else f.top for f in (first, second)]
            needs.append(plate_width(plate) + 2 * SPARE - sum(free))
        return max(needs)

    @staticmethod
    def _left_net(face: Face, cell: Cell | None) -> str:
        return face.net(cell.tree, right=False) if cell is not None else ""

    def leads(self, cell: Cell) -> tuple[float, float]:
        """What a cell needs before it and after it, between bars or rails."""
        faces = self._showing(cell.tree)
        return (
            max(self.need(face, None, cell) for face in faces),
            max(self.need(face, cell, None) for face in faces),
        )

    # --- beside each other ---

    def _parallel(self, tree: Parallel, parts: tuple[Cell, ...]) -> Cell:
        leads = [self.leads(part) for part in parts]
        drops = [0.0]
        for upper, lower in pairwise(parts):
            drops.append(drops[-1] + upper.down + ROW_GAP + lower.up)
        wide = max(a + part.width + b for (a, b), part in zip(leads, parts, strict=True))
        gaps = tuple(lead for pair in leads for lead in pair)
        up = max(parts[0].up, self._line_up(tree))
        return Cell(tree, wide, up, drops[-1] + parts[-1].down, parts=parts, gaps=gaps, drops=tuple(drops))

    # --- motors ---

    def _motor(self, tree: Motor) -> Cell:
        """One circle, what stands in line with its aux below it, to the side of its main lead."""
        below = self.cell(tree.below)
        faces = self._showing(tree)
        plates = [plate_width(p) for face in faces if (p := face.motor_mark(tree.name)[1])]
        tag = width(tag_text(tree.name), NAME, bold=True)
        names = [motor_terminals(face, tree) for face in faces]
        common = max(outer_width(n[0]) for n in names)
        main = max(outer_width(n[1]) for n in names)
        tags = max([tag, LONGEST_WORD, *plates])
        centre = max(CELL / 2, MOTOR_RADIUS + common, tags / 2 + 2)
        before, after = self._below_leads(tree, below)
        beyond = max(
            MOTOR_RADIUS + max(main + 2, self._main_need(tree)), tags / 2 + 2, before + below.width + after
        )
        wide = max(centre + beyond, width(taps_text(tree), TEXT) + 4)
        drop = MOTOR_RADIUS + 4 + max(below.up, 14.0)
        down = drop + below.down + (NOTE_STEP + 2 if tree.unused else 0)
        up = MOTOR_RADIUS + TAG_UP + TAG_TALL + WORD_TALL + (PLATE_HEIGHT + PLATE_UP if plates else 0)
        up = max(up, self._line_up(tree), self._line_up(tree.main))
        free = Free(centre - tags / 2, centre - max(tag / 2, MOTOR_RADIUS + 1), centre - MOTOR_RADIUS - 1)
        cell = Cell(tree, wide, up, down, free, Free(), (below,), (before, after), (drop,), centre)
        return self._mirrored(cell) if tree.mirrored else cell

    @staticmethod
    def _mirrored(cell: Cell) -> Cell:
        before, after = cell.gaps
        centre = cell.width - cell.centre
        return replace(cell, left=cell.right, right=cell.left, gaps=(after, before), centre=centre)

    def _main_need(self, tree: Motor) -> float:
        """Room for the label of the main lead."""
        needs = [0.0]
        for face in self._showing(tree):
            net = face.net(tree.main, right=not tree.mirrored)
            wires = face.wires(net, face.ends(tree.main, right=not tree.mirrored))
            text, plates = face.wire_text(wires, self.detail), face.plates(wires)[1]
            needs.append(max(width(text, TEXT), *(plate_width(p) for p in ("", *plates))) + 2 * SPARE)
        return max(needs)

    def _below_leads(self, tree: Motor, below: Cell) -> tuple[float, float]:
        aux = Cell(tree.aux, 0, 0, 0)
        faces = self._showing(tree)
        if tree.mirrored:
            return (
                max(self.need(face, below, aux) for face in faces),
                max(self.need(face, None, below) for face in faces),
            )
        return (
            max(self.need(face, aux, below) for face in faces),
            max(self.need(face, below, None) for face in faces),
        )

    # --- three lines ---

    def _three(self, tree: ThreePhase) -> Cell:
        """Three chains, one below the other; the motor at their right, on the middle line."""
        chains = [Cell(Series(()), 0, 14, 4) if chain is None else self.cell(chain) for chain in tree.chains]
        leads = [self.leads(chain) if chain.width else (0.0, 0.0) for chain in chains]
        least = 2 * MOTOR_RADIUS - 4
        drops = [0.0]
        for upper, lower in pairwise(chains):
            drops.append(drops[-1] + max(upper.down + ROW_GAP + lower.up, least))
        wide = max(a + chain.width + b for (a, b), chain in zip(leads, chains, strict=True))
        name = width(tag_text(tree.name), NAME, bold=True)
        plates = [plate_width(p) for face in self._showing(tree) if (p := face.motor_mark(tree.name)[1])]
        # T2 outside the circle at its left, the name at its right.
        centre = wide + 22 + MOTOR_RADIUS
        total = centre + MOTOR_RADIUS + 4 + max([name, LONGEST_WORD, *plates])
        gaps = tuple(lead for pair in leads for lead in pair)
        return Cell(tree, total, chains[0].up, drops[-1] + chains[-1].down, parts=tuple(chains), gaps=gaps,
                    drops=tuple(drops), centre=centre)  # fmt: skip
