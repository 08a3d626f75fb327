"""One sheet laid out: columns, lanes, and how wide everything is."""

from __future__ import annotations

from functools import cached_property
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.draw.connections.columns import BETWEEN, NARROWEST, Columns, columns_of
from wirecheck.draw.connections.cut import homes_of
from wirecheck.draw.connections.lanes import Way, crossings, fewest, lanes

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wirecheck.draw.connections.ends import Route, Slot
    from wirecheck.draw.connections.parts import Part

WIDE = 360.0
APART = 8.0  # of two lanes
WIDEST_APART = 16.0
MARKED_MORE = 6.0  # beside a conductor with a casing
CLEAR = 16.0  # from a body to the first lane of the channel
OUTER_CLEAR = 12.0  # to the first lane outside
EDGE = 4.0  # of the sheet, to a lane
MOST_OUTSIDE = 4
WIDEST = 122.0  # of a body
ROOMY = 104.0  # bodies give way to lanes that save crossings as far as this

Zone = Literal["left", "channel", "right"]


class Lane(Struct, frozen=True):
    """Where a conductor goes up and down."""

    zone: Zone
    x: float


class Layout(Struct, frozen=True, dict=True):
    """A sheet with all its places. bodies: left and right edge of each column. crosses: of each view."""

    columns: Columns
    routes: tuple[Route, ...]  # with both ends here
    cut: tuple[Route, ...]  # with one end here
    lanes: Mapping[Route, Lane]
    bodies: tuple[tuple[float, float], tuple[float, float]]
    body: float  # width, below NARROWEST where there were too many lanes
    crosses: tuple[int, ...]
    height: float

    def conductors(self, view: int) -> int:
        return sum(route.wires[view] is not None for route in (*self.routes, *self.cut))

    @property
    def fits(self) -> bool:
        """Whether it is wide enough, and clear enough: drawings.md, section 9."""
        counts = [(self.conductors(view), crosses) for view, crosses in enumerate(self.crosses)]
        return self.body >= NARROWEST and all(c <= n * (1.0 if n <= 20 else 1.5) for n, c in counts)

    @cached_property
    def left_slots(self) -> frozenset[Slot]:
        return frozenset(slot for part in self.columns.left for slot in part.slots)

    @cached_property
    def outer_slots(self) -> frozenset[Slot]:
        """Those whose conductor leaves on the side away from the channel."""
        outer = [route for route, lane in self.lanes.items() if lane.zone != "channel"]
        return frozenset(slot for route in outer for slot in (route.a, route.b))


def lay(
    parts: Sequence[Part], routes: Sequence[Route], lines: Mapping[Slot, int], uneven: float, budget: int
) -> Layout:
    """A sheet of these parts; of the routes those that end on it.

    lines: of each slot, where more than one. uneven: how much taller one column may be.
    budget: how many comparisons of two conductors the untangling may make.
    """
    homes = homes_of(parts)
    whole = tuple(r for r in routes if r.a in homes and r.b in homes)
    cut = tuple(r for r in routes if (r.a in homes) != (r.b in homes))
    columns = columns_of(parts, whole, lines, uneven, budget)
    zones = _zones(columns, whole, homes)
    held = {zone: _ways(columns, zone, zones[zone], homes) for zone in ("left", "channel", "right")}
    outer = {zone: lanes(held[zone]) for zone in ("left", "right")}
    few = fewest(held["channel"])
    roomy = (WIDE - _outer(len(outer["left"])) - _outer(len(outer["right"])) - 2 * ROOMY - 2 * CLEAR) / APART
    inner = lanes(held["channel"], more=max(0, int(roomy) + 1 - few))
    found = {"left": outer["left"], "channel": inner, "right": outer["right"]}
    return _measured(columns, whole, cut, held, found)  # type: ignore[arg-type]


def _outer(lanes_there: int) -> float:
    return OUTER_CLEAR + EDGE + APART * (lanes_there - 1) if lanes_there else 2.0


def _zones(
    columns: Columns, routes: Sequence[Route], homes: Mapping[Slot, tuple[str, int]]
) -> dict[Zone, list[Route]]:
    """Within a column outside it; between columns, and what is changed, and what finds no room, between."""
    zones: dict[Zone, list[Route]] = {"left": [], "channel": [], "right": []}
    for route in routes:
        a, b = columns.is_left(homes[route.a]), columns.is_left(homes[route.b])
        zone: Zone = "channel" if a != b or route.changed else "left" if a else "right"
        zones[zone].append(route)
    for zone in ("left", "right"):
        held = zones[zone]
        while fewest(_ways(columns, zone, held, homes)) > MOST_OUTSIDE:
            longest = max(held, key=lambda r: abs(columns.slots[r.a] - columns.slots[r.b]))
            held.remove(longest)
            zones["channel"].append(longest)
    return zones


def _ways(
    columns: Columns, zone: Zone, routes: Sequence[Route], homes: Mapping[Slot, tuple[str, int]]
) -> list[Way]:
    """What the routes of a zone look like to it: bodies stand right of the left lanes."""
    found = []
    for route in routes:
        at: dict[bool, list[float]] = {True: [], False: []}
        for slot in (route.a, route.b):
            from_left = columns.is_left(homes[slot]) if zone == "channel" else zone == "right"
            at[from_left].append(columns.slots[slot])
        found.append(Way(route, tuple(at[True]), tuple(at[False])))
    return found


def _measured(
    columns: Columns,
    whole: tuple[Route, ...],
    cut: tuple[Route, ...],
    ways: Mapping[Zone, Sequence[Way]],
    found: Mapping[Zone, Sequence[Sequence[int]]],
) -> Layout:
    left, right = _outer(len(found["left"])), _outer(len(found["right"]))
    room = WIDE - left - right - 2 * CLEAR
    body, gaps = _channel(
        room, [any(ways["channel"][i].route.changed for i in lane) for lane in found["channel"]]
    )
    starts = {"left": EDGE, "right": WIDE - right + OUTER_CLEAR}
    starts["channel"] = left + body + (WIDE - left - right - 2 * body - sum(gaps)) / 2
    placed = {}
    for zone, held in found.items():
        x = starts[zone]
        for number, lane in enumerate(held):
            placed.update({ways[zone][i].route: Lane(zone, x) for i in lane})
            x += gaps[number] if zone == "channel" and number < len(gaps) else APART
    bodies = (left, left + body), (WIDE - right - body, WIDE - right)
    views = range(len((*whole, *cut)[0].wires)) if whole or cut else range(0)
    crosses = tuple(sum(_crossings(ways[z], found[z], view) for z in ways) for view in views)
    return Layout(columns, whole, cut, placed, bodies, body, crosses, columns.bottom + BETWEEN)


def _channel(room: float, changed: Sequence[bool]) -> tuple[float, list[float]]:
    """How wide bodies are, and how far the lanes of the channel apart. changed: which lanes are marked."""
    least = APART * max(len(changed) - 1, 0)
    more = [MARKED_MORE if one or two else 0.0 for one, two in pairwise(changed)]
    body = max((room - least - sum(more)) / 2, min(ROOMY, (room - least) / 2))
    body = min(body, WIDEST)
    free = room - least - 2 * body
    marked = min(1.0, free / sum(more)) if any(more) else 0.0
    spread = (free - marked * sum(more)) / len(more) if more else 0.0
    return body, [min(APART + marked * extra + spread, WIDEST_APART) for extra in more]


def _crossings(ways: Sequence[Way], held: Sequence[Sequence[int]], view: int) -> int:
    order = [[i for i in lane if ways[i].route.wires[view] is not None] for lane in held]
    return sum(crossings(ways[i], ways[j]) for one, two in combinations(order, 2) for i in one for j in two)
