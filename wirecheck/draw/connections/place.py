"""A laid-out sheet to pieces, as one view has it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.draw.connections.colours import names_of
from wirecheck.draw.connections.columns import GRID, NAME_LINE, PAD, SCREW, free_name
from wirecheck.draw.connections.pieces import Body, Run, Stop, Terminal
from wirecheck.draw.connections.plan import stub_lines
from wirecheck.draw.pieces import NAME, TEXT, Box, Label, Plate, plate_width
from wirecheck.draw.text import colour_letters, fitted, fitted_line, gauge_number, plain, width

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Conductor
    from wirecheck.draw.connections.ends import Route, Slot, View
    from wirecheck.draw.connections.layout import Layout
    from wirecheck.draw.connections.parts import Field, Part
    from wirecheck.draw.connections.pieces import Piece, Point
    from wirecheck.draw.connections.plan import Plan

OFF = 8.0  # a lifted end, from the screw that it was on
STUB = 8.0  # and its tip 2 more; the first lane is 16 away
NARROW_NAME = 22.0
SPACE = "(space)"


def code_of(wire: Conductor) -> str:
    """Letters of the colour and gauge: YE 18."""
    return f"{colour_letters(wire.color)} {gauge_number(wire.gauge)}".strip()


def words_left(wire: str, plate: str) -> str:
    """What stands at a screw whose conductor is not there any more. plate: at it, before the change."""
    return f"{plain(wire)} is {'gone' if plate.endswith('gone') else 'off'}"


def _at_edge(key: str, text: str, area: Box, y: float, at_right: bool, whole: str = "") -> Label:
    """A line inside a body, at one of its edges."""
    if at_right:
        return Label(key, text, area.right - PAD, y + 4, anchor="end", whole=whole)
    return Label(key, text, area.left + PAD, y + 4, whole=whole)


class Placer(Struct, frozen=True):
    """One view of one sheet."""

    plan: Plan
    laid: Layout
    number: int  # of the view

    @property
    def view(self) -> View:
        return self.plan.union.views[self.number]

    def pieces(self) -> tuple[Piece, ...]:
        """Bodies, their terminals and words, then the conductors."""
        found: list[Piece] = []
        columns = self.laid.columns
        for parts, (left, right) in zip((columns.left, columns.right), self.laid.bodies, strict=True):
            for part in parts:
                found.extend(self._part(part, left, right))
        routes = (*self.laid.routes, *self.laid.cut)
        found.extend(self._run(route) for route in routes if route.wires[self.number] is not None)
        return tuple(found)

    # --- bodies

    def _part(self, part: Part, left: float, right: float) -> list[Piece]:
        columns = self.laid.columns
        top, room = columns.tops[part.name], columns.rooms[part.name]
        box = Box(left, top, right, top + room.tall)
        if not part.there[self.number]:
            words = fitted_line(SPACE, right - left - 2 * PAD, TEXT)
            return [Body(part.key, box, "space"), Label(f"space {part.name}", words, left + PAD, top + 14)]
        mark, plate = part.marks[self.number]
        look = "gone" if mark == "gone" else "new" if mark else "splice" if part.kind == "splice" else ""
        found: list[Piece] = [Body(part.key, box, look, self._says(part))]  # type: ignore[arg-type]
        found.extend(self._name(part, box))
        if plate:
            x, y = left + PAD + plate_width(plate) / 2, top + NAME_LINE + GRID / 2
            found.append(Plate(f"plate {part.name}", part.key, plate, x, y))
        fields = {f.node: f for f in part.fields}
        for node, first, lines in room.fields:
            field_top = top + NAME_LINE + GRID * first
            area = Box(left, field_top, right, field_top + GRID * lines)
            found.extend(self._field(fields[node], area))
        for node, line, x in room.free:
            if node in self.view.circuit.terminals:
                y = top + NAME_LINE + GRID * (line + 0.5)
                text = free_name(node)
                area = Box(left + x, y - 7, left + x + SCREW + width(text, TEXT), y + 7)
                found.append(Terminal(node, area, ((left + x + 2.5, y),)))
                name = node.rpartition(".")[2]
                found.append(Label(f"free {node}", text, left + x + SCREW, y + 4, whole=name))
        return found

    def _says(self, part: Part) -> str:
        device = self.view.circuit.devices.get(part.key)
        return f"{part.key}, {device.type}" if device is not None else f"{part.key}, {part.kind}"

    def _name(self, part: Part, box: Box) -> list[Label]:
        room = box.right - box.left - 2 * PAD
        key = part.key.rstrip(" ")
        number = f" {part.number}/{part.of}" if part.of > 1 else ""
        name = fitted(key, room - width(number, NAME, bold=True), NAME, bold=True) + number
        x, y = box.left + PAD, box.top + 14
        found = [Label(f"name {part.name}", name, x, y, NAME, bold=True, whole=key)]
        kind = self._kind(part)
        left = room - width(name, NAME, bold=True) - 5
        if kind and width(kind, TEXT) <= left:
            found.append(Label(f"type {part.name}", kind, box.right - PAD, y, anchor="end"))
        return found

    def _kind(self, part: Part) -> str:
        if part.kind == "splice":
            return "capped" if part.key in self.view.circuit.capped else "splice"
        device = self.view.circuit.devices.get(part.key)
        words = {"loose": "loose end", "supply": "supply"}.get(part.kind, "")
        return plain(device.type) if device is not None else words

    # --- terminals

    def _field(self, field: Field, area: Box) -> list[Piece]:
        landings = self.view.landings
        if not self._is_there(field.node):
            return []
        held = [slot for slot in field.slots if slot in landings]
        screws = tuple(self.screw(slot) for slot in held if landings[slot].holds == "landed")
        vacant = tuple(self.screw(slot) for slot in field.slots if self._vacant(slot))
        found: list[Piece] = [Terminal(field.node, area, screws, vacant)]
        first = field.slots[0]
        name = field.node.rpartition(".")[2]
        words = {slot: self._words(slot, area, name if slot == first else "") for slot in field.slots}
        if self.view.circuit.device_of(field.node) or field.node in self.view.circuit.poles:
            room = area.right - area.left - 2 * PAD - width(words[first], TEXT) - (5 if words[first] else 0)
            text = fitted(name, max(room, NARROW_NAME), TEXT)
            at_right, y = not self._at_right(first), self.screw(first)[1]
            found.append(_at_edge(f"terminal {first}", text, area, y, at_right, name))
        for slot, text in words.items():
            found.extend(self._beside(slot, text, area))
        return found

    def _is_there(self, node: str) -> bool:
        return node in self.view.circuit.terminals or any(s.node == node for s in self.view.landings)

    def _vacant(self, slot: Slot) -> bool:
        """Whether a conductor was here that is off it now."""
        views = self.plan.union.views
        landed = self.view.landings.get(slot)
        was = any(slot in v.landings and v.landings[slot].holds == "landed" for v in views[: self.number])
        return (landed is not None and landed.holds != "landed") or (landed is None and was)

    def _left(self, slot: Slot) -> str:
        return words_left(slot.wire, self.plan.union.views[0].landings[slot].plate)

    def _words(self, slot: Slot, area: Box, name: str) -> str:
        """Colour and gauge, and what else finds room: the printed label, the conductor's name."""
        landed = self.view.landings.get(slot)
        room = area.right - area.left - 2 * PAD - (min(width(plain(name), TEXT), 60) + 5 if name else 0)
        if landed is None:
            return fitted_line(self._left(slot), room, TEXT) if self._vacant(slot) else ""
        wire = self.view.circuit.conductors[landed.wire]
        code = fitted_line(code_of(wire), area.right - area.left - 2 * PAD - NARROW_NAME - 5, TEXT)
        extra = [f'"{plain(wire.label)}"'] if wire.label else []
        at_right, found = self._at_right(slot), code
        for more in (*extra, plain(wire.id)):
            longer = f"{more} {found}" if at_right else f"{found} {more}"
            if width(longer, TEXT) <= room:
                found = longer
        return found

    def _beside(self, slot: Slot, text: str, area: Box) -> list[Piece]:
        """The words at a slot's screw; below them the plate, and where a cut conductor goes on."""
        found: list[Piece] = []
        y, at_right = self.screw(slot)[1], self._at_right(slot)
        if text:
            found.append(_at_edge(f"code {slot}", text, area, y, at_right))
        landed = self.view.landings.get(slot)
        if any(slot in v.landings and v.landings[slot].plate for v in self.plan.union.views):
            y += GRID
        if landed is not None and landed.plate:
            half = plate_width(landed.plate) / 2
            x = area.right - PAD - half if at_right else area.left + PAD + half
            found.append(Plate(f"plate {slot}", landed.wire, landed.plate, x, y))
        for line in self._goes_on(slot):
            y += GRID
            text = fitted_line(line, area.right - area.left - 2 * PAD, TEXT)
            found.append(_at_edge(f"stub {slot} {line}", text, area, y, at_right, line))
        return found

    def _goes_on(self, slot: Slot) -> tuple[str, ...]:
        for route in self.laid.cut:
            if slot in (route.a, route.b) and route.wires[self.number] is not None:
                other = route.b if slot == route.a else route.a
                landed = self.view.landings[other].holds == "landed"
                return stub_lines(
                    "to" if landed else "off", other.node, self.plan.home[other], self.laid.body
                )
        return ()

    # --- conductors

    def screw(self, slot: Slot) -> Point:
        """Where a slot is, on the edge of its body."""
        left, right = self._body(slot)
        return (right if self._at_right(slot) else left), self.laid.columns.slots[slot]

    def _body(self, slot: Slot) -> tuple[float, float]:
        return self.laid.bodies[0 if slot in self.laid.left_slots else 1]

    def _at_right(self, slot: Slot) -> bool:
        """Whether the conductor leaves to the right."""
        return (slot in self.laid.left_slots) != (slot in self.laid.outer_slots)

    def _stop(self, slot: Slot, cut: bool) -> Stop:
        x, y = self.screw(slot)
        landed = self.view.landings[slot]
        holds = landed.holds if not cut else "cut"
        away = {"lifted": OFF, "capped": OFF, "cut": STUB}.get(holds, 0.0)
        return Stop(landed.node, holds, x + (away if self._at_right(slot) else -away), y, (x, y))

    def _run(self, route: Route) -> Run:
        wire = route.wires[self.number]
        assert wire is not None  # noqa: S101 (pieces asks for routes of this view only)
        changed = wire.id in self.view.marks.wires
        says = self._in_words(wire)
        lane = self.laid.lanes.get(route)
        if lane is None:
            here = route.a if route.a in self.laid.columns.slots else route.b
            stops = self._stop(here, cut=False), self._stop(here, cut=True)
            points: tuple[Point, ...] = tuple((stop.x, stop.y) for stop in stops)
        else:
            stops = self._stop(route.a, cut=False), self._stop(route.b, cut=False)
            (x, y), (to_x, to_y) = ((stop.x, stop.y) for stop in stops)
            points = (x, y), (lane.x, y), (lane.x, to_y), (to_x, to_y)
        return Run(wire.id, points, stops, names_of(wire.color), changed, says)

    def _in_words(self, wire: Conductor) -> str:
        looks = ", ".join(
            t for t in (wire.color, wire.gauge, wire.route, wire.label and f'marked "{wire.label}"') if t
        )
        mark = self.view.marks.wires.get(wire.id, ("", ""))[1]
        ends = f"from {self._end_words(wire.a)} to {self._end_words(wire.b)}"
        return f"{wire.id}: {ends}" + (f"; {looks}" if looks else "") + (f"; {mark}" if mark else "")

    def _end_words(self, node: str) -> str:
        circuit = self.view.circuit
        kind = "loose end " if node in circuit.loose else "capped end " if node in circuit.capped else ""
        return f"{kind}{node}"
