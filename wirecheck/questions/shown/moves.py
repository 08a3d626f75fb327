"""How the page goes from state to state: what a hand, a quantity, a delay or a power failure leads to."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.checks.pair import range_words

if TYPE_CHECKING:
    from wirecheck.engine.fast.joint import Explore, Key
    from wirecheck.engine.fast.pair import FastPair
    from wirecheck.engine.fast.space import Block, Space
    from wirecheck.questions.shown.diagram import Diagram, Ref

Paths = tuple[
    tuple[int, ...], ...
]  # for each choice of a block, the choices to go through; () where none leads


class Switch(Struct, frozen=True):
    """An input. block, place: where its position is read; paths: how it is thrown. held: where, if it is."""

    name: str
    words: tuple[str, str]
    block: int
    place: int
    paths: Paths
    quantity: str = ""
    held: bool | None = None


class Quantity(Struct, frozen=True):
    """A quantity with its ranges in words; paths[r]: how range r is come to."""

    name: str
    block: int
    ranges: tuple[str, ...]
    paths: tuple[Paths, ...]


class Moves(Struct, frozen=True):
    """sets: the memories that settling may end in, one of which a root's value names; () is no state.

    next: by the memory left and the setting come to. power: power fails and returns. delays: name -> root.
    """

    next: Ref
    power: Ref
    delays: dict[str, Ref]
    pending: tuple[tuple[str, ...], ...]
    sets: tuple[tuple[int, ...], ...]


@dataclass
class Memories:
    """What latches: the ends of settling, numbered; their bits come above those of the setting."""

    known: dict[tuple[object, object], int] = field(default_factory=dict)

    def number(self, key: Key) -> int:
        return self.known.setdefault((key.after, key.befores), len(self.known))

    @property
    def bits(self) -> int:
        return max(len(self.known) - 1, 0).bit_length()


def switches(fast: FastPair) -> list[Switch]:
    """The inputs, in the order of the file; those that no contact needs are left out."""
    space, world = fast.space, fast.world
    steps = _steps(space)
    found = []
    for k, v in enumerate(world.variables):
        block = space.block_of[k]
        b = space.blocks[block]
        place = b.variables.index(k)
        goals = [
            [c for c, (_, p) in enumerate(b.choices) if p[place] != here[place]] for _, here in b.choices
        ]
        held = space.constant(k)
        paths = tuple(_thrown(b, steps[block], c, goal) for c, goal in enumerate(goals))
        quantity = v.set_points.quantity if v.set_points is not None else ""
        found.append(Switch(v.name, v.words, block, place, paths, quantity, held))
    return found


def quantities(fast: FastPair) -> list[Quantity]:
    """The quantities that put switches somewhere, or that a sentence names."""
    space, world = fast.space, fast.world
    steps = _steps(space)
    circuits = world.circuits()
    units = {q: quantity.unit for c in circuits for q, quantity in c.quantities.items()}
    found = []
    for k, name in enumerate(world.quantities):
        block = next(n for n, b in enumerate(space.blocks) if b.quantity == k)
        choices = space.blocks[block].choices
        there = range(len(world.cuts[name]) + 1)
        words = tuple(range_words(units[name], *world.interval(name, r)) for r in there)
        goals = [[c for c, (where, _) in enumerate(choices) if where == r] for r in there]
        paths = tuple(tuple(_path(steps[block], c, goal) for c in range(len(choices))) for goal in goals)
        found.append(Quantity(name, block, words, paths))
    return found


def _steps(space: Space) -> list[dict[int, list[int]]]:
    """Block -> choice -> the choices that one move leads to."""
    found: list[dict[int, list[int]]] = [{} for _ in space.blocks]
    for move in space.moves:
        found[move.block].setdefault(move.start, []).append(move.end)
    return found


def _thrown(block: Block, steps: dict[int, list[int]], start: int, goals: list[int]) -> tuple[int, ...]:
    """The way that throws a switch: back to the range where its quantity is, if it stays thrown there."""
    here = block.choices[start][0]
    back = [c for c in goals if block.choices[c][0] == here]
    return _path(steps, start, back) or _path(steps, start, goals)


def _path(steps: dict[int, list[int]], start: int, goals: list[int]) -> tuple[int, ...]:
    """The fewest moves from a choice to one of these."""
    came = {start: start}
    queue = [start]
    for at in queue:
        if at in goals:
            way = [at]
            while came[way[-1]] != way[-1]:
                way.append(came[way[-1]])
            return tuple(reversed(way[:-1]))
        for to in steps.get(at, ()):
            if to not in came:
                came[to] = at
                queue.append(to)
    return ()


class Walk:
    """Writes the moves of a pair into a diagram."""

    def __init__(self, fast: FastPair, diagram: Diagram, memories: Memories) -> None:
        self.fast, self.space, self.diagram, self.memories = fast, fast.space, diagram, memories
        self.ways: Explore = fast.ways
        self.keys = list(fast.reached.classes)
        for key in self.keys:
            memories.number(key)
        self.sets: dict[tuple[int, ...], int] = {(): 0}

    def moves(self) -> Moves:
        following, power = self._following(), self._power()
        delays = {d: self._delay(d) for d in self._delays()}
        pending: dict[int, tuple[str, ...]] = {}
        for key in self.keys:
            pending[self.memories.number(key)] = tuple(self.ways.pending(key))
        return Moves(following, power, delays, tuple(pending[m] for m in sorted(pending)), tuple(self.sets))

    def _delays(self) -> list[str]:
        return list(dict.fromkeys(d for c in self.fast.world.circuits() for d in c.delays))

    def _following(self) -> Ref:
        rows: dict[tuple[int, int], list[tuple[Key, int]]] = {}
        care: dict[tuple[int, int], int] = {}
        for key in self.keys:
            m = self.memories.number(key)
            for chunk, to in self.ways.moved(key, self.fast.reached.classes[key]).items():
                rows.setdefault((m, chunk), []).extend(self.ways.led(key, chunk, to))
                care[m, chunk] = care.get((m, chunk), 0) | to
            for chunk, tried in self._tried(key).items():  # where a move would lead that cannot be
                care[m, chunk] = care.get((m, chunk), 0) | tried
        return self._root(rows, care)

    def _tried(self, key: Key) -> dict[int, int]:
        """The settings that moves would lead to if every combination were possible."""
        found: dict[int, int] = {}
        reached = self.fast.reached.classes[key]
        for move in self.space.moves:
            chunk, to = self.space.shifted(move, key.chunk, reached)
            found[chunk] = found.get(chunk, 0) | to
        return found

    def _power(self) -> Ref:
        rows = {(0, chunk): self.ways.powered(chunk) for chunk in self.space.chunks}
        return self._root(rows, {at: self.space.possible(at[1]) for at in rows}, memory=False)

    def _delay(self, name: str) -> Ref:
        rows, care = {}, {}
        for key in self.keys:
            if name in self.ways.pending(key):
                at = self.memories.number(key), key.chunk
                care[at] = self.fast.reached.classes[key]
                rows[at] = self.ways.led(key, key.chunk, care[at], name)
        return self._root(rows, care)

    def _root(
        self,
        rows: dict[tuple[int, int], list[tuple[Key, int]]],
        care: dict[tuple[int, int], int],
        memory: bool = True,
    ) -> Ref:
        parts: dict[tuple[int, int], Ref | None] = {}
        for at, there in care.items():
            values = {self._set(ms): where for ms, where in self._by_set(rows.get(at, []), there).items()}
            parts[at] = self.diagram.vector(values, there)
        return whole(self.diagram, self.space, self.memories if memory else Memories(), parts)

    def _by_set(self, led: list[tuple[Key, int]], care: int) -> dict[tuple[int, ...], int]:
        """The settings by the memories that they may lead to."""
        by_memory: dict[int, int] = {}
        for key, where in led:
            m = self.memories.number(key)
            by_memory[m] = by_memory.get(m, 0) | where
        found: dict[tuple[int, ...], int] = {(): care}
        for m in sorted(by_memory):
            split: dict[tuple[int, ...], int] = {}
            for ms, where in found.items():
                inside, outside = where & by_memory[m], where & ~by_memory[m]
                if inside:
                    split[*ms, m] = inside
                if outside:
                    split[ms] = outside
            found = split
        return found

    def _set(self, memories: tuple[int, ...]) -> int:
        return self.sets.setdefault(memories, len(self.sets))


def whole(
    diagram: Diagram, space: Space, memories: Memories, parts: dict[tuple[int, int], Ref | None]
) -> Ref:
    """One function of the whole state, from its part for each memory and chunk of settings."""
    count = max(len(memories.known), 1)
    of_memory = [
        diagram.joined([parts.get((m, chunk)) for chunk in space.chunks], space.low)
        if any(parts.get((m, chunk)) is not None for chunk in space.chunks)
        else None
        for m in range(count)
    ]
    return diagram.joined(of_memory, space.bits)
