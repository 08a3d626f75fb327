"""The rungs of a unit in words: each part with what it waits for, numbered as `draw` numbers lines."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import (
    ByCoil,
    Capacitor,
    Coil,
    Contact,
    Link,
    Resistor,
    Transformer,
    VoltLoad,
    Winding,
)
from wirecheck.draw.look import Face
from wirecheck.draw.rungs import SUPPLY, rungs_of
from wirecheck.draw.sections import plan
from wirecheck.draw.tree import Leaf, Motor, Parallel, Series, ThreePhase, keys, leaves
from wirecheck.draw.union import alone, with_motors
from wirecheck.draw.wiring import Wiring
from wirecheck.report.lines import said
from wirecheck.report.readings.waits import contact_words, ends, waits

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from wirecheck.circuit.elements import Element
    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.rungs import Rung
    from wirecheck.draw.tree import Tree
    from wirecheck.draw.wiring import Rail


class Line(Struct, frozen=True):
    """One rung. number, last: of its first and last line in the picture.

    loads, relays, transformers: what it carries; sources: the transformers whose secondary lies in it.
    """

    number: int
    last: int
    rung: Rung
    loads: tuple[str, ...]
    relays: tuple[str, ...]
    transformers: tuple[str, ...]
    sources: tuple[str, ...] = ()

    @property
    def called(self) -> str:
        """Its numbers in words: line 7, lines 3 to 6."""
        return f"line {self.number}" if self.last == self.number else f"lines {self.number} to {self.last}"


class Ladder:
    """The lines of a circuit, section by section, in the order of the picture."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.wiring = Wiring(circuit)

    @cached_property
    def face(self) -> Face:
        """How the parts look in the picture."""
        return Face("both", self.wiring)

    @cached_property
    def numbers(self) -> Mapping[str, int]:
        """The line of each edge in the picture."""
        return plan([self.face]).lines(self.face)

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """Every rung."""
        order = {key: k for k, key in enumerate(self.wiring.edges)}
        slots = with_motors(alone(rungs_of(self.wiring), order), {"both": self.wiring})
        found = [self._line(rung) for slot in slots for rung in slot.rungs]
        return tuple(sorted(found, key=lambda line: line.number))

    @property
    def sections(self) -> dict[tuple[str, ...], list[Line]]:
        """The lines by the rails that they hang between."""
        found: dict[tuple[str, ...], list[Line]] = {}
        for line in self.lines:
            found.setdefault(line.rung.section, []).append(line)
        return found

    def rail(self, key: str) -> Rail | None:
        """The rail that a pole or secondary feeds."""
        return next((r for r in self.wiring.rails.values() if r.key == key), None)

    def ends(self, line: Line) -> tuple[str | None, str | None]:
        """The rails, or else the terminals, that a line leads to; None where an end is open."""
        if isinstance(line.rung.tree, ThreePhase):
            return line.rung.section[0], line.rung.section[-1]
        sides = ((line.rung.left, False), (line.rung.right, True))
        one, other = (rail or self.face.goes_to(line.rung.tree, right) for rail, right in sides)
        return one, other

    def behind(self, first: Iterable[Line]) -> list[Line]:
        """These lines, and those of every coil that a contact on one of them waits for."""
        found = list(first)
        for line in found:
            coils = {self.line_of(c) for c in self._waited_for(line)}
            found += [x for x in self.lines if x not in found and coils & {*range(x.number, x.last + 1)}]
        return sorted(found, key=lambda line: line.number)

    def _waited_for(self, line: Line) -> Iterator[str]:
        """The coils that move the contacts of a line."""
        for key in keys(line.rung.tree):
            element = self.element(key)
            if isinstance(element, Contact) and isinstance(element.mover, ByCoil):
                yield element.mover.coil

    def is_spare(self, line: Line) -> bool:
        """Does a line lead nowhere?"""
        return not is_feed(line) and None in self.ends(line)

    def _line(self, rung: Rung) -> Line:
        circuit = self.circuit
        there = [self.element(key) for key in sorted(keys(rung.tree), key=list(self.wiring.edges).index)]
        ids = {e.id for e in there}
        loads = [
            n
            for n, x in circuit.loads.items()
            if ids & set((x.element,) if isinstance(x, VoltLoad) else x.main)
        ]
        relays = [r.name for r in circuit.relays.values() if r.coil in ids]
        cores = {k: e.device for k in keys(rung.tree) if isinstance(e := self.element(k), Transformer)}
        sources = sorted({d for k, d in cores.items() if self.wiring.edges[k].secondary})
        primaries = sorted({d for k, d in cores.items() if not self.wiring.edges[k].secondary})
        numbers = [self.numbers[key] for key in keys(rung.tree)]
        carried = (tuple(loads), tuple(relays), tuple(primaries), tuple(sources))
        return Line(min(numbers), max(numbers), rung, *carried)

    def element(self, key: str) -> Element:
        """The element of an edge."""
        return self.circuit.elements[self.wiring.edges[key].element]

    def line_of(self, element: str) -> int | None:
        """The number of the line that an element is on."""
        return next((n for key, n in self.numbers.items() if self.wiring.edges[key].element == element), None)

    # --- a tree in words -------------------------------------------------------------------------------

    def told(self, tree: Tree, depth: int = 0) -> Iterator[tuple[int, str]]:
        """(depth, words) of each part of a line, left to right."""
        match tree:
            case Leaf():
                yield depth, self.leaf(tree)
            case Series(parts):
                for part in parts:
                    yield from self.told(part, depth)
            case Parallel(parts):
                only = all(isinstance(self.element(leaf.key), Contact) for leaf in leaves(tree))
                yield depth, "either way:" if only else "side by side:"
                for part in parts:
                    yield from self._branch(part, depth + 1)
            case Motor():
                yield from self._motor(tree, depth)
            case ThreePhase():
                yield from self._three(tree, depth)

    def _branch(self, part: Tree, depth: int) -> Iterator[tuple[int, str]]:
        """One of several parts beside each other: its first words with a dash."""
        first = True
        for deep, words in self.told(part, depth):
            yield deep, f"{'- ' if first else '  '}{words}"
            first = False

    def _motor(self, motor: Motor, depth: int) -> Iterator[tuple[int, str]]:
        main, aux = self.wiring.edges[motor.main.key], self.wiring.edges[motor.aux.key]
        below = self._in_line(motor.below)
        yield depth, f"{motor.name}: its main winding ({ends(main.a, main.b)})"
        yield depth, f"and beside it its auxiliary ({ends(aux.a, aux.b)}) in line with {said(below)}"

    def _in_line(self, tree: Tree) -> list[str]:
        """The parts of a chain within a sentence; those beside each other as one."""
        match tree:
            case Series(parts):
                return [words for part in parts for words in self._in_line(part)]
            case Parallel(parts):
                return [f"({' beside '.join(said(self._in_line(part)) for part in parts)})"]
        return [words for _, words in self.told(tree)]

    def _three(self, tree: ThreePhase, depth: int) -> Iterator[tuple[int, str]]:
        yield depth, f"{tree.name}, a three-phase motor, on three lines:"
        for chain, winding in zip(tree.chains, tree.windings, strict=True):
            parts = [words for _, words in self.told(chain)] if chain is not None else []
            edge = self.wiring.edges[winding.key]
            outer = edge.b if winding.flipped else edge.a
            yield depth + 1, f"- {'; '.join((*parts, f'then {outer}'))}"

    def leaf(self, leaf: Leaf) -> str:
        """One part, with what it waits for."""
        edge = self.wiring.edges[leaf.key]
        element, circuit = self.element(leaf.key), self.circuit
        at = ends(edge.b, edge.a) if leaf.flipped else ends(edge.a, edge.b)
        match element:
            case Contact():
                return f"{contact_words(circuit, element)}: {waits(circuit, element, self.line_of)}"
            case Link():
                return f"{element.device} ({at}): joined, never opens"
            case Coil() | Resistor():
                return f"{self._thing(element)} ({at})"
            case Capacitor():
                return f"the capacitor {element.device} ({at})"
            case Winding():
                return f"the winding of {element.device} ({at})"
            case Transformer():
                side = "secondary" if edge.secondary else "primary"
                return f"{element.device} ({at}): its {side}"

    def _thing(self, element: Coil | Resistor) -> str:
        for relay in self.circuit.relays.values():
            if relay.coil == element.id:
                return f"the coil of {relay.name}"
        named = (n for n, x in self.circuit.loads.items() if getattr(x, "element", None) == element.id)
        return next(named, element.device)


def is_feed(line: Line) -> bool:
    """Does it lie between a pole and its rail?"""
    return line.rung.section == SUPPLY
