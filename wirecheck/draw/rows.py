"""Rungs to rows that fit between the rails: labels are dropped, then branches taken out, lines folded."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.draw.look import LONGEST_END
from wirecheck.draw.measure import Cell, Measure
from wirecheck.draw.pieces import TEXT
from wirecheck.draw.rungs import SUPPLY, Group, Rung
from wirecheck.draw.text import fitted_terminal, width
from wirecheck.draw.tree import Motor, Parallel, Series, ThreePhase, Tree, keys, leaves, parallel, series

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.draw.look import Face

LEFT, RIGHT = 24.0, 354.0  # where the rails stand
ROOM = RIGHT - LEFT
END_GAP = 4.0  # between the text of an end and its line
CLEAR = 6.0  # between the text of an end and a rail
FOLD = width("from line 000", TEXT) + END_GAP + CLEAR

TIGHTEST = -1  # narrow cells, no names of conductors but the marked ones


class Row(Struct, frozen=True):
    """One line of a rung. left, right: a rail's key, None for a named end, or the fold that it shares."""

    rung: Rung
    cell: Cell
    detail: int
    leads: tuple[float, float]
    left: str | None
    right: str | None

    def end_room(self, faces: Sequence[Face]) -> tuple[float, float]:
        return end_room(faces, self.rung, self.left, False), end_room(faces, self.rung, self.right, True)

    def total(self, faces: Sequence[Face]) -> float:
        return sum(self.end_room(faces)) + sum(self.leads) + self.cell.width


def end_room(faces: Sequence[Face], rung: Rung, end: str | None, right: bool) -> float:
    """Width of what stands between a line's end and the edge of the ladder."""
    if end is not None:
        return FOLD if end.startswith("fold ") else 0.0
    return max(width(text, TEXT) for text in end_texts(faces, rung, right)) + END_GAP + CLEAR


def end_texts(faces: Sequence[Face], rung: Rung, right: bool) -> list[str]:
    """What stands at a named end, on each face that has the rung."""
    if isinstance(rung.tree, ThreePhase):
        return [""] if right else [rail_text(key) for key in rung.section]
    return [end_text(face, rung, right) for face in faces if face.shows(rung.tree)]


def end_text(face: Face, rung: Rung, right: bool) -> str:
    """A terminal drawn elsewhere, or that it is open; of what lies between a pole and its rail, the rail."""
    if rung.section == SUPPLY and right:
        fed = (r.key for r in face.wiring.rails.values() if keys(rung.tree).intersection(r.feed))
        return rail_text(next(fed))
    return face.end_text(rung.tree, right)


def rail_text(key: str) -> str:
    """A rail is no longer its pole: a disconnect may stand between the two."""
    return f"rail {fitted_terminal(key, LONGEST_END, TEXT)}"


def rows_of(rung: Rung, faces: Sequence[Face]) -> list[Row]:
    """The rung in as few rows as it fits in, and after them what had to be taken out of it."""
    for detail in (2, 1, 0, TIGHTEST):
        row = _row(rung, rung.tree, faces, detail, rung.left, rung.right)
        if row.total(faces) <= ROOM:
            return [row]
    if isinstance(rung.tree, ThreePhase):
        pairs = zip(rung.tree.chains, rung.tree.windings, strict=True)
        lines = [series([chain, winding] if chain else [winding]) for chain, winding in pairs]
        return [row for line in lines for row in rows_of(replace(rung, tree=line), faces)]
    limit = ROOM - (2 * FOLD if isinstance(rung.tree, Series) else sum(row.end_room(faces)))
    tree, extras = _narrowed(rung.tree, limit, faces)
    if extras:
        apart = [Rung(rung.section, None, None, extra, Group.APART) for extra in extras]
        return [row for r in (replace(rung, tree=tree), *apart) for row in rows_of(r, faces)]
    return _folded(rung, faces)


def _row(
    rung: Rung, tree: Tree, faces: Sequence[Face], detail: int, left: str | None, right: str | None
) -> Row:
    measure = Measure(faces, detail)
    cell = measure.cell(tree)
    leads = (0.0, 0.0) if isinstance(tree, ThreePhase) else measure.leads(cell)
    return Row(rung, cell, detail, leads, left, right)


def _folded(rung: Rung, faces: Sequence[Face]) -> list[Row]:
    """Cut a long line between its parts; each cut is an end that names the other line."""
    parts = list(rung.tree.parts) if isinstance(rung.tree, Series) else [rung.tree]
    rows, start = list[Row](), 0
    while start < len(parts):
        stop = len(parts)
        while True:
            left = rung.left if start == 0 else _fold(parts[start])
            right = rung.right if stop == len(parts) else _fold(parts[stop])
            row = _row(rung, series(parts[start:stop]), faces, TIGHTEST, left, right)
            if row.total(faces) <= ROOM or stop == start + 1:
                break
            stop -= 1
        rows.append(row)
        start = stop
    return rows


def _fold(following: Tree) -> str:
    first = next(leaves(following))
    return f"fold {first.key} {first.sides}"  # an element may stand in one rung before and in another after


def _narrowed(tree: Tree, limit: float, faces: Sequence[Face]) -> tuple[Tree, list[Tree]]:
    """The tree without the widest of its branches, until it fits; and those branches."""
    measure = Measure(faces, TIGHTEST)
    match tree:
        case Series(parts):
            done = [_narrowed(part, limit, faces) for part in parts]
            return series(part for part, _ in done), [extra for _, extras in done for extra in extras]
        case Motor() if _wide(measure, tree) > limit:
            less = limit - _wide(measure, tree) + _wide(measure, tree.below)
            below, extras = _narrowed(tree.below, less, faces)
            thinner = replace(tree, below=below)
            if _wide(measure, thinner) <= limit:
                return thinner, extras
            return _narrowed(parallel([tree.main, series([tree.aux, tree.below])]), limit, faces)
        case Parallel(parts) if _wide(measure, tree) > limit:
            spare = [n for n in range(len(parts)) if _spared(parts, n, faces)]
            if not spare:
                return tree, []
            widest = max(spare, key=lambda n: (_wide(measure, parts[n]), n))
            rest = parallel(part for n, part in enumerate(parts) if n != widest)
            left, extras = _narrowed(rest, limit, faces)
            return left, [parts[widest], *extras]
        case _:
            return tree, []


def _spared(parts: Sequence[Tree], number: int, faces: Sequence[Face]) -> bool:
    """Whether without that part something stays on every side that has any: else a plain line would."""
    rest = [part for n, part in enumerate(parts) if n != number]
    return all(
        any(face.shows(part) for part in rest) for face in faces if any(face.shows(part) for part in parts)
    )


def _wide(measure: Measure, tree: Tree) -> float:
    cell = measure.cell(tree)
    return cell.width + sum(measure.leads(cell))
