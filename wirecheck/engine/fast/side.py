"""What one unit shows where settling ended: words of loads and relays as vectors of settings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.answers import CHATTERS, IN, OUT, SHORT

if TYPE_CHECKING:
    from wirecheck.engine.fast.frame import Frame, Words
    from wirecheck.engine.fast.settle import End, Settler


def frames(settler: Settler, end: End, chunk: int) -> list[Frame]:
    """The positions of an end: one, but for a set never left."""
    return [settler.of(end.supplies).frame(state, chunk) for state in end.members]


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
    """Word -> settings, of a load or a motor's tap; `short` on every supply that takes part in one."""
    ones, plain = settler.unit.space.ones, settler.unit.plain
    for supply in end.supplies:
        hung = plain.hanging(supply)[0]
        if name in hung or name.rpartition(".")[0] in hung:
            return {SHORT: ones}
    return varying([f.load(name) for f in frames(settler, end, chunk)], ones)


def relay(settler: Settler, end: End, chunk: int, name: str) -> Words:
    """in, out, chatters -> settings, of a relay."""
    unit = settler.unit
    ones, coil = unit.space.ones, unit.plain.circuit.relays[name].coil
    if any(coil in unit.plain.hanging(s)[1] for s in end.supplies):
        return {OUT: ones}
    each = [f.coil(coil) for f in frames(settler, end, chunk)]
    return varying([{w: v for w, v in ((IN, x), (OUT, x ^ ones)) if v} for x in each], ones)


def delay(settler: Settler, end: End, name: str) -> bool:
    """Is a delay moved?"""
    return end.members[0][1][list(settler.unit.plain.circuit.delays).index(name)]
