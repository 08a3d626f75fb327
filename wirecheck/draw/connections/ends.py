"""Where every conductor end lies, before and after, in one set of slots.

An end that a change takes off keeps its slot; one that it lands gets another. So no slot ever moves.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

from msgspec import Struct

from wirecheck.circuit.graph import Changed
from wirecheck.circuit.hands import origin
from wirecheck.draw.marks import marks_after, marks_before
from wirecheck.draw.pieces import Marks

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Circuit, PlainStep
    from wirecheck.draw.connections.pieces import Holds

Which = Literal["a", "b"]


class Slot(NamedTuple):
    """Room for one end of one conductor at a terminal, a splice or by itself."""

    wire: str  # a half of a cut conductor lies where the whole one lay
    end: Which
    node: str


class Landing(Struct, frozen=True):
    """What a slot holds on one side. plate: the mark of the change, at the end that hands touch."""

    wire: str
    node: str  # the node of the circuit, which a loose or capped end has to itself
    holds: Holds
    plate: str = ""


class View(Struct, frozen=True):
    """One side: the circuit, its marks, and what each slot holds."""

    side: Literal["", "before", "after"]
    circuit: Circuit
    marks: Marks
    landings: dict[Slot, Landing]


class Route(Struct, frozen=True):
    """A conductor from slot to slot, on the views that have it so."""

    a: Slot
    b: Slot
    wires: tuple[Conductor | None, ...]  # for each view
    changed: bool

    def meets(self, other: Route) -> bool:
        """Whether one picture shows both."""
        return any(
            one is not None and two is not None for one, two in zip(self.wires, other.wires, strict=True)
        )


class Union(Struct, frozen=True):
    """All views, and the routes in the order of the file."""

    views: tuple[View, ...]
    routes: tuple[Route, ...]


def union_of(drawn: Circuit | Changed) -> Union:
    """The slots and routes of one circuit, or of a change on both its sides."""
    if not isinstance(drawn, Changed):
        slots = {
            Slot(w.id, end, n): Landing(w.id, n, "landed")
            for w in drawn.conductors.values()
            for end, n in _ends(w)
        }
        return _joined((View("", drawn, Marks(), slots),))
    before = {
        Slot(w.id, end, n): Landing(w.id, n, "landed")
        for w in drawn.before.conductors.values()
        for end, n in _ends(w)
    }
    after = dict(_after(drawn, before))
    found = (
        View("before", drawn.before, marks_before(drawn), _with_before_plates(drawn, before, after)),
        View("after", drawn.after, marks_after(drawn), _with_after_plates(drawn, before, after)),
    )
    return _joined(found)


def _ends(wire: Conductor) -> tuple[tuple[Which, str], tuple[Which, str]]:
    return ("a", wire.a), ("b", wire.b)


def whole_of(changed: Changed, wire: str) -> str:
    """The conductor that a half was cut from; any other by its own id."""
    stem, dot, half = wire.rpartition(".")
    is_half = dot and half in ("a", "b") and wire not in changed.before.conductors
    if is_half and any(step.kind == "cut" and wire in step.wires for step in changed.steps):
        return whole_of(changed, stem)
    return wire


def _after(changed: Changed, before: dict[Slot, Landing]) -> Iterable[tuple[Slot, Landing]]:
    """Ends after the change: in their slot before, in the slot that they are off, or in a new one."""
    circuit, was = changed.after, {(s.wire, s.end): s for s in before}
    known = {s.node for s in before} | set(changed.before.terminals) | set(circuit.terminals)
    for wire in circuit.conductors.values():
        stem = whole_of(changed, wire.id)
        for end, node in _ends(wire):
            old = was.get((stem, end)) if wire.id == stem else None
            if node in circuit.loose:
                at = origin(node) if origin(node) in known - circuit.loose else node
                slot, holds = Slot(stem if old else wire.id, end, at), "lifted"
            elif node in circuit.capped and old is not None and old.node not in changed.before.splices:
                slot, holds = old, "capped"
            else:
                same = was.get((stem, end))
                slot = same if same is not None and same.node == node else Slot(wire.id, end, node)
                holds = "landed"
            yield slot, Landing(wire.id, node, holds)  # type: ignore[arg-type]


def _with_before_plates(
    changed: Changed, before: dict[Slot, Landing], after: dict[Slot, Landing]
) -> dict[Slot, Landing]:
    found = {}
    for slot, held in before.items():
        now = after.get(slot)
        plate = ""
        if now is None or now.holds != "landed":
            gone = held.wire not in changed.after.conductors
            kinds = ("remove", "replace") if gone else ("lift", "replace", "remove")
            plate = _plate(_step(changed, held.wire, slot.node, kinds), "gone" if gone else "lifted")
        elif now.wire != held.wire:
            plate = _plate(_step(changed, held.wire, "", ("cut",)), "cut")
        found[slot] = Landing(held.wire, held.node, held.holds, plate)
    return found


def _with_after_plates(
    changed: Changed, before: dict[Slot, Landing], after: dict[Slot, Landing]
) -> dict[Slot, Landing]:
    found = {}
    for slot, held in after.items():
        plate = ""
        if held.holds == "capped":
            plate = _plate(_step(changed, held.wire, held.node, ("splice", "lift"), last=True), "capped")
        elif held.holds == "lifted":
            step = _step(changed, held.wire, slot.node, ("lift", "remove", "replace", "cut"), last=True)
            plate = _plate(step, "lifted")
        elif slot not in before and whole_of(changed, held.wire) not in changed.before.conductors:
            plate = _plate(_step(changed, held.wire, held.node, ("run",), last=True), "new")
        elif slot not in before:
            step = _step(changed, held.wire, held.node, ("land", "splice", "replace"), last=True)
            plate = _plate(step, "moved")
        found[slot] = Landing(held.wire, held.node, held.holds, plate)
    return found


def _plate(step: PlainStep | None, word: str) -> str:
    return word if step is None else f"Δ{step.number} {word}"


def _step(
    changed: Changed, wire: str, node: str, kinds: tuple[str, ...], last: bool = False
) -> PlainStep | None:
    """The step of the first of these kinds that names the conductor; at this terminal, where one does."""
    whole = whole_of(changed, wire)
    about = [s for s in changed.steps if wire in s.wires or whole in s.wires]
    there = [s for s in about if node in s.terminals]
    for held in (there, about):
        for kind in kinds:
            of_kind = [s for s in held if s.kind == kind]
            if of_kind:
                return of_kind[-1 if last else 0]
    return about[-1 if last else 0] if about else None


def _joined(views: tuple[View, ...]) -> Union:
    """A route for each conductor, one for both sides where its ends lie in the same slots."""
    held: dict[tuple[Slot, Slot], list[Conductor | None]] = {}
    marked: set[tuple[Slot, Slot]] = set()
    for number, view in enumerate(views):
        slots = {(held.wire, slot.end): slot for slot, held in view.landings.items()}
        for wire in view.circuit.conductors.values():
            pair = slots[wire.id, "a"], slots[wire.id, "b"]
            held.setdefault(pair, [None] * len(views))[number] = wire
            if wire.id in view.marks.wires:
                marked.add(pair)
    routes = (Route(*pair, tuple(wires), pair in marked or None in wires) for pair, wires in held.items())
    return Union(views, tuple(routes))
