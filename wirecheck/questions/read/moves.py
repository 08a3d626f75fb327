"""What moving one switch alone does: the state nearest to ordinary operation in which it changes a load."""

from __future__ import annotations

from collections import Counter
from itertools import islice
from typing import TYPE_CHECKING, Literal

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.engine.delays import pending, run_out
from wirecheck.engine.question import EVERYWHERE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.engine.answers import Bits, Outcome

NEAREST = 600  # states from which switches are moved, those nearest to ordinary operation first
Restores = Literal["at once", "later", "never", "raced"]
Changes = dict[str, tuple[str, str]]  # name -> (word before, word after)


class Moved(Struct, frozen=True):
    """One switch moves from `start` and nothing else does.

    restores: does moving it back lead to all words of the start again? told: relays, with their words, that
    tell the start from other states in which every switch stands the same.
    """

    switch: str
    word: str
    start: Case
    end: Case
    relays: Changes
    loads: Changes
    restores: Restores
    told: tuple[tuple[str, str], ...] = ()


def moved_by(pair: Pair) -> Iterator[Moved]:
    """Each switch that, moved alone, changes what a load does; in the order of the file.

    Of its moves the one out of ordinary operation that changes most loads, the nearest of those.
    """
    names = {v.name for v in pair.world.variables if v.held is None}
    found: dict[str, tuple[tuple[bool, int], Moved]] = {}
    cases = list(map(pair.shown, islice(pair.where(EVERYWHERE), NEAREST)))
    for case in cases:
        for name, to in single_moves(pair, case, names):
            changes = changed_loads(pair, case, to)
            rank = stands_away(pair, name, case), -len(changes)
            if changes and (name not in found or rank < found[name][0]):
                found[name] = rank, compared(pair, name, case, to, changes)
    for _, moved in (found[v.name] for v in pair.world.variables if v.name in found):
        alike = [c for c in cases if c.setting == moved.start.setting]
        yield replace(moved, told=told_apart(moved.start, alike))


def told_apart(case: Case, alike: list[Case]) -> tuple[tuple[str, str], ...]:
    """The relays, with their words, that tell a state from others in which every switch stands the same."""
    words = case.after.relays
    return tuple((n, w) for n, w in words.items() if any(c.after.relays[n] != w for c in alike))


def stands_away(pair: Pair, name: str, case: Case) -> bool:
    """Does a switch stand elsewhere than in ordinary operation?"""
    k = pair.world.index[name]
    return case.setting.bits[k] != pair.world.variables[k].normal


def single_moves(pair: Pair, case: Case, names: set[str]) -> Iterator[tuple[str, Case]]:
    """The moves from a state that change the position of one switch and no other, and end in one way."""
    world = pair.world
    ends = Counter(joint.setting for _, joint in pair.explorer.successors(case.joint))
    for _, joint in pair.explorer.successors(case.joint):
        pairs = zip(world.variables, case.setting.bits, joint.setting.bits, strict=True)
        turned = [v.name for v, a, b in pairs if a != b]
        if len(turned) == 1 and turned[0] in names and ends[joint.setting] == 1:
            yield turned[0], pair.case(joint)


def changed_loads(pair: Pair, start: Case, end: Case) -> Changes:
    """The loads that do otherwise, taps apart."""
    words, named = start.after.loads, pair.changed.after.loads
    return {n: (w, end.after.loads[n]) for n, w in words.items() if n in named and w != end.after.loads[n]}


def compared(pair: Pair, name: str, start: Case, end: Case, loads: Changes) -> Moved:
    """What changes from one state to the next."""
    relays = {n: (w, end.after.relays[n]) for n, w in start.after.relays.items() if w != end.after.relays[n]}
    v = pair.world.variables[pair.world.index[name]]
    word = v.word(end.setting.bits[pair.world.index[name]])
    return Moved(name, word, start, end, relays, loads, restores(pair, name, start, end))


def restores(pair: Pair, name: str, start: Case, end: Case) -> Restores:
    """Does the switch, moved back by hand alone, bring back every word of the start?"""
    bits = list(end.setting.bits)
    k = pair.world.index[name]
    bits[k] = not bits[k]
    inputs = pair.world.inputs(True, end.setting._replace(bits=tuple(bits)))
    ends = [o for s in end.joint.after.onward for o in pair.after.settle(inputs, s)]
    if all(same(pair, inputs, o, start) for o in ends):
        return "at once"
    if len(ends) > 1:
        return "raced"
    rests = [o for e in ends for o in run_down(pair, inputs, e)]
    return "later" if rests and all(same(pair, inputs, o, start) for o in rests) else "never"


def same(pair: Pair, inputs: Bits, outcome: Outcome, start: Case) -> bool:
    """Has settling ended in the words of the start?"""
    words = pair.after.words(inputs, outcome)
    return words.loads == start.after.loads and words.relays == start.after.relays


def run_down(pair: Pair, inputs: Bits, outcome: Outcome) -> list[Outcome]:
    """Where it ends once every delay has run out."""
    seen, queue, rests = {outcome}, [outcome], []
    for o in queue:
        onward = [run_out(pair.after, s, d) for s in o.onward for d in pending(pair.after, s)]
        rests += [] if onward else [o]
        for to in (t for s in onward for t in pair.after.settle(inputs, s)):
            if to not in seen:
                seen.add(to)
                queue.append(to)
    return rests
