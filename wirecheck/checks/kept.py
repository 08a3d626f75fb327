"""What is kept like a load: loads, and relays that work something outside the file (contract 2: external)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.answers import CHATTERS, IN, OFF, OUT, SHORT, UNKNOWN
from wirecheck.engine.question import Not, RelayAt, some, word

if TYPE_CHECKING:
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Words
    from wirecheck.engine.question import Question, Side


def kept(circuit: Circuit) -> tuple[str, ...]:
    """The loads, and those relays."""
    return (*circuit.loads, *circuit.external)


def kept_in_both(pair: Pair) -> list[tuple[str, str]]:
    """(name before, name after) of what is kept; a relay where either file says that it is external."""
    before, after = pair.changed.before, pair.changed.after
    outside = {*after.external, *(pair.new_name.get(r, r) for r in before.external)}
    names = (*after.loads, *(r for r in after.relays if r in outside))
    return [(pair.old_name[n], n) for n in names if n in pair.old_name]


def off(circuit: Circuit, side: Side, name: str) -> Question:
    """It is off; `short` is (engine.md 5). Of a relay: out."""
    if name in circuit.relays:
        return RelayAt(side, name, frozenset({OUT}))
    return word(side, name, {OFF, SHORT})


def unsure(circuit: Circuit, side: Side, name: str) -> Question:
    """Its word is unknown; that of a relay never is."""
    return some() if name in circuit.relays else word(side, name, {UNKNOWN})


def works(circuit: Circuit, side: Side, name: str) -> Question:
    """It is surely not off."""
    if name in circuit.relays:
        return RelayAt(side, name, frozenset({IN, CHATTERS}))
    return Not(some(off(circuit, side, name), unsure(circuit, side, name)))


def said(words: Words, name: str) -> str:
    """The word of a load or relay."""
    return words.loads[name] if name in words.loads else words.relays[name]
