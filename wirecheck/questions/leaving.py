"""A unit with one conductor lifted and its power on: what the loads then do, and what is live."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field

from wirecheck.checks.expects import not_true, truth
from wirecheck.checks.live import live_terminals
from wirecheck.checks.pair import Pair, flat
from wirecheck.checks.stays import stays
from wirecheck.circuit.graph import Changed
from wirecheck.engine.answers import OFF, STALLS, WORKING
from wirecheck.engine.question import Not, every, word
from wirecheck.questions.lift import without

if TYPE_CHECKING:
    from collections.abc import Collection

    from wirecheck.checks.case import Case
    from wirecheck.circuit.bound import BoundSentence
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.question import Question
    from wirecheck.questions.lift import Lifted


class Leaving(Struct, frozen=True):
    """The state nearest to ordinary operation in which the load ran before the conductor was lifted.

    differs: load or relay -> (word before, word with the conductor off). live: the load's own terminals that
    are live then, volts to earth. starts, stalls, loses: of the other loads those that, in some state, come
    on where they were off, hum where they did not, go off where they worked. breaks: sentences that become
    false.
    """

    inputs: dict[str, str] = field(default_factory=dict)
    differs: dict[str, tuple[str, str]] = field(default_factory=dict)
    live: dict[str, float] = field(default_factory=dict)
    starts: tuple[str, ...] = ()
    stalls: tuple[str, ...] = ()
    loses: tuple[str, ...] = ()
    breaks: tuple[str, ...] = ()


def leaving(circuit: Circuit, load: str, row: Lifted, plain: bool = False) -> Leaving | None:
    """With this conductor off; None where the load never ran. Raises TooMany."""
    pair = Pair(Changed(row.wire, circuit, without(circuit, row.wire)), plain=plain)
    case = next(pair.where(word("before", load, WORKING)), None)
    if case is None:
        return None
    before, after = flat(case.befores[0]), flat(case.after)
    differs = {n: (w, after[n]) for n, w in before.items() if w != after.get(n)}
    false = set(falsehoods(Pair(Changed("", circuit, circuit), plain=plain)))
    return Leaving(
        pair.inputs(pair.shown(case)),
        differs,
        left_live(pair, case, load),
        tuple(n for n in row.others if passes(pair, n, word("before", n, {OFF}), WORKING)),
        tuple(n for n in row.others if passes(pair, n, Not(word("before", n, {STALLS})), {STALLS})),
        tuple(n for n in row.others if passes(pair, n, word("before", n, WORKING), {OFF})),
        tuple(s for s in falsehoods(pair) if s not in false),
    )


def passes(pair: Pair, load: str, was: Question, now: Collection[str]) -> bool:
    """Does a load go from what it was to one of these words in some state?"""
    return pair.exists(every(was, word("after", load, now)))


def falsehoods(pair: Pair) -> tuple[str, ...]:
    """The sentences of the unit after that are false in some reachable state, by their text."""
    return tuple(s.text for s in pair.changed.after.expects if _is_false(pair, s))


def _is_false(pair: Pair, s: BoundSentence) -> bool:
    if s.subject is not None and s.until is not None:
        return stays(pair, s, s.subject, s.until).verdict == "fail"
    return any(truth(pair, s, case) is False for case in pair.where(not_true(s)))


def left_live(pair: Pair, case: Case, load: str) -> dict[str, float]:
    """The load's own terminals that are live in a state, volts to earth."""
    circuit = pair.changed.after
    name = load if load in circuit.loads else load.rpartition(".")[0]
    view = next(pair.views(case.joint))
    live = live_terminals(view)
    return {t: live[t] for t in circuit.devices[circuit.loads[name].device].terminals if t in live}
