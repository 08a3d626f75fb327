"""Settings as numbers: each independent choice takes bits of an index, a Python int holds a bit a setting.

A choice of m positions (a free switch: 2; a quantity: its ranges with what its switches do in them) takes
ceil(log2 m) bits; codes beyond m and impossible combinations are masked off. Vectors are cut into chunks of
2^16 settings: the low bits of an index are fixed patterns, the high ones are 0 or all ones.
"""

from __future__ import annotations

from copy import copy
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.bound import And, Bound, DelayIs, InputIs, LoadIs, Not, Or, QuantityIs, RelayIs
from wirecheck.engine.fast.limits import CHUNK_BITS, MOST_BITS, TooLarge
from wirecheck.engine.fast.table import FALSE, TRUE, InputBit, pattern
from wirecheck.engine.world import Setting

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Bits
    from wirecheck.engine.fast.table import Table
    from wirecheck.engine.world import World

MOST_SETTINGS = 1 << 12  # that are kept


class Block(Struct, frozen=True):
    """One independent choice. `at`: its lowest bit in an index; quantity: its place among them, or None."""

    variables: tuple[int, ...]
    choices: tuple[tuple[int | None, Bits], ...]
    at: int
    width: int
    quantity: int | None


class Move(Struct, frozen=True):
    """One move from a choice of a block to another, with its words."""

    block: int
    start: int
    end: int
    words: str


class Space:
    """The settings of a world, numbered."""

    def __init__(self, world: World, enumerated: bool = True) -> None:
        """enumerated: its settings are to be looked at one and all. Raises TooLarge."""
        self.world = world
        self.blocks = tuple(_blocks(world))
        self.bits = sum(b.width for b in self.blocks)
        if enumerated and self.bits > MOST_BITS:
            raise TooLarge(f"2^{self.bits} combinations of inputs")
        self.low = min(self.bits, CHUNK_BITS)
        self.size = 1 << self.low
        self.ones = (1 << self.size) - 1
        self.chunks = range(1 << (self.bits - self.low))
        self.block_of = {k: n for n, b in enumerate(self.blocks) for k in b.variables}
        self._patterns = [pattern(k, self.low) for k in range(self.low)]
        self._choices: dict[tuple[int, int, int], int] = {}
        self._moved: dict[tuple[int, int], int] = {}
        self._possible: dict[int, int] = {}
        self._away: dict[int, list[int]] = {}  # of the chunk asked last
        self._settings: dict[int, Setting] = {}

    def of(self, world: World) -> Space:
        """The settings of another world that has the same (`World.same_settings`)."""
        found = copy(self)
        found.world = world
        return found

    # --- vectors -----------------------------------------------------------------------------------

    def bit(self, k: int, chunk: int) -> int:
        """Where bit k of the index is 1."""
        if k < self.low:
            return self._patterns[k]
        return self.ones if chunk >> (k - self.low) & 1 else 0

    def choice(self, block: int, c: int, chunk: int) -> int:
        """Where a block stands at its choice c."""
        b = self.blocks[block]
        key = (block, c, self._high(b, chunk))
        if key not in self._choices:
            found = self.ones
            for k in range(b.width):
                here = self.bit(b.at + k, chunk)
                found &= here if c >> k & 1 else here ^ self.ones
            self._choices[key] = found
        return self._choices[key]

    def _high(self, b: Block, chunk: int) -> int:
        """The part of the chunk's number that belongs to a block."""
        first = max(b.at - self.low, 0)
        last = b.at + b.width - self.low
        return chunk >> first & ((1 << (last - first)) - 1) if last > first else 0

    def variable(self, k: int, chunk: int) -> int:
        """Where variable k stands moved."""
        block = self.block_of[k]
        b = self.blocks[block]
        key = k, self._high(b, chunk)
        if key not in self._moved:
            at, found = b.variables.index(k), 0
            for c, (_, positions) in enumerate(b.choices):
                if positions[at]:
                    found |= self.choice(block, c, chunk)
            self._moved[key] = found
        return self._moved[key]

    def given(self, table: Table, chunk: int) -> dict[int, int]:
        """Node of a program -> where it is true, of the constants and of every input in it."""
        count, found = table.given.get(chunk, (-1, {}))
        if count != len(table.names):
            inputs = ((name, node) for name, node in table.variables() if isinstance(name, InputBit))
            found = {n: self.variable(name.variable, chunk) for name, n in inputs}
            found |= {FALSE: 0, TRUE: self.ones}
            table.given[chunk] = len(table.names), found
        return found

    def constant(self, k: int) -> bool | None:
        """The one position of a variable that is held."""
        b = self.blocks[self.block_of[k]]
        at = b.variables.index(k)
        seen = {positions[at] for _, positions in b.choices}
        return seen.pop() if len(seen) == 1 else None

    def range(self, quantity: int, r: int, chunk: int) -> int:
        """Where a quantity lies in its range r."""
        block = next(n for n, b in enumerate(self.blocks) if b.quantity == quantity)
        found = 0
        for c, (where, _) in enumerate(self.blocks[block].choices):
            if where == r:
                found |= self.choice(block, c, chunk)
        return found

    def possible(self, chunk: int) -> int:
        """Where the code of every block is one of its choices and no `impossible` condition holds."""
        if chunk not in self._possible:
            found = self.ones
            for n, b in enumerate(self.blocks):
                if len(b.choices) < 1 << b.width:
                    every = 0
                    for c in range(len(b.choices)):
                        every |= self.choice(n, c, chunk)
                    found &= every
            for circuit, condition in self.world.impossible:
                found &= self.holds(condition, circuit, chunk) ^ self.ones
            self._possible[chunk] = found
        return self._possible[chunk]

    def holds(self, condition: Bound, circuit: Circuit, chunk: int) -> int:
        """Where a condition on inputs and quantities holds, in the words of one of the two circuits."""
        match condition:
            case Not(part):
                return self.holds(part, circuit, chunk) ^ self.ones
            case And(parts):
                found = self.ones
                for p in parts:
                    found &= self.holds(p, circuit, chunk)
                return found
            case Or(parts):
                found = 0
                for p in parts:
                    found |= self.holds(p, circuit, chunk)
                return found
            case InputIs(name, moved):
                return self.position(circuit, name, chunk) ^ (0 if moved else self.ones)
            case QuantityIs():
                return self.lies(condition.quantity, condition.above, condition.value, chunk)
            case LoadIs() | RelayIs() | DelayIs():
                raise ValueError("a combination of inputs cannot name a load, relay or delay")

    def position(self, circuit: Circuit, name: str, chunk: int) -> int:
        """Where this input of this circuit stands moved."""
        k, flip = self.where[circuit is self.world.after, name]
        moved = 0 if k is None else self.variable(k, chunk)
        return moved ^ (self.ones if flip else 0)

    @cached_property
    def where(self) -> dict[tuple[bool, str], tuple[int | None, bool]]:
        """(is it of after?, input name) -> (variable, stands the other way), or (None, its position)."""
        found: dict[tuple[bool, str], tuple[int | None, bool]] = {}
        for v in (*self.world.variables, *self.world.fixed):
            k = self.world.index.get(v.name)
            for of_after, name, flip in ((True, v.after, False), (False, v.before, v.flip_before)):
                if name is not None:
                    found[of_after, name] = (k, flip) if k is not None else (None, v.normal != flip)
        return found

    def lies(self, quantity: str, above: bool, value: float, chunk: int) -> int:
        """Where a quantity lies above, or below, a value in its base unit; nowhere if nothing divides it."""
        if quantity not in self.world.cuts:
            return 0
        q = self.world.quantities.index(quantity)
        found = 0
        for r in range(len(self.world.cuts[quantity]) + 1):
            low, high = self.world.interval(quantity, r)
            if low >= value if above else high <= value:
                found |= self.range(q, r, chunk)
        return found

    # --- one setting ---------------------------------------------------------------------------------

    def setting(self, index: int) -> Setting:
        """The setting of an index; so many of those asked for are kept."""
        if index not in self._settings:
            if len(self._settings) == MOST_SETTINGS:
                self._settings.clear()
            self._settings[index] = self._setting(index)
        return self._settings[index]

    def _setting(self, index: int) -> Setting:
        bits = [False] * len(self.world.variables)
        ranges = []
        for b in self.blocks:
            r, positions = b.choices[index >> b.at & ((1 << b.width) - 1)]
            for k, moved in zip(b.variables, positions, strict=True):
                bits[k] = moved
            if r is not None:
                ranges.append(r)
        return Setting(tuple(bits), tuple(ranges))

    def index_of(self, setting: Setting) -> int:
        found = 0
        for b in self.blocks:
            r = None if b.quantity is None else setting.ranges[b.quantity]
            found |= b.choices.index((r, tuple(setting.bits[k] for k in b.variables))) << b.at
        return found

    # --- moves ---------------------------------------------------------------------------------------

    @cached_property
    def moves(self) -> tuple[Move, ...]:
        """Every move of one block, whatever the others do."""
        free = copy(self.world)
        free.impossible = []
        return tuple(m for n, b in enumerate(self.blocks) for m in self._moves_of(free, n, b))

    def _moves_of(self, free: World, n: int, b: Block) -> Iterator[Move]:
        for c in range(len(b.choices)):
            start = c << b.at
            for words, to in free.moves(self.setting(start)):
                end = self.index_of(to)
                if end & ~(((1 << b.width) - 1) << b.at) == 0 and end != start:
                    yield Move(n, c, end >> b.at, words)

    def moved(self, move: Move, chunk: int, mask: int) -> tuple[int, int]:
        """The chunk and the settings that a move leads to from the settings of `mask`."""
        chunk, to = self.shifted(move, chunk, mask)
        return chunk, to & self.possible(chunk)

    def shifted(self, move: Move, chunk: int, mask: int) -> tuple[int, int]:
        """The same, whether these combinations are possible or not."""
        b = self.blocks[move.block]
        here = mask & self.choice(move.block, move.start, chunk)
        start, end = move.start << b.at, move.end << b.at
        shift = (end & (self.size - 1)) - (start & (self.size - 1))
        to = here << shift if shift >= 0 else here >> -shift
        return chunk ^ (start >> self.low) ^ (end >> self.low), to

    def origin(self, index: int, chunk: int, leaving: int) -> tuple[str, int]:
        """A move that leads to `index` from a setting in `leaving` of a chunk: its words, and whence."""
        for move in self.moves:
            b = self.blocks[move.block]
            if index >> b.at & ((1 << b.width) - 1) == move.end:
                start = index + ((move.start - move.end) << b.at)
                if start >> self.low == chunk and leaving >> (start & (self.size - 1)) & 1:
                    return move.words, start
        raise ValueError(f"no move leads to setting {index}")

    def halves(self, k: int, where: dict[int, int]) -> tuple[dict[int, int], dict[int, int]] | None:
        """The settings with a variable at rest, and those with it moved, put at rest; chunk -> settings.

        None of a variable that a quantity moves.
        """
        b = next(b for b in self.blocks if k in b.variables)
        if b.quantity is not None or len(b.variables) > 1 or len(b.choices) != 2:
            return None
        at, moved = (next(i for i, c in enumerate(b.choices) if c[1] == (v,)) for v in (False, True))
        halves: tuple[dict[int, int], dict[int, int]] = ({}, {})
        n = self.blocks.index(b)
        for chunk, mask in where.items():
            for half, choice in zip(halves, (at, moved), strict=True):
                to, here = self.shifted(Move(n, choice, at, ""), chunk, mask)
                if here:
                    half[to] = half.get(to, 0) | here
        return halves

    def nearest(self, chunk: int, where: int) -> tuple[int, int | None]:
        """How many variables stand away from normal here at least, and the lowest such setting."""
        for count, mask in enumerate(self._levels(chunk)):
            if mask & where:
                return count, lowest(mask & where)
        return len(self.world.variables) + 1, None

    def levels(self, chunk: int, where: int) -> Iterator[tuple[int, int]]:
        """How many variables stand away from normal, and the settings of `where` in which that many do."""
        for count, mask in enumerate(self._levels(chunk)):
            if mask & where:
                yield count, mask & where

    def _levels(self, chunk: int) -> list[int]:
        """The settings of a chunk by the number of variables away from normal."""
        if chunk not in self._away:
            levels = [self.ones]
            for n in range(len(self.blocks)):
                levels = self._with_block(levels, n, chunk)
            self._away = {chunk: levels}
        return self._away[chunk]

    def _with_block(self, levels: list[int], n: int, chunk: int) -> list[int]:
        b, normal = self.blocks[n], self.world.variables
        found = [0] * (len(levels) + len(b.variables))
        for c, (_, positions) in enumerate(b.choices):
            more = sum(p != normal[k].normal for k, p in zip(b.variables, positions, strict=True))
            here = self.choice(n, c, chunk)
            for count, mask in enumerate(levels):
                found[count + more] |= mask & here
        return found


def _blocks(world: World) -> Iterator[Block]:
    at, q = 0, 0
    for where, choices in world.blocks:
        width = max(len(choices) - 1, 0).bit_length()
        quantity = None
        if choices and choices[0][0] is not None:
            quantity, q = q, q + 1
        yield Block(tuple(where), tuple(choices), at, width, quantity)
        at += width


def lowest(mask: int) -> int:
    """The number of the lowest 1."""
    return (mask & -mask).bit_length() - 1
