"""Every touch of the engine that is measured: what `wirecheck` does, and what it says of single states."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from msgspec.structs import replace

from wirecheck.checks.vectors import Vectors
from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.elements import Contact, Link
from wirecheck.circuit.graph import Changed, Circuit
from wirecheck.engine.answers import CHATTERS, IN, TooMany
from wirecheck.engine.fast.limits import NotHere, TooLarge
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.fast.space import Space
from wirecheck.engine.fast.table import Table
from wirecheck.engine.fast.unit import Unit
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.question import Not, SameWord
from wirecheck.engine.world import World
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    import random
    from collections.abc import Iterator

    from tests.benchmark.generator import Job
    from wirecheck.engine.fast.pair import JointClass, Side, Stand
    from wirecheck.questions.verify import Verified

Bits = tuple[bool, ...]


class NotProved(Exception):
    """`verify` gives no pass. Carries what it says."""


LEFT = (NotHere, TooLarge, TooMany, NotProved)  # what the engine says where it has no answer
SIDES: tuple[Side, Side] = ("before", "after")


def load(job: Job) -> Changed:
    """Both files read, the change carried out."""
    return load_change_pair(job.unit, job.change)


def fresh(changed: Changed) -> Changed:
    """The same circuits without what they keep of earlier questions."""
    return replace(changed, before=replace(changed.before), after=replace(changed.after))


def verified(changed: Changed) -> Verified:
    """Every check, as the command does it."""
    return verify(changed)


def _vectors(changed: Changed) -> Vectors:
    """Contract, compile, settle both units over every state that is reached. Raises what is in LEFT."""
    world = World(changed.after, changed.before, changed.replaced)
    return Vectors(FastPair.of(Plain(changed.after), Plain(changed.before), world))


def compared(changed: Changed) -> dict[str, dict[str, str]]:
    """Each load that differs in some state -> the inputs of its counterexample, walked on the plain one.

    The whole way from the circuits in memory: compile, settle, compare. Raises what is in LEFT.
    """
    vectors = _vectors(changed)
    found = {}
    for load_name in changed.after.loads:
        if load_name in changed.before.loads:
            joint = next(vectors.where(Not(SameWord(load_name, load_name))), None)
            if joint is not None:
                found[load_name] = vectors.fast.world.words(joint.setting)
    return found


def proved(changed: Changed) -> None:
    """`verify` of units with more inputs than can be enumerated. Raises NotProved where it is no pass."""
    found = verify(changed)
    if found.verdict != "pass":
        says = "; ".join(found.why_unknown) or "; ".join(
            f.says for f in found.findings if f.verdict == found.verdict
        )
        raise NotProved(f"verify says {found.verdict}: {says}")


def compiled(changed: Changed) -> None:
    """Both units as programs in one table, nothing evaluated. Raises what is in LEFT."""
    world = World(changed.after, changed.before, changed.replaced)
    space, table = Space(world, enumerated=False), Table()
    Unit("after", table, space, Plain(changed.after))
    Unit("before", table, space, Plain(changed.before))


class Faulty:
    """One unit with one fault after another beside it, as `lift` asks."""

    def __init__(self, unit: Circuit) -> None:
        self.before = Plain(unit)
        self.last: FastPair | None = None

    def differing(self, fault: Changed) -> list[str]:
        """The loads that differ in some state, without counterexamples. Raises what is in LEFT."""
        world = World(fault.after, fault.before, fault.replaced)
        self.last = FastPair.of(Plain(fault.after), self.before, world, self.last)
        vectors = Vectors(self.last)
        both = [n for n in fault.after.loads if n in fault.before.loads]
        return [n for n in both if vectors.exists(Not(SameWord(n, n)))]


def faults(circuit: Circuit) -> Iterator[Changed]:
    """Every conductor open, every contact stuck open and stuck closed."""
    for i in circuit.conductors:
        wires = {n: w for n, w in circuit.conductors.items() if n != i}
        yield Changed(f"{i} open", circuit, replace(circuit, conductors=wires))
    for c in circuit.contacts.values():
        for stuck in ("open", "closed"):
            yield Changed(f"{c.id} stuck {stuck}", circuit, _stuck(circuit, c, stuck == "closed"))


def _stuck(circuit: Circuit, contact: Contact, closed: bool) -> Circuit:
    elements = {i: e for i, e in circuit.elements.items() if i != contact.id}
    if closed:
        elements[contact.id] = Link(contact.id, contact.device, contact.a, contact.b)
    relays = {
        n: replace(r, contacts=tuple(c for c in r.contacts if c != contact.id))
        for n, r in circuit.relays.items()
    }
    return replace(circuit, elements=elements, relays=relays)


@dataclass(frozen=True, slots=True)
class Stood:
    """What one unit shows in a state: relays in, the word of each load, delays moved, in its circuit's order.

    Of a rest only: nothing is listed where it chatters or is shorted.
    """

    kind: Literal["rest", "chatter", "short"]
    coils: Bits = ()
    words: tuple[str, ...] = ()
    delays: Bits = ()


class Answers:
    """What the fast evaluator says of single states of a changed unit. Settings have numbers."""

    def __init__(self, changed: Changed) -> None:
        """Raises what is in LEFT."""
        self.changed = changed
        self.vectors = _vectors(changed)
        self.fast, self.space = self.vectors.fast, self.vectors.fast.space
        self._kept: dict[tuple[Side, object], list[_Vectors]] = {}
        self._in_chunk: dict[int, list[JointClass]] = {}
        for c in self.fast.classes:
            self._in_chunk.setdefault(c.key.chunk, []).append(c)

    @property
    def settings(self) -> int:
        """How many settings power may come up in."""
        return sum(self.space.possible(chunk).bit_count() for chunk in self.space.chunks)

    @property
    def joint_states(self) -> int:
        return self.fast.count

    def circuit(self, side: Side) -> Circuit:
        return self.changed.after if side == "after" else self.changed.before

    def states(self, side: Side) -> int:
        """How many states of one unit are reached."""
        found: dict[tuple[object, int], int] = {}
        for c in self.fast.classes:
            for end in (c.key.after,) if side == "after" else c.key.befores:
                key = (end, c.key.chunk)
                found[key] = found.get(key, 0) | c.reached
        return sum(where.bit_count() for where in found.values())

    def drawn(self, rng: random.Random) -> int:
        """A possible setting."""
        while True:
            index = rng.randrange(1 << self.space.bits)
            if self.space.possible(index >> self.space.low) >> (index & (self.space.size - 1)) & 1:
                return index

    @cached_property
    def _weights(self) -> list[int]:
        return [c.reached.bit_count() for c in self.fast.classes]

    def drawn_state(self, rng: random.Random) -> tuple[int, dict[Side, list[Stood]]]:
        """A reachable joint state: its setting, and what each unit shows."""
        c = rng.choices(self.fast.classes, self._weights)[0]
        bit = rng.choice([k for k, one in enumerate(bin(c.reached)[:1:-1]) if one == "1"])
        return c.first + bit, {side: self._of_class(side, c, bit) for side in SIDES}

    def telling(self) -> list[tuple[int, dict[Side, list[Stood]]]]:
        """A reachable joint state for each word that a load or relay has in either unit."""
        seen: set[tuple[Side, str, str]] = set()
        found: dict[tuple[object, int], tuple[int, dict[Side, list[Stood]]]] = {}
        for c in self.fast.classes:
            for side in SIDES:
                for name, word, where in self._all_words(side, c):
                    if (side, name, word) not in seen:
                        seen.add((side, name, word))
                        bit = (where & -where).bit_length() - 1
                        shown = {s: self._of_class(s, c, bit) for s in SIDES}
                        found[c.key, bit] = (c.first + bit, shown)
        return list(found.values())

    def _all_words(self, side: Side, c: JointClass) -> Iterator[tuple[str, str, int]]:
        for each in self._vectors(side, c):
            names = (*self.circuit(side).relays, *self.circuit(side).loads)
            for name, vectors in zip(names, (*each.relays, *each.loads), strict=True):
                for word, where in vectors.items():
                    if where & c.reached:
                        yield name, word, where & c.reached

    def inputs(self, side: Side, index: int) -> Bits:
        """The position of every input of one unit."""
        return self.fast.world.inputs(side == "after", self.space.setting(index))

    def moves(self, index: int) -> list[int]:
        """The settings that one move leads to."""
        return [self.space.index_of(to) for _, to in self.fast.world.moves(self.space.setting(index))]

    def shown(self, side: Side, index: int, power_up: bool) -> set[Stood]:
        """What one unit shows in a setting: in every state reached, or where power-up alone leads."""
        bit = index & (self.space.size - 1)
        classes = self._in_chunk.get(index >> self.space.low, [])
        inside = [c for c in classes if (c.power_up if power_up else c.reached) >> bit & 1]
        return {stood for c in inside for stood in self._of_class(side, c, bit)}

    def _of_class(self, side: Side, c: JointClass, bit: int) -> list[Stood]:
        return [each.at(bit) for each in self._vectors(side, c)]

    def _vectors(self, side: Side, c: JointClass) -> list[_Vectors]:
        key = (side, c.key)
        if key not in self._kept:
            self._kept[key] = [_Vectors(self.circuit(side), stand) for stand in c.stands(side)]
        return self._kept[key]


class _Vectors:
    """The words of one unit at one end of settling, worked out once for all settings of a class."""

    def __init__(self, circuit: Circuit, stand: Stand) -> None:
        self.short = bool(stand.shorted)
        self.relays = [stand.relay(n) for n in circuit.relays]
        self.loads = [stand.load(n) for n in circuit.loads]
        self.delays = [stand.delay(n) for n in circuit.delays]

    def at(self, bit: int) -> Stood:
        if self.short:
            return Stood("short")
        relays, loads = ([_word(each, bit) for each in row] for row in (self.relays, self.loads))
        if CHATTERS in (*relays, *loads):
            return Stood("chatter")
        delays = tuple(bool(where >> bit & 1) for where in self.delays)
        return Stood("rest", tuple(w == IN for w in relays), tuple(loads), delays)


def _word(each: dict[str, int], bit: int) -> str:
    return next(word for word, where in each.items() if where >> bit & 1)
