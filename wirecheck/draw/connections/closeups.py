"""A terminal that hands will touch, close up: every conductor on it before and after."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.draw.connections.colours import names_of
from wirecheck.draw.connections.ends import union_of
from wirecheck.draw.connections.pieces import Body, Run, Sheet, Stop, Terminal
from wirecheck.draw.connections.place import OFF, code_of, words_left
from wirecheck.draw.pieces import NAME, TEXT, Box, Label, Plate, plate_width
from wirecheck.draw.text import fitted, fitted_line, fitted_terminal, plain, width, wrapped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Changed, PlainStep
    from wirecheck.draw.connections.ends import Landing, Slot, Union, View
    from wirecheck.draw.connections.pieces import Piece

WIDE = 360.0
HALF = 174.0
BLOCK = 16.0  # width of the terminal's block
REACH = 34.0  # of a conductor, from the block
WORDS = BLOCK + REACH + 6
LINE = 14.0
TOP = 36.0
BETWEEN = 8.0


def touched(changed: Changed) -> tuple[str, ...]:
    """Terminals and splices that hands will touch, as the steps reach them."""
    return tuple(terminal for held in touched_by_step(changed).values() for terminal in held)


def touched_by_step(changed: Changed) -> dict[int, tuple[str, ...]]:
    """Number of a plain step -> what it is the first to touch; 0 -> what no step names."""
    union = union_of(changed)
    landings = [(slot.node, held.plate) for view in union.views for slot, held in view.landings.items()]
    drawn = {node for node, _ in landings} - changed.after.loose
    left = {node for node, plate in landings if plate and not plate.endswith("cut")} & drawn
    found: dict[int, tuple[str, ...]] = {}
    done: set[str] = set()
    for step in changed.steps:
        own = {node for node, plate in landings if not plate or plate.startswith(f"Δ{step.number} ")}
        named = [*step.terminals, *(t for t in _on_devices(changed, step) if t in own)]
        found[step.number] = tuple(dict.fromkeys(t for t in named if t in drawn - done))
        done.update(found[step.number])
    return {**found, 0: tuple(sorted(left - done))}


def _on_devices(changed: Changed, step: PlainStep) -> list[str]:
    """Terminals of the devices that a step takes out, or puts in the place of others."""
    if step.kind not in ("remove", "replace"):
        return []
    sides = changed.before, changed.after
    devices = [circuit.devices[tag] for tag in step.devices for circuit in sides if tag in circuit.devices]
    return [terminal for device in devices for terminal in device.terminals]


def closeup(changed: Changed, terminal: str) -> Sheet:
    """One terminal before and after, with its conductors: looks, where they go, what is done to them.

    Raises KeyError where no conductor comes to it on either side.
    """
    union = union_of(changed)
    slots = [slot for slot in _slots(union) if slot.node == terminal]
    if not slots:
        raise KeyError(terminal)
    texts = [[_texts(union, view, slot) for slot in slots] for view in union.views]
    tops, y = [], TOP
    for row in zip(*texts, strict=True):
        tops.append(y)
        y += LINE * max(len(lines) + bool(plate) for lines, plate in row) + BETWEEN
    title = fitted_terminal(terminal, WIDE, NAME)
    pieces: list[Piece] = [Label("title", title, 0, 14, NAME, bold=True, whole=terminal)]
    says = []
    for number, (view, held) in enumerate(zip(union.views, texts, strict=True)):
        side = _Side(view, terminal, number * (WIDE - HALF), y)
        pieces.extend(side.pieces(slots, held, tops))
        said = "; ".join(", ".join(lines) + f" ({plate})" * bool(plate) for lines, plate in held if lines)
        says.append(f"{view.side}: {said or 'no conductor'}")
    return Sheet(f"{plain(terminal)}, close up", 1, 1, WIDE, y + 4, tuple(pieces), "\n".join(says))


def _slots(union: Union) -> list[Slot]:
    return list(dict.fromkeys(slot for route in union.routes for slot in (route.a, route.b)))


class _Side:
    """One half: the terminal as a block, each conductor to the right of it, its words behind."""

    def __init__(self, view: View, terminal: str, left: float, bottom: float) -> None:
        self.view, self.terminal = view, terminal
        self.left = left
        self.block = Box(left, TOP, left + BLOCK, bottom - BETWEEN / 2)

    def pieces(
        self, slots: Sequence[Slot], held: Sequence[tuple[list[str], str]], tops: Sequence[float]
    ) -> list[Piece]:
        side = self.view.side
        found = self._head()
        if self.terminal not in self.view.circuit.terminals:
            words = "(not there yet)" if side == "before" else "(gone)"
            return [*found, Label(f"space {side}", words, self.left, TOP + LINE)]
        screws, vacant = [], []
        for slot, (lines, plate), top in zip(slots, held, tops, strict=True):
            landed, screw = self.view.landings.get(slot), (self.block.right, top + LINE / 2)
            if landed is not None:
                found.append(self._run(landed, screw))
            if landed is not None and landed.holds == "landed":
                screws.append(screw)
            elif lines:
                vacant.append(screw)
            found.extend(self._words(slot, lines, plate, screw[1]))
        field = Box(self.left, TOP, self.block.right, TOP)
        return [
            Body(self.terminal, self.block, "", self.terminal),
            Terminal(self.terminal, field, tuple(screws), tuple(vacant)),
            *found,
        ]

    def _head(self) -> list[Piece]:
        """Which side it is, and what is done to the device that the terminal is on."""
        title = Label(f"side {self.view.side}", self.view.side.capitalize(), self.left, 30, bold=True)
        device = self.view.circuit.device_of(self.terminal)
        plate = self.view.marks.devices.get(device.tag, ("", ""))[1] if device is not None else ""
        if not plate or device is None:
            return [title]
        tag = fitted(f"{device.tag}:", 60, TEXT)
        x = title.box.right + 8
        middle = x + width(tag, TEXT) + 4 + plate_width(plate) / 2
        key = f"device {self.view.side}"
        return [title, Label(key, tag, x, 30), Plate(f"{key} plate", device.tag, plate, middle, 26)]

    def _run(self, landed: Landing, screw: tuple[float, float]) -> Run:
        wire = self.view.circuit.conductors[landed.wire]
        x, y = screw
        off = OFF if landed.holds != "landed" else 0.0
        stop = Stop(landed.node, landed.holds, x + off, y, screw)
        return Run(wire.id, ((x + off, y), (x + REACH, y)), (stop,), names_of(wire.color), bool(landed.plate))

    def _words(self, slot: Slot, lines: Sequence[str], plate: str, y: float) -> list[Piece]:
        x, side = self.left + WORDS, self.view.side
        found: list[Piece] = []
        for number, text in enumerate(lines):
            bold = number == 0 and slot in self.view.landings
            shown = fitted_line(text, HALF - WORDS, TEXT, bold)
            found.append(
                Label(f"{side} {slot} {number}", shown, x, y + 4 + LINE * number, bold=bold, whole=text)
            )
        if plate:
            middle = x + plate_width(plate) / 2
            found.append(Plate(f"{side} plate {slot}", slot.wire, plate, middle, y + LINE * len(lines)))
        return found


def _texts(union: Union, view: View, slot: Slot) -> tuple[list[str], str]:
    """What is written beside a slot, and on its plate."""
    landed = view.landings.get(slot)
    if landed is None:
        was = union.views[0].landings.get(slot)
        return ([words_left(slot.wire, was.plate)] if was is not None else [], "")
    wire = view.circuit.conductors[landed.wire]
    far = wire.b if slot.end == "a" else wire.a
    name = " ".join((plain(wire.id), code_of(wire), *([f'"{plain(wire.label)}"'] if wire.label else [])))
    looks = ", ".join(plain(text) for text in (wire.color, wire.gauge) if text)
    return [name, *([looks] if looks else []), *_far(view, wire, far)], landed.plate


def _far(view: View, wire: Conductor, far: str) -> list[str]:
    """Where it goes, and which way."""
    room = HALF - WORDS
    to = "to a loose end" if far in view.circuit.loose else f"to {fitted_terminal(far, room - 14, TEXT)}"
    lines = list(wrapped(wire.route or "", room, TEXT))
    long = plain(wire.length or "")
    if lines and long and width(f"{lines[-1]}, {long}", TEXT) <= room:
        lines[-1] += f", {long}"
    elif long:
        lines.append(fitted_line(long, room, TEXT))
    return [to, *lines]
