"""Where measured trees stand: every cell at its place, the same for all sides of a picture."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.draw.tree import Leaf, Motor, Parallel, Series, ThreePhase, leaves

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.draw.measure import Cell


class Placed(Struct, frozen=True):
    """A cell from x0 to x1 whose line is at y. centre: of a leaf's or motor's symbol."""

    cell: Cell
    x0: float
    x1: float
    y: float
    parts: tuple[Placed, ...] = ()
    centre: float = 0.0


def place(cell: Cell, x: float, y: float, wide: float) -> Placed:
    """The cell within `wide`, which is at least what it needs; loads go to the right, contacts stay."""
    match cell.tree:
        case Leaf():
            return Placed(cell, x, x + cell.width, y, centre=x + cell.centre)
        case Series() if cell.parts:
            return _series(cell, x, y, wide)
        case Series():
            return Placed(cell, x, x + wide, y)
        case Parallel():
            return _parallel(cell, x, y)
        case Motor():
            return _motor(cell, x, y)
        case ThreePhase():
            return _three(cell, x, y)


def _series(cell: Cell, x: float, y: float, wide: float) -> Placed:
    """What is to spare goes before the last part, so that loads stand in a column at the right."""
    spare = wide - cell.width
    start, parts = x, []
    gaps = (0.0, *cell.gaps)
    for number, (gap, part) in enumerate(zip(gaps, cell.parts, strict=True)):
        start += gap + (spare if number == len(cell.parts) - 1 else 0)
        parts.append(place(part, start, y, part.width))
        start += part.width
    return Placed(cell, x, x + wide, y, tuple(parts))


def within(cell: Cell, x: float, y: float, wide: float, before: float, after: float) -> Placed:
    """The cell between two bars or rails, with at least `before` and `after` clear of them."""
    inner = wide - before - after
    if isinstance(cell.tree, Series):
        return place(cell, x + before, y, inner)
    spare = inner - cell.width
    return place(cell, x + before + (spare if cell.load else spare / 2), y, cell.width)


def _parallel(cell: Cell, x: float, y: float) -> Placed:
    parts = tuple(
        within(part, x, y + drop, cell.width, cell.gaps[2 * n], cell.gaps[2 * n + 1])
        for n, (part, drop) in enumerate(zip(cell.parts, cell.drops, strict=True))
    )
    return Placed(cell, x, x + cell.width, y, parts)


def _motor(cell: Cell, x: float, y: float) -> Placed:
    """What hangs below goes between the circle's middle and the far side."""
    (below,), centre = cell.parts, x + cell.centre
    mirrored = isinstance(cell.tree, Motor) and cell.tree.mirrored
    left, right = (x, centre) if mirrored else (centre, x + cell.width)
    part = within(below, left, y + cell.drops[0], right - left, *cell.gaps)
    return Placed(cell, x, x + cell.width, y, (part,), centre)


def _three(cell: Cell, x: float, y: float) -> Placed:
    wide = max(
        before + part.width + after
        for part, before, after in zip(cell.parts, cell.gaps[::2], cell.gaps[1::2], strict=True)
    )
    parts = tuple(
        within(part, x, y + drop, wide, cell.gaps[2 * n], cell.gaps[2 * n + 1])
        for n, (part, drop) in enumerate(zip(cell.parts, cell.drops, strict=True))
    )
    return Placed(cell, x, x + cell.width, y, parts, x + cell.centre)


def rows(placed: Placed) -> Iterator[tuple[float, Leaf | None]]:
    """The height of every line with each leaf on it; None where a line has nothing on it."""
    tree = placed.cell.tree
    if isinstance(tree, Leaf):
        yield placed.y, tree
    elif isinstance(tree, Motor):
        for leaf in (tree.main, tree.aux, *tree.unused):
            yield placed.y, leaf
    elif isinstance(tree, ThreePhase):
        for winding in tree.windings:
            yield placed.parts[1].y, winding
        for part in placed.parts:
            if not list(leaves(part.cell.tree)):
                yield part.y, None
    for part in placed.parts:
        yield from rows(part)
