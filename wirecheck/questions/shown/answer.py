"""All reachable states of a unit, or before and after a change, as one diagram that a page looks up in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from wirecheck.circuit.graph import Changed
from wirecheck.engine.ask import ask
from wirecheck.engine.fast.limits import NotHere, TooLarge
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.fast.space import Space
from wirecheck.engine.levels import LEVELS, UNKNOWN
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.world import World
from wirecheck.questions.shown.diagram import Diagram, Ref
from wirecheck.questions.shown.facts import Fact, blended, seen
from wirecheck.questions.shown.moves import (
    Memories,
    Moves,
    Quantity,
    Switch,
    Walk,
    quantities,
    switches,
    whole,
)
from wirecheck.questions.shown.points import pairs
from wirecheck.questions.shown.readings import Readings

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.circuit.elements import Estimate
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.fast.joint import Key
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.shown.facts import Seen
    from wirecheck.questions.shown.points import Pair

MOST_BITS = 20  # of the state: beyond, inputs are held
MOST_BYTES = 250_000  # of the diagram, as text: beyond, inputs are held
BYTES_A_NODE = 14  # about


class Shown(Struct, frozen=True):
    """What a page shows. A state is a number: the setting, above it which memory it is.

    before, after: the circuits; after None where a unit is shown alone. held: inputs that this page holds at
    normal, so as to stay small enough; fields: what is not given and decides something.
    pairs: points for a meter, those that were read; meters: side and place in `pairs` -> the number of what
    is read, in `readings`. unread: the pairs that take too long.
    """

    before: Circuit
    after: Circuit | None
    diagram: Diagram
    facts: dict[Fact, Ref]
    switches: tuple[Switch, ...]
    quantities: tuple[Quantity, ...]
    moves: Moves
    fast: FastPair
    numbers: dict[tuple[object, object], int]  # of the memories
    memory_at: int
    blocks: tuple[tuple[int, int, tuple[tuple[int | None, tuple[bool, ...]], ...]], ...]
    states: int
    held: tuple[str, ...] = ()
    fields: tuple[str, ...] = ()
    pairs: tuple[Pair, ...] = ()
    meters: dict[tuple[str, int], Ref] = field(default_factory=dict)
    readings: tuple[Reading, ...] = ()
    unread: tuple[Pair, ...] = ()

    def state(self, index: int, key: Key) -> int:
        """The number of a state: a setting in a class."""
        return index | self.numbers[key.after, key.befores] << self.memory_at

    @property
    def bits(self) -> int:
        """How many bits a state takes."""
        return self.memory_at + max(len(self.moves.pending) - 1, 0).bit_length()

    @property
    def brought(self) -> frozenset[str]:
        """The inputs that only the unit as changed has."""
        return (
            frozenset()
            if self.after is None
            else frozenset(self.after.inputs.keys() - self.before.inputs.keys())
        )

    @property
    def doubtful(self) -> bool:
        """Is any level unknown in any state?"""
        roots = [ref for (_, kind, _), ref in self.facts.items() if kind in ("wire", "element", "terminal")]
        unknown = ~LEVELS.index(UNKNOWN)
        nodes, _ = self.diagram.kept(roots)
        return unknown in roots or any(unknown in branches for _, *branches in nodes)

    @property
    def delays(self) -> tuple[tuple[str, str, str], ...]:
        """(what it is called, side, delay), of the unit as changed; of the unit before where that differs."""
        found = []
        for name in self.moves.delays:
            refs = {s: self.facts[s, "delay", name] for s in self.sides if (s, "delay", name) in self.facts}
            last = list(refs)[-1]
            found.append((name, last, name))
            if refs[next(iter(refs))] != refs[last]:
                found.append((f"{name} (before)", "before", name))
        return tuple(found)

    @property
    def sides(self) -> tuple[str, ...]:
        return ("before",) if self.after is None else ("before", "after")

    def circuit(self, side: str) -> Circuit:
        return self.after if side == "after" and self.after is not None else self.before

    def ref(self, side: str, kind: str, name: str) -> Ref:
        """The function of one thing that is shown; KeyError where there is none."""
        return self.facts[side, kind, name]  # type: ignore[index]

    def value(self, side: str, kind: str, name: str, state: int) -> int:
        """A level, a word's number, or whether a contact is closed, in a state."""
        return self.diagram.value(self.ref(side, kind, name), state)


class NotShown(Exception):
    """The states of a unit cannot be told all at once. Carries why, in words."""


def shown(drawn: Changed | Circuit) -> Shown:
    """Every state that fits; where not all do, inputs that the change does not touch are held at normal.

    Raises NotShown where that does not help.
    """
    order = _free_first(drawn)
    held: tuple[str, ...] = ()
    why = "more than a page holds"
    while True:
        world = _world(drawn, held)
        try:
            if Space(world, enumerated=False).bits > MOST_BITS:
                raise TooLarge("bits of state")
            found = _shown(drawn, world)
        except (TooLarge, NotHere) as error:
            found, why = None, str(error)
        if found is not None and not _too_large(found):
            return replace(found, held=held)
        if len(held) >= len(order):
            raise NotShown(why)
        held = order[len(order) - min(len(order), len(held) + max(1, _over(world))) :]


def _over(world: World) -> int:
    """How many more inputs to hold at once."""
    return max(1, (Space(world, enumerated=False).bits - MOST_BITS + 1) // 2)


def _too_large(found: Shown) -> bool:
    roots = (*found.facts.values(), found.moves.next, found.moves.power, *found.moves.delays.values())
    nodes, _ = found.diagram.kept(roots)
    return found.bits > MOST_BITS or len(nodes) * BYTES_A_NODE > MOST_BYTES


def _world(drawn: Changed | Circuit, held: Iterable[str]) -> World:
    """The world of a unit alone, or of both; `held` at normal."""
    if not isinstance(drawn, Changed):
        return World(drawn, held={n: drawn.inputs[n].normal for n in held})
    inputs = {**drawn.before.inputs, **drawn.after.inputs}
    return World(drawn.after, drawn.before, drawn.replaced, held={n: inputs[n].normal for n in held})


def _free_first(drawn: Changed | Circuit) -> tuple[str, ...]:
    """The inputs that may be held, those that the change touches first: they are held last."""
    world = _world(drawn, ())
    names = [v.after or v.before or v.name for v in world.variables if v.held is None]
    near = touched(drawn) if isinstance(drawn, Changed) else frozenset()
    return tuple(sorted(names, key=lambda n: (_device(drawn, n) not in near, names.index(n))))


def _device(drawn: Changed | Circuit, name: str) -> str:
    circuits = (drawn.after, drawn.before) if isinstance(drawn, Changed) else (drawn,)
    return next(c.inputs[name].device for c in circuits if name in c.inputs)


def touched(changed: Changed) -> frozenset[str]:
    """The devices that a change brings, or at which its steps work."""
    found = set(changed.brought)
    for step in changed.steps:
        found |= {t.rpartition(".")[0] for t in step.terminals} | set(step.devices)
        for circuit in (changed.before, changed.after):
            wires = (circuit.conductors[w] for w in step.wires if w in circuit.conductors)
            found |= {t.rpartition(".")[0] for w in wires for t in (w.a, w.b)}
    return frozenset(found)


def _shown(drawn: Changed | Circuit, world: World) -> Shown:
    """Raises NotHere, TooLarge."""
    fasts: list[FastPair] = []
    readings = Readings(pairs(drawn))

    def run(scenario: Mapping[str, int]) -> tuple[Seen, list[Estimate]]:
        before = Plain(world.before, scenario) if world.before is not None else None
        fast = FastPair.of(Plain(world.after, scenario), before, world)
        fasts.append(fast)
        found = seen(fast, readings)
        return found, list(fast.sensitive.values())

    asked = ask(run)
    first = fasts[0] if len(asked.answers) == 1 else _nominal(world)
    found = blended(asked.nominal, list(asked.answers.values())[1:], readings)
    return _metered(_written(drawn, first, found, asked.fields), readings)


def _metered(found: Shown, readings: Readings) -> Shown:
    """With what meters read apart from all else."""
    kept = [k for k in range(len(readings.pairs)) if k not in readings.left]
    meters = {
        (side, kept.index(int(name))): ref
        for (side, kind, name), ref in found.facts.items()
        if kind == "meter" and int(name) in kept
    }
    return replace(
        found,
        facts={fact: ref for fact, ref in found.facts.items() if fact[1] != "meter"},
        pairs=tuple(readings.pairs[k] for k in kept),
        meters=meters,
        readings=readings.told(),
        unread=tuple(readings.pairs[k] for k in sorted(readings.left)),
    )


def _nominal(world: World) -> FastPair:
    before = Plain(world.before) if world.before is not None else None
    return FastPair.of(Plain(world.after), before, world)


def _written(drawn: Changed | Circuit, fast: FastPair, found: Seen, fields: tuple[str, ...]) -> Shown:
    space, memories, diagram = fast.space, Memories(), Diagram(fast.space.low)
    moves = Walk(fast, diagram, memories).moves()
    names = {"before": "before", "after": "after"} if "before" in fast.units else {"after": "before"}
    facts: dict[Fact, Ref] = {}
    for fact in next(iter(found.facts.values()), {}):
        if not all(fact in of for of in found.facts.values()):
            continue  # readings that took too long in some class
        parts = {
            (memories.number(key), key.chunk): diagram.vector(of[fact], found.reached[key])
            for key, of in found.facts.items()
        }
        facts[names[fact[0]], fact[1], fact[2]] = whole(diagram, space, memories, parts)
    after = drawn.after if isinstance(drawn, Changed) else None
    return Shown(
        before=drawn.before if isinstance(drawn, Changed) else drawn,
        after=after,
        diagram=diagram,
        facts=facts,
        switches=tuple(switches(fast)),
        quantities=tuple(quantities(fast)),
        moves=moves,
        fast=fast,
        numbers=memories.known,
        memory_at=space.bits,
        blocks=tuple((b.at, b.width, b.choices) for b in space.blocks),
        states=fast.count,
        fields=fields,
    )
