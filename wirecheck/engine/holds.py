"""Does a condition hold in a state? Three-valued: None where a word is `unknown`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.bound import And, Bound, DelayIs, InputIs, LoadIs, Not, Or, QuantityIs, RelayIs
from wirecheck.engine.answers import UNKNOWN

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Words
    from wirecheck.engine.world import Setting, World

Truth = bool | None


def negate(t: Truth) -> Truth:
    """Not: undecided stays so."""
    return None if t is None else not t


def both(parts: list[Truth]) -> Truth:
    """All of them: one that is false decides."""
    if False in parts:
        return False
    return None if None in parts else True


def holds(condition: Bound, world: World, circuit: Circuit, setting: Setting, words: Words) -> Truth:
    """The truth of a condition in one state of one circuit of the world."""
    match condition:
        case Not(part):
            return negate(holds(part, world, circuit, setting, words))
        case And(parts):
            return both([holds(p, world, circuit, setting, words) for p in parts])
        case Or(parts):
            return negate(both([negate(holds(p, world, circuit, setting, words)) for p in parts]))
        case LoadIs(load, good):
            word = words.loads[load]
            return None if word == UNKNOWN else word in good
        case RelayIs(relay, wanted):
            return words.relays[relay] == wanted
        case DelayIs(delay, moved):
            return words.delays.get(delay, False) == moved
        case InputIs(name, moved):
            return world.position(circuit, name, setting) == moved
        case QuantityIs():
            return world.quantity_is(condition, setting)
