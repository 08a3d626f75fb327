"""A ladder's sections, one for each pair of rails, with every row at its height: the same for all faces."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.draw.pieces import RAIL
from wirecheck.draw.place import Placed, place, rows, within
from wirecheck.draw.rows import LEFT, RIGHT, ROOM, Row, rows_of
from wirecheck.draw.rungs import LOOSE, SUPPLY, rungs_of
from wirecheck.draw.tree import ThreePhase, leaves, only
from wirecheck.draw.union import alone, slots, with_motors

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from wirecheck.draw.look import Face
    from wirecheck.draw.measure import Cell
    from wirecheck.draw.tree import Tree
    from wirecheck.draw.union import Slot

HEAD = RAIL + 11.0  # title or rails' names above the first row
BETWEEN_ROWS = 8.0
BETWEEN_SECTIONS = 18.0
SETTLE = 6  # how often names of ends are looked at anew
NUMBERS_APART = 12.0  # lines closer than this share a number
BESIDE = 16.0  # between short rungs on one line


class Set(Struct, frozen=True):
    """A row in its place. x_in, x_out: where its line begins and ends."""

    row: Row
    placed: Placed
    x_in: float
    x_out: float


class Section(Struct, frozen=True):
    """key: as Rung.section. top and bottom within the ladder, rails from `rail_top` to `rail_bottom`."""

    key: tuple[str, ...]
    top: float
    rail_top: float
    rail_bottom: float
    bottom: float
    sets: tuple[Set, ...]


class Plan(Struct, frozen=True):
    """All sections; numbers: of the line at each height."""

    sections: tuple[Section, ...]
    numbers: Mapping[float, int]
    bottom: float

    def lines(self, face: Face) -> dict[str, int]:
        """The number of the line on which a face has each edge."""
        sets = [one for section in self.sections for one in section.sets if face.shows(one.row.rung.tree)]
        return {
            leaf.key: self.numbers[height]
            for one in sets
            for height, leaf in rows(one.placed)
            if leaf is not None and face.shows(leaf)
        }


def plan(faces: Sequence[Face]) -> Plan:
    """Lay out one circuit, or two in one set of slots."""
    order = _edge_order(faces)
    rungs = [rungs_of(face.wiring) for face in faces]
    found = alone(rungs[0], order) if len(faces) == 1 else slots(rungs[0], rungs[1], order)
    held = with_motors(found, {face.side: face.wiring for face in faces})
    laid = _stacked(held, faces)
    for _ in range(SETTLE):  # names of ends take room, which may send another line there
        news = [_refer(laid, face) for face in faces]
        if not any(news):
            break
        laid = _stacked(held, faces)
    return laid


def _refer(laid: Plan, face: Face) -> bool:
    """Let ends name what a reader finds: where a net passes through a rung; and letter inner points named so.

    True where anything is new.
    """
    sets = [one for section in laid.sections for one in section.sets if face.shows(one.row.rung.tree)]
    trees = [one.row.rung.tree for one in sets if not isinstance(one.row.rung.tree, ThreePhase)]
    anchors = {net: t for tree in trees for net, t in reversed(_passed(face, tree))}
    old = face.anchors, face.pointed
    face.anchors = anchors
    named = [
        face.goes_to(one.row.rung.tree, right)
        for one in sets
        for right, end in ((False, one.row.left), (True, one.row.right))
        if end is None and not isinstance(one.row.rung.tree, ThreePhase)
    ]
    face.pointed |= frozenset(t for t in named if t is not None and t.rpartition(".")[2].startswith("("))
    return (face.anchors, face.pointed) != old


def _passed(face: Face, tree: Tree) -> list[tuple[str, str]]:
    """The nets inside a tree, each with the first terminal there; not those at its ends."""
    ends = {face.net(tree, right) for right in (False, True)}
    edges = [face.wiring.edges[leaf.key] for leaf in leaves(tree) if face.shows(leaf)]
    inside = [(face.wiring.net(t), t) for edge in edges for t in (edge.a, edge.b)]
    return [(net, t) for net, t in inside if net not in ends]


def _edge_order(faces: Sequence[Face]) -> dict[str, int]:
    keys = dict.fromkeys(key for face in faces for key in face.wiring.edges)
    return {key: number for number, key in enumerate(keys)}


def _stacked(held: Iterable[Slot], faces: Sequence[Face]) -> Plan:
    by_key: dict[tuple[str, ...], list[Slot]] = {}
    for slot in held:
        by_key.setdefault(slot.section, []).append(slot)
    sections, y = [], 0.0
    for key in sorted(by_key, key=lambda key: _rank(key, faces)):
        section = _section(key, by_key[key], y, faces)
        sections.append(section)
        y = section.bottom + BETWEEN_SECTIONS
    heights = {height for section in sections for one in section.sets for height, _ in rows(one.placed)}
    return Plan(tuple(sections), _numbered(sorted(heights)), y)


def _numbered(heights: Sequence[float]) -> dict[float, int]:
    """A number for each height, from the top."""
    found: dict[float, int] = {}
    first, number = float("-inf"), 0
    for height in heights:
        if height - first >= NUMBERS_APART:
            first, number = height, number + 1
        found[height] = number
    return found


def _rank(key: tuple[str, ...], faces: Sequence[Face]) -> tuple[int, ...]:
    if key == SUPPLY:
        return (-1,)
    if key == LOOSE:
        return (1_000_000,)
    rails = dict.fromkeys(rail.key for face in faces for rail in face.wiring.rails.values())
    return tuple(list(rails).index(rail) for rail in key)


def _section(key: tuple[str, ...], held: Sequence[Slot], top: float, faces: Sequence[Face]) -> Section:
    y, sets = top + HEAD, list[Set]()
    line: list[Row] = []  # short rungs that share a line
    for slot in held:
        columns = _columns(slot, faces)
        if len(columns) == 1 and len(columns[0]) == 1 and _is_short(columns[0][0]):
            row = columns[0][0]
            if line and sum(r.total(faces) + BESIDE for r in line) + row.total(faces) > ROOM:
                y = _set_line(line, y, sets, faces)
                line = []
            line.append(row)
            continue
        if line:
            y, line = _set_line(line, y, sets, faces), []
        y = max(_set_column(column, y, sets, faces) for column in columns)
    if line:
        y = _set_line(line, y, sets, faces)
    hung = [one.placed.y for one in sets if {one.row.left, one.row.right} & set(key)]
    return Section(key, top, top + HEAD - 6, max(hung, default=top + HEAD), y, tuple(sets))


def _columns(slot: Slot, faces: Sequence[Face]) -> list[list[Row]]:
    """The rows of a slot: one column for both faces, or one for each where the two share only the room.

    What fits in no way with slots for both is laid out for each face by itself.
    """
    columns = [rows_of(rung, faces) for rung in slot.rungs]
    rung, shared = slot.rungs[0], columns[0]
    if len(columns) > 1 or len({leaf.sides for leaf in leaves(rung.tree)}) == 1:
        return columns
    # A folded line that has nothing on it in one of the pictures would only mislead.
    whole = all(face.shows(row.cell.tree) for row in shared for face in faces if face.shows(row.rung.tree))
    if whole and all(row.total(faces) <= ROOM for row in shared):
        return columns
    alone = [(only(rung.tree, face.side), face) for face in faces]
    return [rows_of(replace(rung, tree=tree), [face]) for tree, face in alone if tree is not None]


def _is_short(row: Row) -> bool:
    return row.left is None and row.right is None and not _branches(row.cell)


def _branches(cell: Cell) -> bool:
    """Whether the row takes more than one line."""
    return bool(cell.drops) or any(_branches(part) for part in cell.parts)


def _set_column(column: Iterable[Row], y: float, sets: list[Set], faces: Sequence[Face]) -> float:
    """Rows below each other; the height below the last."""
    for row in column:
        height = y + row.cell.up
        sets.append(_set(row, height, LEFT, faces))
        y = height + row.cell.down + BETWEEN_ROWS
    return y


def _set_line(line: Sequence[Row], y: float, sets: list[Set], faces: Sequence[Face]) -> float:
    """Short rungs beside each other."""
    height, x = y + max(row.cell.up for row in line), LEFT + 2
    for row in line:
        sets.append(_set(row, height, x, faces))
        x += row.total(faces) + BESIDE
    return height + max(row.cell.down for row in line) + BETWEEN_ROWS


def _set(row: Row, y: float, x: float, faces: Sequence[Face]) -> Set:
    """From rail to rail where it meets both; against the one that it meets; else from x."""
    before, after = row.end_room(faces)
    inner = sum(row.leads) + row.cell.width
    if row.left is not None and row.right is not None:
        x_in, x_out = LEFT + before, RIGHT - after
    elif row.right is not None:
        x_in, x_out = RIGHT - after - inner, RIGHT - after
    else:
        x_in, x_out = x + before, x + before + inner
    if isinstance(row.cell.tree, ThreePhase):
        return Set(row, place(row.cell, x_in, y, row.cell.width), x_in, x_out)
    return Set(row, within(row.cell, x_in, y, x_out - x_in, *row.leads), x_in, x_out)
