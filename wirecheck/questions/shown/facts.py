"""What is shown of each state: levels, words, where contacts and delays stand; as vectors, class by class."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.engine import answers
from wirecheck.engine.fast.levels import LevelVectors
from wirecheck.engine.levels import LEVELS
from wirecheck.engine.levels import UNKNOWN as UNKNOWN_LEVEL

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from wirecheck.engine.fast.joint import Key
    from wirecheck.engine.fast.pair import FastPair, JointClass
    from wirecheck.engine.fast.side import Stand
    from wirecheck.questions.shown.diagram import Values
    from wirecheck.questions.shown.readings import Readings

Kind = Literal["wire", "element", "terminal", "load", "relay", "closed", "delay", "meter"]
Fact = tuple[str, Kind, str]  # side, kind, name; of a meter the number of the pair of points
Facts = dict[Fact, "Values"]

# The words of loads and relays by the number that stands for them.
WORDS = (
    answers.OFF, answers.ON, answers.RUNS, answers.WEAK, answers.OVER, answers.STALLS, answers.BACKWARD,
    answers.SHORT, answers.CHATTERS, answers.UNKNOWN, answers.IN, answers.OUT,
)  # fmt: skip
UNKNOWN_WORD = WORDS.index(answers.UNKNOWN)


class Seen(Struct, frozen=True):
    """The states of one scenario: each class's settings, and what is shown in them."""

    reached: dict[Key, int]
    facts: dict[Key, Facts]


def seen(fast: FastPair, readings: Readings) -> Seen:
    """Everything that is shown of every reachable state. Raises NotHere, TooLarge."""
    levels = {side: LevelVectors(unit.plain) for side, unit in fast.units.items()}
    facts = {c.key: {**dict(_of_class(fast, c, levels)), **_read(fast, c, readings)} for c in fast.classes}
    return Seen(dict(fast.reached.classes), facts)


def _read(fast: FastPair, c: JointClass, readings: Readings) -> Facts:
    """What meters read."""
    found: Facts = {}
    for side in fast.units:
        for k in range(len(readings.pairs)):
            values = readings.of_class(c, side, k, side if "before" in fast.units else "before")
            if values is not None:
                found[side, "meter", str(k)] = values
    return found


def _of_class(
    fast: FastPair, c: JointClass, levels: dict[str, LevelVectors]
) -> Iterator[tuple[Fact, Values]]:
    for side, unit in fast.units.items():
        stands, circuit = c.stands(side), unit.plain.circuit
        each = [levels[side].of_stand(s) for s in stands]
        for (kind, name), first in each[0].items():
            rows = [{LEVELS.index(x): w for x, w in e[kind, name].items()} for e in each] if first else []
            yield (side, kind, name), agreed(rows, c.reached, LEVELS.index(UNKNOWN_LEVEL))  # type: ignore[misc]
        for name in _loads(circuit.loads):
            yield (side, "load", name), _words(stands, c.reached, lambda s, n=name: s.load(n))  # type: ignore[misc]
        for name in circuit.relays:
            yield (side, "relay", name), _words(stands, c.reached, lambda s, n=name: s.relay(n))  # type: ignore[misc]
        for name in circuit.contacts:
            yield (side, "closed", name), _bit([_closed(s, name) for s in stands], c.reached)
        for name in circuit.delays:
            yield (side, "delay", name), _bit([s.delay(name) for s in stands], c.reached)


def _loads(loads: Mapping[str, object]) -> Iterator[str]:
    """Loads, and the taps of motors."""
    for name, load in loads.items():
        yield name
        yield from (f"{name}.{tap}" for tap in getattr(load, "taps", ()))


def _words(stands: Iterable[Stand], reached: int, of: Callable[[Stand], dict[str, int]]) -> Values:
    rows = [{WORDS.index(word): where for word, where in of(s).items()} for s in stands]
    return agreed(rows, reached, UNKNOWN_WORD)


def _closed(stand: Stand, contact: str) -> int:
    """Where a contact is closed in some position."""
    node, where = stand.unit.nets.literals[contact], 0
    for frame in stand.frames():
        where |= frame.value(node)
    return where & stand.mask


def _bit(each: list[int], reached: int) -> Values:
    """1 where it holds by some outcome."""
    where = 0
    for one in each:
        where |= one
    return {0: reached & ~where, 1: reached & where}


def agreed(rows: list[Values], reached: int, unknown: int) -> Values:
    """What several outcomes have in common; `unknown` where they differ."""
    if len(rows) == 1:
        return rows[0]
    found: Values = {}
    told = 0
    for value, where in rows[0].items():
        for other in rows[1:]:
            where &= other.get(value, 0)
        found[value] = where
        told |= where
    found[unknown] = found.get(unknown, 0) | (reached & ~told)
    return found


def blended(nominal: Seen, others: Iterable[Seen], readings: Readings) -> Seen:
    """What every end of the estimates says; levels and words on which they differ are `unknown`.

    Each side is looked up by itself: where relays of the one depend on an estimate, the other's do not.
    """
    facts = {key: dict(of) for key, of in nominal.facts.items()}
    for there in (Elsewhere(other) for other in others):
        for key, of in facts.items():
            for fact, values in of.items():
                unknown = _unknown(fact)
                if fact[1] == "meter":
                    of[fact] = readings.blended(values, there.values(fact, key), nominal.reached[key])
                elif unknown is not None:
                    of[fact] = agreed([values, there.values(fact, key)], nominal.reached[key], unknown)
    return Seen(nominal.reached, facts)


def _end(side: str, key: Key) -> object:
    return key.after if side == "after" else key.befores


class Elsewhere:
    """What another end of the estimates says: where relays stand alike, else what all its ends agree on."""

    def __init__(self, seen: Seen) -> None:
        self.here: dict[tuple[Fact, object, int], Values] = {}
        self.any: dict[tuple[Fact, int], Values] = {}
        for key, of in seen.facts.items():
            for fact, values in of.items():
                _join(
                    self.here.setdefault((fact, _end(fact[0], key), key.chunk), {}), values, seen.reached[key]
                )
                _join(self.any.setdefault((fact, key.chunk), {}), values, seen.reached[key])

    def values(self, fact: Fact, key: Key) -> Values:
        here = self.here.get((fact, _end(fact[0], key), key.chunk), {})
        told = 0
        for where in here.values():
            told |= where
        found = dict(here)
        every = self.any.get((fact, key.chunk), {})
        for value, where in every.items():
            for other, there in every.items():
                where &= ~there if other != value else -1
            found[value] = found.get(value, 0) | (where & ~told)
        return found


def _join(into: Values, values: Values, reached: int) -> None:
    for value, where in values.items():
        into[value] = into.get(value, 0) | (where & reached)


def _unknown(fact: Fact) -> int | None:
    if fact[1] in ("closed", "delay", "meter"):
        return None
    return UNKNOWN_WORD if fact[1] in ("load", "relay") else LEVELS.index(UNKNOWN_LEVEL)
