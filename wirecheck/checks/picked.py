"""Questions asked of one state at a time: how the plain evaluator picks states out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.plain.judge import by_volts
from wirecheck.engine.plain.solve import value
from wirecheck.engine.question import (
    And,
    At,
    CoilVolts,
    DelayAt,
    Lies,
    Not,
    Or,
    Question,
    RelayAt,
    SameWord,
    Shorted,
    Word,
)

if TYPE_CHECKING:
    from wirecheck.checks.pair import Case, Pair
    from wirecheck.engine.answers import Outcome, Words
    from wirecheck.engine.plain.evaluator import View


def picked(pair: Pair, question: Question, case: Case) -> bool:
    """Does a question hold in a state, against every outcome of the unit before?"""
    if not case.befores:
        return against(pair, question, case, None, None)
    outcomes = zip(case.befores, case.joint.befores, strict=True)
    return all(against(pair, question, case, words, outcome) for words, outcome in outcomes)


def picked_by_some(pair: Pair, question: Question, case: Case) -> bool:
    """The same against at least one outcome before."""
    outcomes = zip(case.befores, case.joint.befores, strict=True)
    return any(against(pair, question, case, words, outcome) for words, outcome in outcomes)


def against(pair: Pair, question: Question, case: Case, before: Words | None, outcome: Outcome | None) -> bool:
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
            circuit = pair.changed.after if side == "after" else pair.changed.before
            return pair.world.position(circuit, name, case.setting) == moved
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


def lies(pair: Pair, case: Case, quantity: str, above: bool, bound: float) -> bool:
    if quantity not in pair.world.cuts:
        return False
    k = pair.world.quantities.index(quantity)
    low, high = pair.world.interval(quantity, case.setting.ranges[k])
    return low >= bound if above else high <= bound


def coil_volts(pair: Pair, case: Case, of_after: bool, outcome: Outcome, relay: str) -> str:
    """The word for the volts across a relay's coil; in a chattering set the first that is not plain on or off."""
    unit = pair.after if of_after else pair.before
    inputs = pair.world.inputs(of_after, case.setting)
    words = [volts_word(view, relay) for view in unit.views(inputs, outcome)]
    return next((w for w in words if w not in ("on", "off")), words[0])


def volts_word(view: View, relay: str) -> str:
    """The word for the volts across a relay's coil in one network."""
    from wirecheck.circuit.elements import Coil

    plain = view.plain
    coil = plain.circuit.elements[plain.circuit.relays[relay].coil]
    assert isinstance(coil, Coil)
    share = abs(view.across(coil.id, plain.scenario)) / value(coil.volts, plain.scenario)
    return by_volts(share, "weak", "on")
