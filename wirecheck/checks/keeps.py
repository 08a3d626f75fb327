"""`keeps`: every load does as before, but where `affects` or `retires` says otherwise."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.decide import decide
from wirecheck.checks.finding import Finding
from wirecheck.checks.kept import unsure
from wirecheck.checks.picked import picked_by_some
from wirecheck.engine.answers import CHATTERS, IN, OFF, OUT, UNKNOWN, WORKING
from wirecheck.engine.figures import SLACK
from wirecheck.engine.judge import load_elements
from wirecheck.engine.question import Not, RelayAt, SameWord, every, some, word

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.finding import Witness
    from wirecheck.checks.pair import Pair
    from wirecheck.engine.question import Question

NAME = "keeps"
RELAY_WORDS = (IN, OUT, CHATTERS)
# What is said of less, more and either.
OF_LOADS, OF_RELAYS = ("off", "only runs more", "off or runs"), ("out", "is only in more often", "out or in")


def agrees(before: str, after: str, rule: str) -> bool | None:
    """Is this change of word allowed? None where a word is unknown. rule: same, less, more, either."""
    if before == after:
        return None if before == UNKNOWN else True
    if UNKNOWN in (before, after):
        return None
    if rule in ("less", "either") and after == OFF:
        return True
    return rule in ("more", "either") and before == OFF and after in WORKING


def disagrees(old: str, new: str, rule: str) -> Question:
    """Picks out the states in which `agrees` is not True."""
    good: list[Question] = [every(SameWord(old, new), Not(word("after", new, {UNKNOWN})))]
    if rule in ("less", "either"):
        good.append(every(word("after", new, {OFF}), Not(word("before", old, {UNKNOWN}))))
    if rule in ("more", "either"):
        good.append(every(word("before", old, {OFF}), word("after", new, WORKING)))
    return Not(some(*good))


def relay_allowed(old: str, new: str, rule: str) -> Question:
    """Picks out the states in which an external relay stands as before, or as the rule allows."""

    def stands(was: str, now: str) -> Question:
        return every(RelayAt("before", old, frozenset({was})), RelayAt("after", new, frozenset({now})))

    good = [stands(w, w) for w in RELAY_WORDS]
    if rule in ("less", "either"):
        good.append(RelayAt("after", new, frozenset({OUT})))
    if rule in ("more", "either"):
        good.append(stands(OUT, IN))
    return some(*good)


def rule_of(pair: Pair, old: str, new: str) -> str:
    """What the change allows of a load: same, less, more or either."""
    terms = pair.changed.terms
    rules = {terms.affects.get(n) for n in (old, new)} - {None}
    retired = bool({old, new} & terms.retires)
    if not rules and not retired and "." in new and new.rpartition(".")[0] in pair.changed.after.loads:
        motor = new.rpartition(".")[0]
        return rule_of(pair, pair.old_name.get(motor, motor), motor)
    rule = rules.pop() if rules else "same"
    if retired:
        return "either" if rule in ("more", "either") else "less"
    return str(rule)


def verdict_in(pair: Pair, case: Case, old: str, new: str, rule: str) -> bool | None:
    """Does the word after agree with one of the words before?"""
    answers = [agrees(b.loads[old], case.after.loads[new], rule) for b in case.befores]
    if True in answers:
        return True
    if None in answers and case.after.loads[new] == UNKNOWN and same_currents(pair, case, old, new):
        return True
    return None if None in answers else False


def same_currents(pair: Pair, case: Case, old: str, new: str) -> bool:
    """Are volts and amperes of a load the same as before, whatever its word? So it does the same."""
    if new not in pair.changed.after.loads:
        return False
    seen = [
        [
            [(v.across(e, v.plain.scenario), v.amps(e, v.plain.scenario)) for e in load_elements(load)]
            for v in views
        ]
        for load, views in (
            (pair.changed.after.loads[new], pair.views(case.joint)),
            (pair.changed.before.loads[old], pair.views_before(case.joint)),
        )
    ]
    now, was = seen
    return all(any(same_figures(n, w) for w in was) for n in now)


def same_figures(now: list[tuple[complex, complex]], was: list[tuple[complex, complex]]) -> bool:
    """Are the volts and amperes of each element alike, as far as both have elements?"""
    return all(abs(x - y) < SLACK for a, b in zip(now, was, strict=False) for x, y in zip(a, b, strict=True))


def names_compared(pair: Pair) -> list[tuple[str, str]]:
    """(name before, name after) of every load of the unit, motors' taps included."""
    pairs = [(old, new) for new, old in pair.old_name.items() if new in pair.changed.after.loads]
    for old, new in list(pairs):
        taps_old = getattr(pair.changed.before.loads[old], "taps", ())
        taps_new = getattr(pair.changed.after.loads[new], "taps", ())
        pairs += [(f"{old}.{t}", f"{new}.{t}") for t in taps_old if t in taps_new]
    return pairs


def check(pair: Pair) -> Iterator[Finding]:
    """Fail for each load whose word differs from before in a way that the change does not allow."""
    for old, new in names_compared(pair):
        rule = rule_of(pair, old, new)
        yield _one(pair, old, new, rule)
    for old in pair.changed.before.loads:
        if old not in pair.new_name:
            yield _gone(pair, old)
    yield from _external(pair)


def _one(pair: Pair, old: str, new: str, rule: str) -> Finding:
    finding = decide(
        pair,
        NAME,
        new,
        disagrees(old, new, rule),
        lambda case: verdict_in(pair, case, old, new, rule),
        good=_good(new, rule),
        bad=lambda case: _differs(case, old, new, rule),
        loads=(new,),
        starts=lambda case: (
            case.after.loads[new] in WORKING and all(b.loads[old] not in WORKING for b in case.befores)
        ),
    )
    return _still_runs(pair, old, new, finding, word("before", old, WORKING), word("after", new, WORKING))


def _good(name: str, rule: str, said: tuple[str, str, str] = OF_LOADS) -> str:
    off, more, either = said
    return {
        "same": f"{name} does the same as before",
        "less": f"{name} is only ever {off} where it differs from before",
        "more": f"{name} {more} than before",
        "either": f"{name} is {either} where it differs from before",
    }[rule]


def _differs(case: Case, old: str, new: str, rule: str) -> str:
    was, now = case.befores[0].loads[old], case.after.loads[new]
    allowed = "" if rule == "same" else f"; `affects` allows only {rule}"
    return f"{new}: {was} before, {now} after{allowed}"


def _still_runs(pair: Pair, old: str, new: str, finding: Finding, ran: Question, runs: Question) -> Finding:
    """Where a load or relay is kept else: unless retired it must still run in some state in which it ran."""
    if finding.verdict != "pass" or pair.changed.terms.retires & {old, new}:
        return finding
    if not pair.exists(ran) or pair.exists(every(ran, runs)):
        return finding
    doubt = pair.exists(every(ran, unsure(pair.changed.after, "after", new)))
    says = f"{new} never runs again where it ran before, and is not retired"
    return Finding(NAME, new, "unknown" if doubt else "fail", says, _first(pair, ran))


def _first(pair: Pair, question: Question) -> Witness | None:
    case = next(pair.where(question), None)
    return pair.witness(case) if case is not None else None


def _gone(pair: Pair, old: str) -> Finding:
    if old in pair.changed.terms.retires:
        return Finding(NAME, old, "pass", f"{old} is taken out, as `retires` says")
    says = f"{old} is taken out and is not named in `retires`"
    return Finding(NAME, old, "fail", says, _first(pair, word("before", old, WORKING)))


def _external(pair: Pair) -> Iterator[Finding]:
    """A relay that works something outside the file is kept like a load."""
    for old, relay in pair.changed.before.relays.items():
        new = pair.new_name.get(old)
        if new is None and relay.external and old not in pair.changed.terms.retires:
            says = f"{old} is taken out; it works something outside this file, and is not named in `retires`"
            yield Finding(NAME, old, "fail", says, _first(pair, RelayAt("before", old, frozenset({IN}))))
        elif new is not None and (relay.external or pair.changed.after.relays[new].external):
            yield _external_kept(pair, old, new)


def _external_kept(pair: Pair, old: str, new: str) -> Finding:
    rule = rule_of(pair, old, new)
    allowed = relay_allowed(old, new, rule)
    finding = decide(
        pair,
        NAME,
        new,
        Not(allowed),
        lambda case: picked_by_some(pair, allowed, case),
        good=_good(new, rule, OF_RELAYS),
        bad=lambda case: (
            f"{new}: {case.befores[0].relays[old]} before, {case.after.relays[new]} after; "
            "it works something outside this file"
        ),
        loads=(new,),
    )
    was, now = RelayAt("before", old, frozenset({IN})), RelayAt("after", new, frozenset({IN}))
    return _still_runs(pair, old, new, finding, was, now)
