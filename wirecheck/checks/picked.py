"""Questions asked of one state at a time: how the plain evaluator picks states out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from wirecheck.engine.feeds import feeds
from wirecheck.engine.question import (
    And,
    At,
    CoilVolts,
    DelayAt,
    Fed,
    Heats,
    Lies,
    Live,
    Not,
    Or,
    Question,
    RelayAt,
    SameWord,
    Shorted,
    Word,
)

if TYPE_CHECKING:
    from wirecheck.checks.case import Case
    from wirecheck.engine.answers import Outcome, Words
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.solver import View
    from wirecheck.engine.world import World


class Sides(Protocol):
    """What is asked here: what is free to be otherwise, and the units as evaluated; before may be none."""

    @property
    def world(self) -> World: ...

    @property
    def before(self) -> Plain | None: ...

    @property
    def after(self) -> Plain: ...


def picked(pair: Sides, question: Question, case: Case) -> bool:
    """Does a question hold in a state, against every outcome of the unit before?"""
    if not case.befores:
        return against(pair, question, case, None, None)
    outcomes = zip(case.befores, case.joint.befores, strict=True)
    return all(against(pair, question, case, words, outcome) for words, outcome in outcomes)


def picked_by_some(pair: Sides, question: Question, case: Case) -> bool:
    """The same against at least one outcome before."""
    if not case.befores:
        return against(pair, question, case, None, None)
    outcomes = zip(case.befores, case.joint.befores, strict=True)
    return any(against(pair, question, case, words, outcome) for words, outcome in outcomes)


def against(
    pair: Sides, question: Question, case: Case, before: Words | None, outcome: Outcome | None
) -> bool:
    """Does a question hold in a state, the unit before standing at this outcome?"""
    match question:
        case Not(part):
            return not against(pair, part, case, before, outcome)
        case And(parts):
            return all(against(pair, p, case, before, outcome) for p in parts)
        case Or(parts):
            return any(against(pair, p, case, before, outcome) for p in parts)
        case SameWord(old, new):
            return before is not None and before.loads[old] == case.after.loads[new]
        case Lies(quantity, above, bound):
            return lies(pair, case, quantity, above, bound)
        case At(side, name, moved):
            circuit = pair.world.after if side == "after" else pair.world.before
            return circuit is not None and pair.world.position(circuit, name, case.setting) == moved
    words = case.after if question.side == "after" else before
    end = case.joint.after if question.side == "after" else outcome
    if words is None or end is None:
        return False
    match question:
        case Word(_, load, good):
            return words.loads[load] in good
        case RelayAt(_, relay, good):
            return words.relays[relay] in good
        case DelayAt(_, delay, moved):
            return words.delays.get(delay, False) == moved
        case Shorted():
            return end.short is not None
        case CoilVolts(side, relay, good):
            return coil_volts(pair, case, side == "after", end, relay) in good
        case Live(side, terminal):
            return any(v.plain.is_live(terminal, v) for v in views(pair, case, side == "after", end))
        case Fed(side, name, through):
            found = (xy for v in views(pair, case, side == "after", end) for xy in feeds(v))
            return any(x == name and through in (None, y) for x, y in found)
        case Heats(side, load):
            return any(v.heats(load) for v in views(pair, case, side == "after", end))


def views(pair: Sides, case: Case, of_after: bool, outcome: Outcome) -> list[View]:
    """The networks of one unit where settling ended."""
    unit = pair.after if of_after else pair.before
    return [] if unit is None else unit.views(pair.world.inputs(of_after, case.setting), outcome)


def lies(pair: Sides, case: Case, quantity: str, above: bool, bound: float) -> bool:
    """Does a quantity lie above, or below, a bound in its base unit? False of one that nothing divides."""
    if quantity not in pair.world.cuts:
        return False
    k = pair.world.quantities.index(quantity)
    low, high = pair.world.interval(quantity, case.setting.ranges[k])
    return low >= bound if above else high <= bound


def coil_volts(pair: Sides, case: Case, of_after: bool, outcome: Outcome, relay: str) -> str:
    """The word for the volts across a relay's coil; in a chattering set the first but for on and off."""
    words = [volts_word(view, relay) for view in views(pair, case, of_after, outcome)]
    return next((w for w in words if w not in ("on", "off")), words[0])


def volts_word(view: View, relay: str) -> str:
    """The word for the volts across a relay's coil in one network; what it rests on is noted."""
    return view.plain.load_word(view.circuit.coil_loads[relay], view)
