"""Conditions with their names bound to the parts of one circuit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wirecheck.condition import Form
from wirecheck.problem import Place


@dataclass(frozen=True, slots=True)
class LoadIs:
    """The word of a load (or of a motor's tap, BLW.high) is one of `words`."""

    load: str
    words: frozenset[str]


@dataclass(frozen=True, slots=True)
class RelayIs:
    relay: str
    word: Literal["in", "out", "chatters"]


@dataclass(frozen=True, slots=True)
class InputIs:
    """An input stands at rest (False) or moved (True)."""

    input: str
    moved: bool


@dataclass(frozen=True, slots=True)
class DelayIs:
    delay: str
    moved: bool


@dataclass(frozen=True, slots=True)
class QuantityIs:
    """The quantity lies above (or below) `value`, in its base unit."""

    quantity: str
    above: bool
    value: float
    text: str = ""


@dataclass(frozen=True, slots=True)
class Not:
    part: Bound


@dataclass(frozen=True, slots=True)
class And:
    parts: tuple[Bound, ...]


@dataclass(frozen=True, slots=True)
class Or:
    parts: tuple[Bound, ...]


Bound = LoadIs | RelayIs | InputIs | DelayIs | QuantityIs | Not | And | Or


@dataclass(frozen=True, slots=True)
class BoundSentence:
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
