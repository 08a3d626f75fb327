"""`expects`: every sentence holds over every reachable state, and says something."""

from __future__ import annotations

from itertools import pairwise, product
from typing import TYPE_CHECKING

from wirecheck.checks.decide import decide
from wirecheck.checks.finding import Finding
from wirecheck.checks.fuses import started
from wirecheck.checks.stays import stays
from wirecheck.circuit.bound import And, DelayIs, InputIs, LoadIs, Not, Or, QuantityIs, RelayIs, atoms
from wirecheck.engine.answers import BACKWARD, OVER, STALLS, UNKNOWN, WEAK
from wirecheck.engine.question import Not as NotSo
from wirecheck.engine.question import doubtful, every, of, some, word

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.bound import Bound, BoundSentence
    from wirecheck.engine.question import Question

NAME = "expects"
FORM_LIMIT = 50_000
WORDS = ("on", "runs", "off", "weak", "over", "stalls", "backward", "short", "chatters")
Thing = tuple[str, str]  # ("load", "FAN")
Choice = str | bool | tuple[float, float]  # a word, moved?, between which ends a quantity lies


def check(pair: Pair) -> Iterator[Finding]:
    """Fail for each sentence that is false in a reachable state, or that says nothing."""
    for sentence in pair.changed.after.expects:
        silent = says_nothing(pair, sentence)
        if silent:
            yield Finding(NAME, sentence.text, "fail", f"says nothing: {silent}")
        elif sentence.subject is not None and sentence.until is not None:
            yield stays(pair, sentence, sentence.subject, sentence.until)
        else:
            yield noted(pair, sentence, one(pair, sentence))


def one(pair: Pair, s: BoundSentence) -> Finding:
    """A sentence of one state: false somewhere, or true in all."""
    loads = tuple(dict.fromkeys(a.load for a in sentence_atoms(s) if isinstance(a, LoadIs)))
    relays = tuple(dict.fromkeys(a.relay for a in sentence_atoms(s) if isinstance(a, RelayIs)))
    return decide(
        pair,
        NAME,
        s.text,
        not_true(s),
        lambda case: truth(pair, s, case),
        good="true",
        bad=lambda case: f"false: {shown(pair, s, case)}",
        loads=(*loads, *relays),
        pardons=not s.of_change,
        starts=lambda case: started(pair, case, loads),
    )


def truth(pair: Pair, s: BoundSentence, case: Case) -> bool | None:
    """The truth of a sentence in one state."""
    e = pair.holds(s.condition, case)
    x = pair.holds(s.subject, case) if s.subject is not None else None
    match s.form:
        case "never":
            return None if e is None else not e
        case "always":
            return e
        case "only when":
            return implies(x, e)
        case "whenever":
            return implies(e, x)
        case _:
            return None if x is None or e is None else x == e


def not_true(s: BoundSentence) -> Question:
    """Picks out the states in which a sentence is false or cannot be decided."""
    e, unsure = of(s.condition, "after"), doubtful(s.condition, "after")
    if s.form == "never":
        return some(e, unsure)
    if s.subject is None:  # always
        return some(NotSo(e), unsure)
    x = of(s.subject, "after")
    maybe = some(unsure, doubtful(s.subject, "after"))
    if s.form == "only when":
        return some(every(x, NotSo(e)), maybe)
    if s.form == "whenever":
        return some(every(e, NotSo(x)), maybe)
    return some(every(x, NotSo(e)), every(e, NotSo(x)), maybe)


def implies(a: bool | None, b: bool | None) -> bool | None:
    """The truth of `where a, there b`; None where what is unknown decides it."""
    if a is False or b is True:
        return True
    return None if a is None or b is None else False


def sentence_atoms(s: BoundSentence) -> list[LoadIs | RelayIs | InputIs | DelayIs | QuantityIs]:
    """The atoms of a whole sentence: subject, condition, `until`."""
    found = list(atoms(s.condition))
    if s.subject is not None:
        found.insert(0, s.subject)
    if s.until is not None:
        found += atoms(s.until)
    return found


def shown(pair: Pair, s: BoundSentence, case: Case) -> str:
    """The words that make it false: FAN runs, PS open."""
    words = []
    for a in sentence_atoms(s):
        match a:
            case LoadIs(load):
                words.append(f"{load} {case.after.loads[load]}")
            case RelayIs(relay):
                words.append(f"{relay} {case.after.relays[relay]}")
            case InputIs(name):
                circuit = pair.changed.after
                words.append(
                    f"{name} {circuit.inputs[name].word(pair.world.position(circuit, name, case.setting))}"
                )
            case DelayIs(delay):
                words.append(f"{delay} {'moved' if case.after.delays.get(delay) else 'rest'}")
            case QuantityIs(quantity):
                words.append(f"{quantity} {pair.ranges(case.setting).get(quantity, 'anywhere')}")
    return ", ".join(dict.fromkeys(words))


def noted(pair: Pair, s: BoundSentence, finding: Finding) -> Finding:
    """A sentence whose truth rests on humming or overfed motors not being `runs` says so."""
    if finding.verdict != "pass" or not isinstance(s.subject, LoadIs):
        return finding
    load = s.subject.load
    bad = {STALLS, WEAK, OVER, BACKWARD}
    seen = sorted(w for w in bad if pair.exists(word("after", load, {w})))
    if not seen:
        return finding
    says = f"{finding.says}; it rests on {load} that {' or '.join(seen)} not being taken for one that runs"
    return Finding(NAME, s.text, "pass", says)


def says_nothing(pair: Pair, s: BoundSentence) -> str:
    """Why a sentence says nothing, or ''."""
    if s.form in ("never", "always"):
        verdict = by_form(s.condition)
        if verdict is None:
            return ""
        return f"its form alone makes it {'true' if verdict == (s.form == 'always') else 'false'}"
    e, unsure = of(s.condition, "after"), doubtful(s.condition, "after")
    if s.form in ("stays off", "stays in", "whenever"):
        return "" if pair.exists(some(e, unsure)) else "its condition is true in no reachable state"
    match s.subject:
        case LoadIs(load, words) if not pair.exists(word("after", load, {*words, UNKNOWN})):
            return f"{load} runs in no reachable state"
    if s.form == "only when" and not pair.exists(some(NotSo(e), unsure)):
        return "its condition is false in no reachable state"
    return ""


def by_form(condition: Bound) -> bool | None:
    """True or False where the words alone decide a condition, whatever the circuit; else None."""
    things: dict[Thing, list[Choice]] = {}
    cuts: dict[str, set[float]] = {}
    for a in atoms(condition):
        match a:
            case LoadIs(load):
                things["load", load] = list(WORDS)
            case RelayIs(relay):
                things["relay", relay] = ["in", "out", "chatters"]
            case InputIs(name):
                things["input", name] = [False, True]
            case DelayIs(delay):
                things["delay", delay] = [False, True]
            case QuantityIs(quantity, _, value):
                cuts.setdefault(quantity, set()).add(value)
    for q, values in cuts.items():
        edges = [float("-inf"), *sorted(values), float("inf")]
        things["quantity", q] = list(pairwise(edges))
    size = 1
    for choices in things.values():
        size *= len(choices)
    if size > FORM_LIMIT:
        return None
    seen = {value_of(condition, dict(zip(things, pick, strict=True))) for pick in product(*things.values())}
    return seen.pop() if len(seen) == 1 else None


def value_of(condition: Bound, at: dict[Thing, Choice]) -> bool:
    """The truth of a condition where each thing that it names is as chosen, whatever the circuit."""
    match condition:
        case Not(part):
            return not value_of(part, at)
        case And(parts):
            return all(value_of(p, at) for p in parts)
        case Or(parts):
            return any(value_of(p, at) for p in parts)
        case LoadIs(load, words):
            return at["load", load] in words
        case RelayIs(relay, word):
            return at["relay", relay] == word
        case InputIs(name, moved):
            return at["input", name] == moved
        case DelayIs(delay, moved):
            return at["delay", delay] == moved
        case QuantityIs(quantity, above, value):
            span = at["quantity", quantity]
            return isinstance(span, tuple) and (span[0] >= value if above else span[1] <= value)
