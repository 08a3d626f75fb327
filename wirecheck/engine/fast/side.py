"""What one unit shows where settling ended: words of loads and relays as vectors of settings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Motor
from wirecheck.engine.answers import CHATTERS, IN, OFF, OUT, SHORT
from wirecheck.engine.fast.limits import NotHere

if TYPE_CHECKING:
    from wirecheck.engine.fast.frame import Frame, Words
    from wirecheck.engine.fast.settle import End, Settler


def frames(settler: Settler, end: End, chunk: int) -> list[Frame]:
    return [settler.frame(state, chunk) for state in end.members]


def varying(each: list[Words], ones: int) -> Words:
    """Words that are the same in every state of a set; `chatters` where they differ."""
    if len(each) == 1:
        return each[0]
    found: Words = {}
    rest = ones
    for word, where in each[0].items():
        for other in each[1:]:
            where &= other.get(word, 0)
        if where:
            found[word] = where
            rest &= where ^ ones
    if rest:
        found[CHATTERS] = found.get(CHATTERS, 0) | rest
    return found


def load(settler: Settler, end: End, chunk: int, name: str) -> Words:
    """Word -> settings, of a load or a motor's tap."""
    ones = settler.unit.space.ones
    if end.kind == "short":
        return {_shorted(settler, end, name): ones}
    return varying([f.load(name) for f in frames(settler, end, chunk)], ones)


def _shorted(settler: Settler, end: End, name: str) -> str:
    """`short` where it hangs on a supply that takes part, else nothing reaches it in that moment."""
    plain = settler.unit.plain
    hung = {n for s in end.supplies for n in plain.hanging(s)[0]}
    if name in hung or name.rpartition(".")[0] in hung:
        return SHORT
    thing = plain.circuit.loads.get(name)
    if isinstance(thing, Motor) and thing.kind == "3ph":
        raise NotHere(f"{name} on a supply beside a shorted one")
    return OFF


def relay(settler: Settler, end: End, chunk: int, name: str) -> Words:
    """in, out, chatters -> settings, of a relay."""
    unit = settler.unit
    ones, coil = unit.space.ones, unit.plain.circuit.relays[name].coil
    if end.kind == "short" and any(coil in unit.plain.hanging(s)[1] for s in end.supplies):
        return {OUT: ones}
    each = [f.coil(coil) for f in frames(settler, end, chunk)]
    return varying([{w: v for w, v in ((IN, x), (OUT, x ^ ones)) if v} for x in each], ones)


def delay(settler: Settler, end: End, name: str) -> bool:
    """Is a delay moved?"""
    if end.kind == "short":
        return False
    return end.members[0][1][list(settler.unit.plain.circuit.delays).index(name)]
