"""Where impedances matter: one state of each distinct position is asked of the phasor solution.

A position of a part is told by a cube: its nets float, the contacts on them stand as they do, its impedances
end on the same known potentials, its coils are in or out alike. Every state of the cube has the same answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

from wirecheck.circuit.elements import Coil, Motor
from wirecheck.engine import figures, judge
from wirecheck.engine.answers import OFF
from wirecheck.engine.fast.limits import MOST_CUBES, NotHere, TooLarge
from wirecheck.engine.fast.space import lowest
from wirecheck.engine.fast.table import FALSE
from wirecheck.engine.feeds import feeds
from wirecheck.engine.nets import Joined

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from wirecheck.engine.answers import State
    from wirecheck.engine.fast.unit import Unit
    from wirecheck.engine.solver import View

Answer = tuple[Any, ...]


class Position(Protocol):
    """What is asked of a frame: one position of the tracked coils and delays over one chunk of settings."""

    @property
    def state(self) -> State: ...

    @property
    def chunk(self) -> int: ...

    @property
    def possible(self) -> int: ...

    def value(self, node: int) -> int: ...

    def coil(self, coil: str) -> int: ...


@dataclass(frozen=True, slots=True)
class Cube:
    """A condition under which a part stands as it does, and the answer there."""

    node: int
    answer: Answer


class Asker:
    """Asks the phasor solution of one unit; keeps every cube with its answer."""

    def __init__(self, unit: Unit) -> None:
        self.unit, self.plain = unit, unit.plain
        self.cubes: dict[tuple[str, str], list[Cube]] = {}
        self.cuber = Cuber(unit)
        self.count = 0

    def refuse(self, frame: Position, where: int, why: str) -> None:
        if where & frame.possible:
            raise NotHere(why)

    def words(self, frame: Position, load: str, where: int) -> dict[Answer, int]:
        """The word of a load and of its taps -> where."""
        thing = self.plain.circuit.loads[load]

        def answer(view: View) -> Answer:
            word = self.plain.load_word(thing, view)
            return word, *self._taps(load, word, view)

        def elements(view: View) -> Iterable[str]:
            return view.elements_of(thing)

        return self._ask(frame, ("load", load), where, answer, elements)

    def volts(self, frame: Position, relay: str, where: int) -> dict[str, int]:
        """The word for the volts across a relay's coil -> where. No estimate is noted: only looked at."""
        thing = self.unit.coil_loads[relay]

        def answer(view: View) -> Answer:
            return (judge.judge(thing, view, self.plain.scenario),)

        found = self._ask(frame, ("volts", relay), where, answer, lambda _: (thing.element,))
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

        return self._ask(frame, ("fed", name), where, answer, lambda _: self.unit.owners[name])

    def wants(self, frame: Position, coil: str, where: int) -> int:
        """Where a coil in a solved part wants to move."""
        is_in = frame.state[0][self.plain.coils[coil]]

        def answer(view: View) -> Answer:
            return (self.plain.wants_to_move(coil, is_in, view),)

        return self._ask(frame, ("coil", coil), where, answer, lambda _: (coil,)).get((True,), 0)

    def forced(self, frame: Position, core: str, where: int) -> int:
        """Where a winding of a transformer in a solved part is forced."""

        def answer(view: View) -> Answer:
            part = view.network.part_of.get(core)
            return (part is not None and view.solution(part, self.plain.scenario).shorted is not None,)

        return self._ask(frame, ("core", core), where, answer, lambda _: (core,)).get((True,), 0)

    def live(self, frame: Position, terminal: str, where: int) -> int:
        """Where a terminal of a solved part is live."""

        def answer(view: View) -> Answer:
            p = view.potential(terminal)
            return (p.ref == "" and p.driven and abs(p.volts) > figures.LIVE_VOLTS,)

        def elements(view: View) -> Iterable[str]:
            node = view.network.node[self.plain.nets.of[terminal]]
            return [p.name for p in view.network.parts if node in p.nodes][:1]

        return self._ask(frame, ("live", terminal), where, answer, elements).get((True,), 0)

    def seen(
        self, frame: Position, thing: tuple[str, str], where: int, answer: Callable[[View], Answer], at: str
    ) -> dict[Answer, int]:
        """What anyone wants to know of the solved part of an element, or of a terminal, `at` -> where."""

        def elements(view: View) -> Iterable[str]:
            if at in self.plain.impedances:
                return (at,)
            node = view.network.node[self.plain.nets.of[at]]
            return [p.name for p in view.network.parts if node in p.nodes][:1]

        return self._ask(frame, thing, where, answer, elements)

    def between(
        self, frame: Position, ends: tuple[str, str], where: int, answer: Callable[[View], Answer]
    ) -> dict[Answer, int]:
        """What rests on how two terminals stand, known or not, and on nothing else -> where."""

        def cube(view: View, closed: frozenset[str]) -> int:
            return self.cuber.standing(view, closed, ends)

        return self._by_cubes(frame, ("between", " ".join(ends)), where, answer, cube)

    def _ask(
        self,
        frame: Position,
        thing: tuple[str, str],
        where: int,
        answer: Callable[[View], Answer],
        elements: Callable[[View], Iterable[str]],
    ) -> dict[Answer, int]:
        def cube(view: View, closed: frozenset[str]) -> int:
            return self.cuber.cube(view, closed, elements(view), thing)

        return self._by_cubes(frame, thing, where, answer, cube)

    def _by_cubes(
        self,
        frame: Position,
        thing: tuple[str, str],
        where: int,
        answer: Callable[[View], Answer],
        written: Callable[[View, frozenset[str]], int],
    ) -> dict[Answer, int]:
        found: dict[Answer, int] = {}
        known = self.cubes.setdefault(thing, [])
        for cube in known:
            if not where:
                return found
            here = where & frame.value(cube.node)
            if here:
                found[cube.answer] = found.get(cube.answer, 0) | here
                where ^= here
        while where:
            cube = self._new(frame, thing, lowest(where), answer, written)
            known.append(cube)
            here = where & frame.value(cube.node)
            if not here & -here == where & -where:
                raise NotHere(f"the position of {thing[1]} is not told by its cube")
            found[cube.answer] = found.get(cube.answer, 0) | here
            where ^= here
        return found

    def _new(
        self,
        frame: Position,
        thing: tuple[str, str],
        at: int,
        answer: Callable[[View], Answer],
        written: Callable[[View, frozenset[str]], int],
    ) -> Cube:
        self.count += 1
        if len(self.cubes[thing]) > MOST_CUBES:
            raise TooLarge(f"more than {MOST_CUBES} positions of the part of {thing[1]}")
        view, closed = self.view(frame, at)
        if view.network.short is not None:
            raise NotHere("a short that the program does not know")
        said = answer(view)
        return Cube(written(view, closed), said)

    def view(self, frame: Position, at: int) -> tuple[View, frozenset[str]]:
        """The network of one setting of a frame, and the contacts closed in it."""
        setting = self.unit.space.setting((frame.chunk << self.unit.space.low) | at)
        inputs = self.unit.space.world.inputs(self.unit.side == "after", setting)
        coils = tuple(bool(frame.coil(i) >> at & 1) for i in self.plain.coils)
        closed = dict(
            zip(self.plain.circuit.contacts, self.plain.closed(inputs, coils, frame.state[1]), strict=True)
        )
        view = self.plain.look(inputs, coils, frame.state[1], dead=self.unit.dead)
        return view, frozenset(c for c, shut in closed.items() if shut)


class Cuber:
    """Writes the condition under which a part is as it is in one network."""

    def __init__(self, unit: Unit) -> None:
        self.unit, self.table = unit, unit.table
        self.of = unit.plain.nets.of
        self.touching: dict[int, list[str]] = {}
        for c in unit.plain.circuit.contacts.values():
            for net in {self.of[c.a], self.of[c.b]}:
                self.touching.setdefault(net, []).append(c.id)

    def cube(
        self, view: View, closed: frozenset[str], elements: Iterable[str], thing: tuple[str, str]
    ) -> int:
        parts = dict.fromkeys(view.network.part_of[e] for e in elements if e in view.network.part_of)
        nodes = [self._part(view, closed, p) for p in parts]
        load = self.unit.plain.circuit.loads.get(thing[1]) if thing[0] == "load" else None
        if isinstance(load, Motor):
            nodes += [self._stands(view, self.of[t]) for t in load.terminals]
            if self.unit.plain.starters and load.kind == "psc" and load.aux is not None:
                nodes += self._starters(view, load.main, load.aux)
        return self.table.all(nodes)

    def standing(self, view: View, closed: frozenset[str], terminals: Iterable[str]) -> int:
        """These terminals stand as they do: at a known potential, in a part that floats, or by themselves."""
        return self.table.all([self._end(view, closed, t) for t in terminals])

    def _end(self, view: View, closed: frozenset[str], terminal: str) -> int:
        network, net = view.network, self.of[terminal]
        node = network.node[net]
        if node in network.fixed:
            return self._stands(view, net)
        part = next((k for k, p in enumerate(network.parts) if node in p.nodes), None)
        return self._node(view, closed, node) if part is None else self._part(view, closed, part)

    def _part(self, view: View, closed: frozenset[str], k: int) -> int:
        """Its floating nodes are joined as they are, its ends known as they are, its coils as they are."""
        network, plain = view.network, self.unit.plain
        placed = network.parts[k]
        floating = {n for n in placed.nodes if n not in network.fixed}
        nodes = [self._node(view, closed, n) for n in floating]
        for i, _, _, is_in in placed.part.branches:
            z = plain.impedances[i]
            nodes += [self._stands(view, self.of[t]) for t in (z.a, z.b)]
            if isinstance(z, Coil) and i in plain.coils:
                coil = self.unit.movers.coils[i]
                nodes.append(coil if is_in else self.table.negate(coil))
        for core, _ in placed.part.cores:
            for a, b, _ in plain.transformers[core].windings:
                nodes += [self._stands(view, self.of[t]) for t in (a, b)]
        return self.table.all(nodes)

    def _stands(self, view: View, net: int) -> int:
        """The net stands at the known potential that it has here, or floats."""
        label = view.network.fixed.get(view.network.node[net])
        net = self.unit.nets.same.get(net, net)
        if label is None:
            return self.unit.floating.floats[net]
        node = self.unit.known.at[net].get(label, FALSE)
        if node == FALSE:
            raise NotHere("a potential that the program does not know")
        return node

    def _node(self, view: View, closed: frozenset[str], node: int) -> int:
        """The nets of one node are joined to each other and to nothing else."""
        network, literals = view.network, self.unit.nets.literals
        members = [n for n, at in enumerate(network.node) if at == node]
        joined = Joined(len(network.node))
        found = []
        for c in dict.fromkeys(i for n in members for i in self.touching.get(n, ())):
            contact = self.unit.plain.circuit.contacts[c]
            a, b = self.of[contact.a], self.of[contact.b]
            if network.node[a] != network.node[b]:
                found.append(self.table.negate(literals[c]))
            elif joined.find(a) != joined.find(b) and c in closed:
                joined.join(a, b)
                found.append(literals[c])
        return self.table.all(found)

    def _starters(self, view: View, main: tuple[str, ...], aux: str) -> list[int]:
        """Which start devices have an end on the outer end of the auxiliary."""
        plain, rows = self.unit.plain, self.unit.meeting
        mains, outer = self._ends(*main), self._ends(aux)
        pairs = [(n, m) for n in outer for m in mains]
        pairs += [(n, m) for i in plain.starters for n in self._ends(i) for m in outer]
        found = []
        for n, m in pairs:
            if n != m:
                meet = rows[n].get(m, FALSE)
                here = view.network.node[n] == view.network.node[m]
                found.append(meet if here else self.table.negate(meet))
        return found

    def _ends(self, *elements: str) -> set[int]:
        zs = [self.unit.plain.impedances[i] for i in elements]
        return {self.of[t] for z in zs for t in (z.a, z.b)}
