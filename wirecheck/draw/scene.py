"""A state on a ladder: the level of every line, element and terminal, how contacts stand, what loads do.

Decides nothing: what it shows comes from the engine.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol, TypeVar

from wirecheck.circuit.elements import Contact, Motor
from wirecheck.draw.wiring import edges_of
from wirecheck.engine.levels import LEVELS, at_end, named

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.pieces import Stretch, Symbol
    from wirecheck.engine.levels import Level, Thing

T = TypeVar("T")

WORKS = frozenset({"on", "runs", "in"})
STILL = frozenset({"off", "out"})


class Algebra(Protocol[T]):
    """How levels are put together: of one state, or as functions of all."""

    def highest(self, levels: list[T]) -> T: ...

    def lowest(self, levels: list[T]) -> T: ...

    def end(self, element: T, terminal: T) -> T:
        """At an element's terminal: the element's where it carries or is unknown, else the voltage there."""
        ...


class Plain:
    """The levels of one state, as numbers."""

    def highest(self, levels: list[int]) -> int:
        return max(levels, default=0)

    def lowest(self, levels: list[int]) -> int:
        return min(levels)

    def end(self, element: int, terminal: int) -> int:
        return at_end(element, terminal)


def of_stretch(stretch: Stretch, level: Callable[[Thing], T], algebra: Algebra[T]) -> T:
    """The level of a stretch: of its conductors, else the lower of what its two sides take and give."""
    if stretch.wires:
        return algebra.highest([level(("wire", w)) for w in stretch.wires])
    sides = [
        algebra.highest([algebra.end(level(("element", e)), level(("terminal", t))) for e, t in side])
        for side in stretch.near
    ]
    return algebra.lowest(sides) if sides else algebra.highest([])


@dataclass
class Scene:
    """One side of a drawing in one state. words: of loads and relays; closed: contact -> is it closed?

    living: a script may show other states in it: both positions of every contact are drawn, and each line
    that is no single conductor gets a name of its own in `lines`.
    """

    circuit: Circuit
    levels: Mapping[Thing, Level]
    closed: Mapping[str, bool]
    words: Mapping[str, str]
    living: bool = False
    lines: dict[str, Stretch] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._named = named(self.circuit)
        every = (edge for e in self.circuit.elements.values() for edge in edges_of(e))
        self._element = {edge.key: edge.element for edge in every}

    def level(self, name: str) -> Level:
        """The level of a conductor, terminal, element, device or load by its name on the drawing."""
        return highest(self.levels[thing] for thing in self._named[name])

    def of_line(self, stretch: Stretch) -> Level:
        found = of_stretch(stretch, lambda thing: LEVELS.index(self.levels[thing]), Plain())
        return LEVELS[found]

    def line(self, stretch: Stretch) -> str:
        """The name under which a living drawing asks for the level of a line that is no single conductor."""
        alike = next(
            (k for k, s in self.lines.items() if (s.wires, s.near) == (stretch.wires, stretch.near)), None
        )
        if alike is None:
            alike = f"~{len(self.lines)}"
            self.lines[alike] = stretch
        return alike

    def name(self, symbol: Symbol) -> str:
        """What stands for a symbol: its load, its device if that has no other element, else its element."""
        parts = self._parts(symbol)
        load = self.circuit.loads.get(symbol.key)
        if isinstance(load, Motor) or not parts:
            return symbol.key
        device = self.circuit.devices[self.circuit.elements[parts[0]].device]
        return device.tag if set(device.elements) <= set(parts) else parts[0]

    def contact(self, symbol: Symbol) -> str | None:
        """The contact that a symbol is."""
        parts = self._parts(symbol)
        is_one = len(parts) == 1 and isinstance(self.circuit.elements[parts[0]], Contact)
        return parts[0] if is_one else None

    def works(self, symbol: Symbol) -> str | None:
        """The load or relay that a symbol is."""
        if symbol.key in self.words:
            return symbol.key
        parts = set(self._parts(symbol))
        for load in self.circuit.loads.values():
            own = {*load.main} if isinstance(load, Motor) else {load.element}
            if own <= parts:
                return load.name
        return next((r.name for r in self.circuit.relays.values() if r.coil in parts), None)

    def _parts(self, symbol: Symbol) -> tuple[str, ...]:
        return tuple(dict.fromkeys(self._element[key] for key in symbol.elements))


def highest(levels: Iterable[Level]) -> Level:
    """The level of a whole: `unknown` before current, before voltage."""
    return max(levels, key=LEVELS.index, default=LEVELS[0])
