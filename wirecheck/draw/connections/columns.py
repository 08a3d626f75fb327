"""Two columns of parts, in an order that keeps conductors short, and the height of every slot.

Slots at the left lie on another grid than those at the right, 8 units off: so no two conductors ever
run level with each other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.draw.connections.cut import Name, Ties, homes_of
from wirecheck.draw.connections.untangle import untangled
from wirecheck.draw.pieces import TEXT
from wirecheck.draw.text import fitted, width

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wirecheck.draw.connections.ends import Route, Slot
    from wirecheck.draw.connections.parts import Part

TOP = 32.0
GRID = 16.0  # a line of a body: a conductor end, or what is written below one
NAME_LINE = 19.0
BETWEEN = 12.0
PAD = 6.0
NARROWEST = 86.0  # of a body
FREE_GAP = 6.0
SCREW = 8.0  # before the name of a terminal without conductors


class Room(Struct, frozen=True):
    """Where things lie in a part: lines from its first one down. lines: how many it has."""

    slots: dict[Slot, int]
    fields: tuple[tuple[str, int, int], ...]  # node, first line, how many
    free: tuple[tuple[str, int, float], ...]  # node, line, offset from the left
    lines: int

    @property
    def tall(self) -> float:
        return NAME_LINE + GRID * self.lines + 1


class Columns(Struct, frozen=True):
    """Parts from the top, and y of each part and each slot."""

    left: tuple[Part, ...]
    right: tuple[Part, ...]
    rooms: Mapping[Name, Room]
    tops: dict[Name, float]
    slots: dict[Slot, float]
    bottom: float

    def is_left(self, name: Name) -> bool:
        return any(part.name == name for part in self.left)


def room_of(part: Part, lines: Mapping[Slot, int]) -> Room:
    """The lines of a part; a slot has one, or as many as `lines` says, for what is written below it."""
    line = 1 if part.marked else 0
    slots: dict[Slot, int] = {}
    fields = []
    for field in part.fields:
        if not field.slots:
            continue
        first = line
        for slot in field.slots:
            slots[slot] = line
            line += lines.get(slot, 1)
        fields.append((field.node, first, line - first))
    free, x = [], PAD
    names = [field.node for field in part.fields if not field.slots]
    for node in names:
        long = SCREW + width(free_name(node), TEXT)
        if x > PAD and x + long > NARROWEST - PAD:
            line, x = line + 1, PAD
        free.append((node, line, x))
        x += long + FREE_GAP
    return Room(slots, tuple(fields), tuple(free), line + (1 if free else 0))


def free_name(node: str) -> str:
    """What a terminal without conductors is called, in its device."""
    return fitted(node.rpartition(".")[2], NARROWEST - 2 * PAD - SCREW, TEXT)


def columns_of(
    parts: Sequence[Part], routes: Sequence[Route], lines: Mapping[Slot, int], uneven: float, budget: int
) -> Columns:
    """The columns, their order, and the order of ends at each terminal."""
    rooms = {part.name: room_of(part, lines) for part in parts}
    homes = homes_of(parts)
    whole = [r for r in routes if r.a in homes and r.b in homes]
    sides = _sides(parts, rooms, Ties(parts, whole).to, uneven)
    left, right = untangled(sides, lines, whole, budget)
    return _placed(left, right, {part.name: room_of(part, lines) for part in (*left, *right)})


def _sides(
    parts: Sequence[Part],
    rooms: Mapping[Name, Room],
    ties: Mapping[Name, Mapping[Name, int]],
    uneven: float,
) -> tuple[list[Part], list[Part]]:
    """Panel left, the rest right; from a much taller column, what hangs most on that column itself."""
    sides = [part for part in parts if part.in_panel], [part for part in parts if not part.in_panel]
    while True:
        tall, short = sorted(sides, key=lambda held: -_height(held, rooms))
        high, low = _height(tall, rooms), _height(short, rooms)
        better = [p for p in tall if max(high - _height([p], rooms), low + _height([p], rooms)) < high]
        if high <= uneven * low or not better:
            return sides
        here, there = ({p.name for p in held} for held in (tall, short))

        def pulled(part: Part, here: set[Name] = here, there: set[Name] = there) -> int:
            to = ties[part.name].items()
            return sum(n for other, n in to if other in here) - sum(n for other, n in to if other in there)

        gone = max(better, key=pulled)
        tall.remove(gone)
        short.append(gone)


def _height(parts: Sequence[Part], rooms: Mapping[Name, Room]) -> float:
    return sum(rooms[part.name].tall + BETWEEN for part in parts)


def _tops(parts: Sequence[Part], rooms: Mapping[Name, Room], first: float) -> dict[Name, float]:
    tops, y = {}, first
    for part in parts:
        tops[part.name] = y
        y += rooms[part.name].tall + BETWEEN
    return tops


def _placed(left: Sequence[Part], right: Sequence[Part], rooms: Mapping[Name, Room]) -> Columns:
    tops = {**_tops(left, rooms, TOP), **_tops(right, rooms, TOP + GRID / 2)}
    slots = {
        slot: tops[part.name] + NAME_LINE + GRID * (line + 0.5)
        for part in (*left, *right)
        for slot, line in rooms[part.name].slots.items()
    }
    bottom = max((tops[p.name] + rooms[p.name].tall for p in (*left, *right)), default=TOP)
    return Columns(tuple(left), tuple(right), rooms, tops, slots, bottom)
