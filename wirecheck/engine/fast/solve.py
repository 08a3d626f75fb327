"""Where impedances matter: one state of each distinct position is asked of the phasor solution.

A position of a part is told by a cube (`Cuber`). Every state of the cube has the same answer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from wirecheck.circuit.elements import Motor, VoltLoad
from wirecheck.engine import judge
from wirecheck.engine.answers import OFF
from wirecheck.engine.fast.cuber import ByContacts, Cuber
from wirecheck.engine.fast.cubes import Cube, Cubes
from wirecheck.engine.fast.limits import MOST_CUBES, NotHere, TooLarge
from wirecheck.engine.fast.space import lowest
from wirecheck.engine.fast.table import InputBit
from wirecheck.engine.feeds import feeds

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from wirecheck.engine.answers import Bits, State
    from wirecheck.engine.fast.cubes import Answer, Thing
    from wirecheck.engine.fast.unit import Unit
    from wirecheck.engine.solver import View


class Position(Protocol):
    """What is asked of a frame: one position of the tracked coils and delays over one chunk of settings."""

    @property
    def state(self) -> State: ...

    @property
    def chunk(self) -> int: ...

    @property
    def possible(self) -> int: ...

    @property
    def placed(self) -> Mapping[Thing | str, list[tuple[Cube, int]]]: ...

    def place(self, cube: Cube, where: int) -> None: ...

    def value(self, node: int) -> int: ...

    def coil(self, coil: str) -> int: ...


class Asker:
    """Asks the phasor solution of one unit; keeps every cube with its answer."""

    def __init__(self, unit: Unit) -> None:
        self.unit, self.plain = unit, unit.plain
        self.cubes: dict[Thing | str, Cubes] = {}  # by what is asked; by element, of its part alone
        self.alike, self.by_contacts = Cuber(unit), ByContacts(unit)
        names = enumerate(unit.table.names)
        self._inputs = sum(1 << k for k, name in names if isinstance(name, InputBit))

    def refuse(self, frame: Position, where: int, why: str) -> None:
        if where & frame.possible:
            raise NotHere(why)

    def words(self, frame: Position, load: str, where: int) -> dict[Answer, int]:
        """The word of a load and of its taps -> where."""
        thing = self.plain.circuit.loads[load]

        def answer(view: View) -> Answer:
            word = self.plain.load_word(thing, view)
            return word, *self._taps(load, word, view)

        if isinstance(thing, VoltLoad):
            return self._of_element(frame, ("load", load), where, thing.element, answer)

        def cube(view: View) -> set[int]:
            return self.alike.load(view, load, view.elements_of(thing))

        return self._by_cubes(frame, ("load", load), where, answer, cube)

    def volts(self, frame: Position, relay: str, where: int) -> dict[str, int]:
        """The word for the volts across a relay's coil -> where."""
        thing = self.plain.circuit.coil_loads[relay]

        def answer(view: View) -> Answer:
            return (self.plain.load_word(thing, view),)

        found = self._of_element(frame, ("volts", relay), where, thing.element, answer)
        return {word: at for (word,), at in found.items()}

    def _taps(self, load: str, word: str, view: View) -> list[str]:
        motor = self.plain.circuit.loads[load]
        if not isinstance(motor, Motor) or not motor.taps:
            return []
        fed = judge.fed_taps(motor, view, self.plain.scenario) if word != OFF else ()
        return ["on" if w in fed else "off" for _, w in zip(motor.taps, motor.main, strict=True)]

    def fed(self, frame: Position, name: str, where: int) -> dict[tuple[str, ...], int]:
        """The loads and coils that one is fed through -> where."""

        def answer(view: View) -> Answer:
            return tuple(sorted(y for x, y in feeds(view) if x == name))

        def cube(view: View) -> set[int]:
            return self.alike.parts(view, self.unit.owners[name])

        return self._by_cubes(frame, ("fed", name), where, answer, cube)

    def wants(self, frame: Position, coil: str, where: int) -> int:
        """Where a coil in a solved part wants to move."""
        is_in = frame.state[0][self.plain.coils[coil]]

        def answer(view: View) -> Answer:
            return (self.plain.wants_to_move(coil, is_in, view),)

        return self._of_element(frame, ("coil", coil), where, coil, answer).get((True,), 0)

    def forced(self, frame: Position, core: str, where: int) -> int:
        """Where a winding of a transformer in a solved part is forced."""

        def answer(view: View) -> Answer:
            part = view.network.part_of.get(core)
            return (part is not None and view.solution(part, self.plain.scenario).shorted is not None,)

        return self._of_element(frame, ("core", core), where, core, answer).get((True,), 0)

    def live(self, frame: Position, terminal: str, where: int) -> int:
        """Where a terminal of a solved part is live."""

        def answer(view: View) -> Answer:
            return (self.plain.is_live(terminal, view),)

        def cube(view: View) -> set[int]:
            return self.alike.on(view, terminal)

        return self._by_cubes(frame, ("live", terminal), where, answer, cube).get((True,), 0)

    def seen(
        self, frame: Position, thing: Thing, where: int, answer: Callable[[View], Answer], at: str
    ) -> dict[Answer, int]:
        """What anyone wants to know of the solved part of an element, or of a terminal, `at` -> where."""

        def cube(view: View) -> set[int]:
            if at in self.plain.impedances:
                return self.by_contacts.parts(view, (at,))
            return self.by_contacts.on(view, at)

        return self._by_cubes(frame, thing, where, answer, cube)

    def between(
        self, frame: Position, ends: tuple[str, str], where: int, answer: Callable[[View], Answer]
    ) -> dict[Answer, int]:
        """What rests on how two terminals stand, known or not, and on nothing else -> where."""

        def cube(view: View) -> set[int]:
            return self.by_contacts.standing(view, ends)

        return self._by_cubes(frame, ("between", " ".join(ends)), where, answer, cube)

    def _of_element(
        self, frame: Position, thing: Thing, where: int, element: str, answer: Callable[[View], Answer]
    ) -> dict[Answer, int]:
        """What rests on the part of one element alone: all that lies in the part shares its positions."""

        def cube(view: View) -> set[int]:
            return self.alike.parts(view, (element,))

        return self._by_cubes(frame, thing, where, answer, cube, element)

    def _by_cubes(
        self,
        frame: Position,
        thing: Thing,
        where: int,
        answer: Callable[[View], Answer],
        written: Callable[[View], set[int]],
        element: str | None = None,
    ) -> dict[Answer, int]:
        found: dict[Answer, int] = {}
        key = element or thing
        for cube, here in self._known(frame, key, where):
            where ^= here
            said = self._said(cube, thing, answer)
            found[said] = found.get(said, 0) | here
        while where:
            cube = self._new(frame, thing, lowest(where), answer, written, element)
            here = where
            for condition in cube.conditions:
                here &= frame.value(condition)
            if not here & -here == where & -where:
                raise NotHere(f"the position of {thing[1]} is not told by its cube")
            frame.place(cube, here)
            where ^= here
            said = cube.answers[thing]
            found[said] = found.get(said, 0) | here
        return found

    def _known(self, frame: Position, key: Thing | str, where: int) -> Iterator[tuple[Cube, int]]:
        """The positions of some settings of a frame that were met before, in it or in others."""
        for cube, there in frame.placed.get(key, ()):
            if here := where & there:
                where ^= here
                yield cube, here
        if where:
            for cube, here in self.cubes.setdefault(key, Cubes()).within(where, frame.value):
                frame.place(cube, here)
                if new := where & here:
                    where ^= new
                    yield cube, new

    def _said(self, cube: Cube, thing: Thing, answer: Callable[[View], Answer]) -> Answer:
        """What is answered in a position, worked out when it is first asked of this thing."""
        if thing not in cube.answers:
            cube.answers[thing] = answer(self.plain.view(*cube.stands, self.unit.dead))
        return cube.answers[thing]

    def _new(
        self,
        frame: Position,
        thing: Thing,
        at: int,
        answer: Callable[[View], Answer],
        written: Callable[[View], set[int]],
        element: str | None,
    ) -> Cube:
        stands = self._stands(frame, at)
        view = self.plain.view(*stands, self.unit.dead)
        if view.network.short is not None:
            raise NotHere("a short that the program does not know")
        said = answer(view)
        of = (thing,) if element is None else _in_one_part(view, element)
        cube = Cube(self._in_order(written(view)), of, stands, {thing: said})
        for key in of:
            known = self.cubes.setdefault(key, Cubes())
            known.add(cube)
            if known.count > MOST_CUBES:
                raise TooLarge(f"more than {MOST_CUBES} positions of the part of {thing[1]}")
        return cube

    def _in_order(self, conditions: set[int]) -> tuple[int, ...]:
        """Those on tracked relays first: in a frame such a condition holds everywhere or nowhere."""
        reads = self.unit.table.reads
        return tuple(sorted(conditions, key=lambda n: (reads[n] & self._inputs != 0, n)))

    def view(self, frame: Position, at: int) -> View:
        """The network of one setting of a frame."""
        return self.plain.view(*self._stands(frame, at), self.unit.dead)

    def _stands(self, frame: Position, at: int) -> tuple[Bits, frozenset[str]]:
        """Which contacts are closed and which coils are in, in one setting of a frame."""
        setting = self.unit.space.setting((frame.chunk << self.unit.space.low) | at)
        inputs = self.unit.space.world.inputs(self.unit.side == "after", setting)
        coils = tuple(bool(frame.coil(i) >> at & 1) for i in self.plain.coils)
        return self.plain.closed(inputs, coils, frame.state[1]), self.plain.coils_in(coils)


def _in_one_part(view: View, element: str) -> tuple[str, ...]:
    """The impedances and transformers that lie in one part with an element, itself too."""
    part = view.network.part_of.get(element)
    if part is None:
        return (element,)
    placed = view.network.parts[part].part
    return *(i for i, *_ in placed.branches), *(core for core, _ in placed.cores)
