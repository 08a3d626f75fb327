"""Conditions with their names bound to the parts of one circuit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

if TYPE_CHECKING:
    from wirecheck.condition import Form
    from wirecheck.problem import Place


class LoadIs(Struct, frozen=True):
    """The word of a load (or of a motor's tap, BLW.high) is one of `words`."""

    load: str
    words: frozenset[str]


class RelayIs(Struct, frozen=True):
    """The word of a relay: its coil is in, is out, or finds no rest."""

    relay: str
    word: Literal["in", "out", "chatters"]


class InputIs(Struct, frozen=True):
    """An input stands at rest (False) or moved (True)."""

    input: str
    moved: bool


class DelayIs(Struct, frozen=True):
    """A delay (T.elapsed, T.held) stands at rest (False) or moved (True)."""

    delay: str
    moved: bool


class QuantityIs(Struct, frozen=True):
    """The quantity lies above (or below) `value`, in its base unit."""

    quantity: str
    above: bool
    value: float
    text: str = ""


class Not(Struct, frozen=True):
    """The part does not hold."""

    part: Bound


class And(Struct, frozen=True):
    """Every part holds; true of none."""

    parts: tuple[Bound, ...]


class Or(Struct, frozen=True):
    """Some part holds; false of none."""

    parts: tuple[Bound, ...]


Bound = LoadIs | RelayIs | InputIs | DelayIs | QuantityIs | Not | And | Or


class BoundSentence(Struct, frozen=True):
    """subject: LoadIs(runs/on) for the load forms and `stays off`, RelayIs(in) for `stays in`, else None."""

    form: Form
    text: str
    place: Place
    condition: Bound
    subject: LoadIs | RelayIs | None = None
    until: Bound | None = None
    of_change: bool = False


def atoms(condition: Bound) -> tuple[LoadIs | RelayIs | InputIs | DelayIs | QuantityIs, ...]:
    """The atoms of a condition, left to right."""
    match condition:
        case Not(part):
            return atoms(part)
        case And(parts) | Or(parts):
            return tuple(a for part in parts for a in atoms(part))
        case _:
            return (condition,)
