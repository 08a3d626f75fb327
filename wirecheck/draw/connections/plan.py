"""Sheets of a connection diagram: which part on which, laid out, cut again where one is too full."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.draw.connections.columns import NARROWEST, PAD
from wirecheck.draw.connections.cut import Name, Ties, by_name, homes_of, sheets_of
from wirecheck.draw.connections.layout import ROOMY, Layout, lay
from wirecheck.draw.connections.parts import parts_of
from wirecheck.draw.pieces import TEXT
from wirecheck.draw.text import plain, width

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wirecheck.draw.connections.ends import Slot, Union
    from wirecheck.draw.connections.parts import Part

MOST = 30  # conductors on a sheet
TALLEST = 980.0  # units of a sheet: two beside each other are no taller than A4 or Letter at 8 pt
BUDGET = 600_000  # comparisons of two conductors while a drawing is untangled; fewer where there are many
MANY = 60
UNEVEN = (1.35, 3.0)  # columns: how much taller one may be; the second where the first is not clear enough
FEWEST_HALF = 4


class Plan(Struct, frozen=True):
    """All sheets, and on which of them each slot is."""

    union: Union
    sheets: tuple[Layout, ...]
    home: Mapping[Slot, int]  # from 1


def plan(union: Union) -> Plan:
    """Everything on as few sheets as are clear."""
    parts = parts_of(union)
    ties, known = Ties(parts, union.routes), by_name(parts)
    most = max(sum(r.wires[v] is not None for r in union.routes) for v in range(len(union.views)))
    queue = [list(known)] if parts and most <= MOST else sheets_of(ties, known, MOST)
    at = _routes_at(parts, union)
    budget = BUDGET * min(1.0, MANY / max(len(union.routes), 1))
    done: list[Layout] = []
    while queue:
        names = queue.pop(0)
        held = [known[name] for name in names]
        share = len({r for part in held for r in at[part.name]}) / max(len(union.routes), 1)
        laid = _laid(union, held, int(budget * share))
        if (laid.fits and laid.height <= TALLEST) or len(names) == 1:
            done.append(laid)
            continue
        most = max(len(laid.routes) + len(laid.cut), FEWEST_HALF) * 2 // 3
        queue[:0] = _smaller(ties, names, most)
    home = {
        slot: number
        for number, laid in enumerate(done, 1)
        for part in (*laid.columns.left, *laid.columns.right)
        for slot in part.slots
    }
    return Plan(union, tuple(done), home)


def _laid(union: Union, parts: Sequence[Part], budget: int) -> Layout:
    """The parts on a sheet, the other way about where one way is not clear enough."""
    for uneven in UNEVEN:
        laid = lay(parts, union.routes, _lines(union, parts, ROOMY), uneven, budget)
        if laid.body < ROOMY:
            laid = lay(parts, union.routes, _lines(union, parts, NARROWEST), uneven, budget)
        if laid.fits:
            break
    return laid


def _routes_at(parts: Sequence[Part], union: Union) -> dict[Name, list[int]]:
    """The routes that end on each part, by number."""
    homes, found = homes_of(parts), {part.name: list[int]() for part in parts}
    for number, route in enumerate(union.routes):
        for slot in (route.a, route.b):
            found[homes[slot]].append(number)
    return found


def _smaller(ties: Ties, names: Sequence[Name], most: int) -> list[list[Name]]:
    """A sheet in two or more."""
    while True:
        found = sheets_of(ties, names, most)
        if len(found) > 1:
            return found
        if most <= 1:
            return [[name] for name in names]
        most //= 2


def _lines(union: Union, parts: Sequence[Part], body: float) -> dict[Slot, int]:
    """How many lines the slots need that need more than one: a plate below them, or where they go on."""
    homes = homes_of(parts)
    found: dict[Slot, int] = {}
    for route in union.routes:
        for slot, other in ((route.a, route.b), (route.b, route.a)):
            if slot in homes:
                more = len(stub_lines("off", other.node, 88, body)) if other not in homes else 0
                more += any(slot in v.landings and v.landings[slot].plate for v in union.views)
                if more:
                    found[slot] = max(1 + more, found.get(slot, 1))
    return found


def stub_lines(word: Literal["to", "off"], terminal: str, sheet: int, body: float) -> tuple[str, ...]:
    """Where a cut conductor goes on, on one line or two, as wide as a body has room for.

    off: its other end is not on that terminal now.
    """
    whole = f"{word} {plain(terminal)}, sheet {sheet}"
    if width(f"off {plain(terminal)}, sheet 88", TEXT) <= (ROOMY if body >= ROOMY else NARROWEST) - 2 * PAD:
        return (whole,)
    return f"{word} {plain(terminal)}", f"sheet {sheet}"
