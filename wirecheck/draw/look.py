"""How the parts of one circuit look in its picture: symbols, names, terminals, marks, lines between."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import ByCoil, Coil, Contact, Link, Winding
from wirecheck.circuit.elements import Motor as MotorLoad
from wirecheck.draw import choice
from wirecheck.draw.pieces import TEXT, Marks
from wirecheck.draw.shapes import SHAPES, Shape
from wirecheck.draw.text import colour_letters, fitted, fitted_terminal, gauge_number, width
from wirecheck.draw.tree import Leaf, Motor, Parallel, Series, ThreePhase, Tree, on_side

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.circuit.elements import Element
    from wirecheck.draw.pieces import Mark
    from wirecheck.draw.tree import Sides
    from wirecheck.draw.wiring import EdgeEnd, Wiring

NOTE_WIDTH = 74.0  # set points are broken into lines of this width
LONGEST_WIRE = 90.0
LONGEST_END = 76.0
LONGEST_TERMINAL = 60.0


class Look(Struct, frozen=True):
    """One element as drawn. `left`, `right`: the terminals there."""

    key: str
    elements: tuple[str, ...]
    symbol: str
    letters: str
    tag: str
    left: str
    right: str
    letterings: tuple[str, str]  # the two terminals as written in the picture
    notes: tuple[str, ...] = ()
    coil: str = ""  # of a contact: the coil that moves it
    mark: Mark = ""
    plate: str = ""
    flipped: bool = False
    load: bool = True
    says: str = ""
    contacts: tuple[
        tuple[str, bool], ...
    ] = ()  # of a coil: those that it moves, and whether they rest closed
    worded: bool = False  # does it have a word in a state: a load by itself, a relay's coil?

    @property
    def framed(self) -> bool:
        """Whether a frame marks it: as new, or as gone afterwards."""
        return self.mark in ("new", "gone")

    @property
    def shape(self) -> Shape:
        return SHAPES[self.symbol]


class Face:
    """One side of a picture: the circuit before, the circuit after, or the only one."""

    def __init__(self, side: Sides, wiring: Wiring, marks: Marks | None = None) -> None:
        self.side = side
        self.wiring = wiring
        self.circuit = wiring.circuit
        self.marks = marks or Marks()
        self._looks: dict[Leaf, tuple[frozenset[str], Look]] = {}
        self._wire_order = {wire: number for number, wire in enumerate(self.circuit.conductors)}
        self.anchors: dict[str, str] = {}  # by net: a terminal in the rung that passes through it
        self.pointed: frozenset[str] = frozenset()  # inner points that an end elsewhere names

    def shows(self, tree: Tree) -> bool:
        return on_side(tree, self.side)

    def look(self, leaf: Leaf) -> Look:
        """How an element looks; kept, as every measure of it asks again."""
        known = self._looks.get(leaf)
        if known is None or known[0] != self.pointed:
            known = self._looks[leaf] = self.pointed, self._look(leaf)
        return known[1]

    def _look(self, leaf: Leaf) -> Look:
        edge = self.wiring.edges[leaf.key]
        element = self.circuit.elements[edge.element]
        symbol, letters = choice.symbol(self.circuit, element)
        left, right = (edge.b, edge.a) if leaf.flipped else (edge.a, edge.b)
        mark, plate = self.marks.devices.get(element.device, ("", ""))
        mover = element.mover if isinstance(element, Contact) else None
        tag = self.tag(element)
        load = not isinstance(element, Contact | Link)
        coil = mover.coil if isinstance(mover, ByCoil) else ""
        letterings = self.terminal(left), self.terminal(right)
        notes, says = self._notes(element), self._says(element, tag)
        return Look(
            leaf.key, (leaf.key,), symbol, letters, tag, left, right, letterings, notes, coil, mark, plate,
            leaf.flipped, load, says, contacts=self._moved_by(element), worded=self._worded(element),
        )  # fmt: skip

    def _worded(self, element: Element) -> bool:
        mains = (m.main[0] for m in self.circuit.loads.values() if isinstance(m, MotorLoad))
        return isinstance(element, Coil) or self._load_of(element) is not None or element.id in mains

    def _moved_by(self, coil: Element) -> tuple[tuple[str, bool], ...]:
        contacts = self.circuit.contacts.values()
        movers = ((c, c.mover) for c in contacts if isinstance(c.mover, ByCoil))
        return tuple((c.id, c.rests_closed) for c, mover in movers if mover.coil == coil.id)

    def terminal(self, terminal: str) -> str:
        """The letters of a terminal; of an inner point, which has no screw, only where an end names it."""
        name = terminal.rpartition(".")[2]
        if name.startswith("(") and terminal not in self.pointed:
            return ""
        return fitted(name, LONGEST_TERMINAL, TEXT)

    def tag(self, element: Element) -> str:
        """The name that words use: of the position, the relay, the load; else the device's."""
        if isinstance(element, Contact):
            return choice.position(element) or element.device
        if isinstance(element, Coil):
            relays = (r.name for r in self.circuit.relays.values() if r.coil == element.id)
            return next(relays, self._load_of(element) or element.device)
        if isinstance(element, Winding):
            motor = choice.single_motor(self.circuit, element)
            return element.id if motor is None else motor.name
        return self._load_of(element) or element.device

    def _load_of(self, element: Element) -> str | None:
        loads = self.circuit.loads.values()
        return next((x.name for x in loads if not isinstance(x, MotorLoad) and x.element == element.id), None)

    def _notes(self, element: Element) -> tuple[str, ...]:
        """The set points of a switch, as the user wrote them."""
        moved_by = choice.position(element) if isinstance(element, Contact) else None
        switch = self.circuit.inputs.get(moved_by or "")
        points = switch.set_points if switch is not None else None
        if points is None:
            return ()
        return tuple(line for part in points.text.split(",") for line in _note_lines(part.strip()))

    def _says(self, element: Element, tag: str) -> str:
        kind = type(element).__name__.lower()
        if not isinstance(element, Contact):
            return f"{tag}: {kind}"
        rests = "closed" if element.rests_closed else "open"
        by = element.mover.coil if isinstance(element.mover, ByCoil) else element.mover.input
        return f"{tag}: contact {_last(element.a)}-{_last(element.b)}, {rests} at rest, moved by {by}"

    def motor_mark(self, name: str) -> tuple[Mark, str]:
        load = self.circuit.loads.get(name)
        return self.marks.devices.get(load.device, ("", "")) if load is not None else ("", "")

    # --- ends of trees: which terminals a line to the left or right of one leads to ---

    def ends(self, tree: Tree, right: bool) -> frozenset[EdgeEnd]:
        """The ends of edges at one side of a tree, as it is in this circuit."""
        match tree:
            case Leaf():
                edge = self.wiring.edges[tree.key]
                return frozenset({(tree.key, edge.b if tree.flipped != right else edge.a)})
            case Series(parts):
                there = [part for part in parts if self.shows(part)]
                return self.ends(there[-1 if right else 0], right)
            case Parallel(parts):
                return frozenset(end for part in parts if self.shows(part) for end in self.ends(part, right))
            case Motor(main=main, aux=aux, below=below, mirrored=mirrored):
                common = right if mirrored else not right
                outer = self.ends(aux, right) | self._tap_ends(tree) if common else self.ends(below, right)
                return self.ends(main, right) | outer
            case ThreePhase():
                return frozenset()

    def near(self, *sides: Iterable[EdgeEnd]) -> tuple[tuple[tuple[str, str], ...], ...]:
        """Ends of edges as ends of elements, in order, those that a stretch leads to at each side."""
        edges = self.wiring.edges
        each = (tuple(sorted((edges[key].element, t) for key, t in side if key in edges)) for side in sides)
        return tuple(side for side in each if side)

    def _tap_ends(self, motor: Motor) -> frozenset[EdgeEnd]:
        """The inner ends of taps that end nowhere: they hang on the motor's common point."""
        main = self.wiring.edges[motor.main.key]
        edges = [self.wiring.edges[leaf.key] for leaf in motor.unused]
        return frozenset((e.key, t) for e in edges for t in (e.a, e.b) if t in (main.a, main.b))

    def net(self, tree: Tree, right: bool) -> str:
        return self.wiring.net(min(self.ends(tree, right))[1])

    # --- lines ---

    def wires(self, net: str, *near: frozenset[EdgeEnd]) -> tuple[str, ...]:
        """The conductors that a stretch stands for, which has these ends of edges at one end or the other."""
        found = {w: None for ends in near if ends for w in self.wiring.wires_between(net, ends)}
        return tuple(sorted(found, key=self._wire_order.__getitem__))

    def wire_text(self, wires: tuple[str, ...], detail: int) -> str:
        """What is written at a stretch. 2: name, colour, gauge; 1: name; else only what is marked."""
        shown = [w for w in wires if detail > 0 or w in self.marks.wires]
        return " · ".join(self._wire_words(w, detail) for w in shown)

    def _wire_words(self, wire: str, detail: int) -> str:
        part = self.circuit.conductors[wire]
        if detail < 2 or (part.color is None and part.gauge is None):
            return fitted(wire, LONGEST_WIRE, TEXT)
        name = fitted(wire, LONGEST_WIRE, TEXT)
        return f"{name} {colour_letters(part.color)} {gauge_number(part.gauge)}".strip()

    def plates(self, wires: tuple[str, ...]) -> tuple[Mark, tuple[str, ...]]:
        """The mark of a stretch: that of its first marked conductor; and a plate for each that is marked."""
        marked = [self.marks.wires[w] for w in wires if w in self.marks.wires]
        texts = tuple(dict.fromkeys(text for _, text in marked))
        return (marked[0][0], texts) if marked else ("", ())

    # --- where lines go on elsewhere ---

    def goes_to(self, tree: Tree, right: bool) -> str | None:
        """The terminal, drawn elsewhere, to which the line at one end of a tree leads; None where it is open.

        Of a rail its name, and not a pole that is joined to it too, earth. Of a net that a rung passes
        through, a terminal in that rung: all other lines have only an end there.
        """
        ends = self.ends(tree, right)
        net = self.wiring.net(min(ends)[1])
        rail = self.wiring.rails.get(net)
        named = [rail.key] if rail is not None and self.wiring.net(rail.key) == net else []
        poles = [p for p in self.circuit.poles if self.wiring.net(p) == net]
        drawn = [t for key, t in self.wiring.ends.get(net, ()) if (key, t) not in ends]
        anchor = [self.anchors[net]] if net in self.anchors else []
        return next(iter([*named, *poles, *anchor, *drawn]), None)

    def end_text(self, tree: Tree, right: bool) -> str:
        """Where the line at one end of a tree goes on, or that it is open."""
        there = self.goes_to(tree, right)
        if there is None:
            ends = self.ends(tree, right)
            own = {terminal for _, terminal in ends}
            others = [t for t in self.wiring.nets[self.wiring.net(min(ends)[1])] if t not in own]
            return f"open, {fitted_terminal(others[-1], LONGEST_END - 30, TEXT)}" if others else "open"
        return fitted_terminal(there, LONGEST_END, TEXT)


def _note_lines(part: str) -> tuple[str, ...]:
    """`opens above 610 psig` in one line where it fits; else broken before the value, never within it."""
    if width(part, TEXT) <= NOTE_WIDTH:
        return (part,)
    words = part.split(" ", 2)
    first, value = " ".join(words[:2]), " ".join(words[2:])
    return tuple(fitted(line, NOTE_WIDTH, TEXT) for line in (first, value) if line)


def _last(terminal: str) -> str:
    return terminal.rpartition(".")[2]
