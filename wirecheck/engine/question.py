"""What is asked of a joint state: a tree of conditions on the unit before and after, for both evaluators.

A question picks states out: `where` gives those in which it holds, those nearest to ordinary operation first.
An evaluator may give more states than that (it must never give fewer): whoever asks looks again at each.
Where the unit before races, a question holds if it does against every outcome before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.circuit import bound

if TYPE_CHECKING:
    from collections.abc import Iterable

Side = Literal["before", "after"]


class Word(Struct, frozen=True):
    """The word of a load, or of a motor's tap, is one of `words`."""

    side: Side
    load: str
    words: frozenset[str]


class SameWord(Struct, frozen=True):
    """The word of a load before is the word of a load after."""

    before: str
    after: str


class RelayAt(Struct, frozen=True):
    """The word of a relay, in, out or chatters, is one of `words`."""

    side: Side
    relay: str
    words: frozenset[str]


class CoilVolts(Struct, frozen=True):
    """The volts across a relay's coil are on, weak, over or off, as a load's would be."""

    side: Side
    relay: str
    words: frozenset[str]


class DelayAt(Struct, frozen=True):
    """A delay has run out, or is held: `moved`; or not."""

    side: Side
    delay: str
    moved: bool


class At(Struct, frozen=True):
    """An input of one of the units stands at rest or moved."""

    side: Side
    input: str
    moved: bool


class Lies(Struct, frozen=True):
    """A quantity lies above, or below, a value in its base unit."""

    quantity: str
    above: bool
    value: float


class Shorted(Struct, frozen=True):
    """Settling ended in a short."""

    side: Side


class Live(Struct, frozen=True):
    """A terminal's potential to earth is fixed and above 10 V."""

    side: Side
    terminal: str


class Fed(Struct, frozen=True):
    """A load or coil is not off and is fed through another one; None: through some other one."""

    side: Side
    name: str
    through: str | None


class Heats(Struct, frozen=True):
    """A three-phase motor runs on voltages unbalanced enough to heat it."""

    side: Side
    load: str


class Not(Struct, frozen=True):
    """The part does not hold."""

    part: Question


class And(Struct, frozen=True):
    """Every part holds."""

    parts: tuple[Question, ...]


class Or(Struct, frozen=True):
    """Some part holds."""

    parts: tuple[Question, ...]


Question = (
    Word
    | SameWord
    | RelayAt
    | CoilVolts
    | DelayAt
    | At
    | Lies
    | Shorted
    | Live
    | Fed
    | Heats
    | Not
    | And
    | Or
)

EVERYWHERE = And(())
NOWHERE = Or(())


def every(*parts: Question) -> Question:
    """All of these at once."""
    return And(parts)


def some(*parts: Question) -> Question:
    """At least one of these."""
    return Or(parts)


def word(side: Side, load: str, words: Iterable[str]) -> Question:
    """The word of a load is one of `words`."""
    return Word(side, load, frozenset(words))


def of(condition: bound.Bound, side: Side) -> Question:
    """A bound condition, in the words of one of the two units."""
    match condition:
        case bound.Not(part):
            return Not(of(part, side))
        case bound.And(parts):
            return And(tuple(of(p, side) for p in parts))
        case bound.Or(parts):
            return Or(tuple(of(p, side) for p in parts))
        case bound.LoadIs(load, words):
            return Word(side, load, words)
        case bound.RelayIs(relay, name):
            return RelayAt(side, relay, frozenset({name}))
        case bound.InputIs(name, moved):
            return At(side, name, moved)
        case bound.DelayIs(delay, moved):
            return DelayAt(side, delay, moved)
        case bound.QuantityIs(quantity, above, value):
            return Lies(quantity, above, value)


def doubtful(condition: bound.Bound, side: Side) -> Question:
    """Some load that a condition names has the word `unknown`."""
    loads = {a.load for a in bound.atoms(condition) if isinstance(a, bound.LoadIs)}
    return Or(tuple(Word(side, n, frozenset({"unknown"})) for n in sorted(loads)))
