"""`verify`: every check over every reachable state, at nominal figures and at every end of an estimate."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.checks import earth_faults
from wirecheck.checks.every import CHECKS
from wirecheck.checks.finding import Finding
from wirecheck.checks.pair import Pair
from wirecheck.engine.answers import CHATTERS, WORKING, TooMany
from wirecheck.engine.ask import Asked, ask
from wirecheck.engine.question import Not, RelayAt, Shorted, every, some, word
from wirecheck.engine.variables import pairs_of_inputs
from wirecheck.engine.world import World
from wirecheck.progress import steps
from wirecheck.questions.effect import HISTORY, shortest
from wirecheck.questions.lost import loses

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.checks.finding import Verdict
    from wirecheck.circuit.elements import Estimate
    from wirecheck.circuit.graph import Changed, Circuit

Key = tuple[str, str, str]


class Effect(Struct, frozen=True):
    """When a load runs, before and after, in words.

    may_before, may_after: where that depends on what went before, when it may run at all. less, more: is it
    off in some state in which it ran, does it run in some in which it was off?
    """

    before: str
    after: str
    may_before: str = ""
    may_after: str = ""
    less: bool = False
    more: bool = False


class Verified(Struct, frozen=True):
    """The answer of `verify`. states: how many reachable states the checks were held against.

    0: there are too many; the answer is what is proved, found and left open.
    """

    verdict: Verdict
    findings: tuple[Finding, ...]
    effect: dict[str, Effect]
    assumes: tuple[str, ...]
    states: int
    why_unknown: tuple[str, ...] = ()


class Run(Struct, frozen=True):
    """The findings of one scenario."""

    findings: dict[Key, Finding]
    pair: Pair


def run(changed: Changed, scenario: Mapping[str, int], plain: bool = False) -> tuple[Run, list[Estimate]]:
    """All checks in one scenario, and the estimates that their answers rested on."""
    pair = Pair(changed, scenario, plain=plain)
    if not pair.count:
        says = "no state is left of both units side by side: see what `given` and `impossible` say of each"
        return Run({("states", "unit", ""): Finding("states", "unit", "unknown", says)}, pair), []
    findings: dict[Key, Finding] = {}
    for _, check in steps("checks", CHECKS):
        for finding in check(pair):
            findings.setdefault((finding.check, finding.subject, finding.other), finding)
    return Run(findings, pair), list(pair.sensitive.values())


def verify(changed: Changed, noted: bool = True, plain: bool = False) -> Verified:
    """Verify a change. A unit of more states than can be listed is `unknown`, and says what to hold.

    noted: with what earth faults would do, which decides nothing. plain: ask the plain evaluator alone.
    """
    try:
        asked = ask(lambda scenario: run(changed, scenario, plain))
    except TooMany as many:
        return too_many(many) if plain else beyond(changed)
    findings = combined(asked)
    pair = asked.nominal.pair
    unsure = doubts(pair)
    return Verified(
        verdict=overall(findings, unsure),
        findings=(*findings, *(earth_faults.notes(pair) if noted else ())),
        effect=effects(pair),
        assumes=(*assumptions(pair, asked), *unsure),
        states=pair.count,
        why_unknown=unsure,
    )


def beyond(changed: Changed) -> Verified:
    """The answer of more states than can be enumerated: what is proved, found, and left open."""
    from wirecheck.checks.beyond import Beyond

    def run(scenario: Mapping[str, int]) -> tuple[tuple[Run, tuple[str, ...]], list[Estimate]]:
        found = Beyond(Pair(changed, scenario))
        findings = {(f.check, f.subject, f.other): f for f in found.findings()}
        unsure = (*found.unsure, *not_seen(found.pair))
        return (Run(findings, found.pair), unsure), list(found.sensitive.values())

    both = ask(run)
    asked = Asked(both.fields, {ends: answer for ends, (answer, _) in both.answers.items()})
    unsure = tuple(dict.fromkeys(u for _, each in both.answers.values() for u in each))
    findings = tuple(combined(asked))
    assumes = (*assumptions(asked.nominal.pair, asked), *unsure)
    return Verified(overall(list(findings), unsure), findings, {}, assumes, 0, unsure)


def too_many(many: TooMany) -> Verified:
    """The answer where no state was looked at: unknown, with the inputs to hold."""
    says = f"too many states to look at: {many}"
    return Verified("unknown", (Finding("states", "unit", "unknown", says),), {}, (), 0, (says,))


def overall(findings: list[Finding], unsure: tuple[str, ...]) -> Verdict:
    """Fail where a check fails, else unknown where one is or something else leaves doubt, else pass."""
    verdicts = {f.verdict for f in findings}
    if "fail" in verdicts:
        return "fail"
    return "unknown" if "unknown" in verdicts or unsure else "pass"


def combined(asked: Asked[Run]) -> list[Finding]:
    """A check fails if it fails at every end of what is estimated; where the ends differ it is unknown."""
    keys = dict.fromkeys(k for run in asked.answers.values() for k in run.findings)
    return [one(asked, key) for key in keys]


def rank(run: Run, key: Key) -> str:
    """The verdict of one finding in one scenario; a note, or none, counts as a pass."""
    finding = run.findings.get(key)
    return "pass" if finding is None or finding.verdict == "note" else finding.verdict


def one(asked: Asked[Run], key: Key) -> Finding:
    """A finding over all scenarios: where they differ, the worst as unknown, with the fields that decide."""
    ranks = {rank(run, key) for run in asked.answers.values()}
    shown = [r.findings[key] for r in asked.answers.values() if key in r.findings]
    if len(ranks) == 1:
        return shown[0]
    worst = next((f for f in shown if f.verdict == "fail"), None) or next(
        f for f in shown if f.verdict == "unknown"
    )
    fields = tuple(dict.fromkeys((*worst.fields, *asked.deciding(lambda r: rank(r, key)))))
    says = f"depends on what the file does not say ({', '.join(fields)}): {worst.says}"
    return replace(worst, verdict="unknown", says=says, fields=fields)


def doubts(pair: Pair) -> tuple[str, ...]:
    """What makes the verdict at best unknown."""
    found = []
    if pair.exists(Shorted("before")):
        found.append("the unit is shorted in a reachable state before the change")
    chatters = frozenset({CHATTERS})
    if pair.exists(some(*(RelayAt("before", r, chatters) for r in pair.changed.before.relays))):
        found.append("a relay of the unit chatters before the change")
    return (*found, *not_seen(pair))


def not_seen(pair: Pair) -> tuple[str, ...]:
    """What keeps states that the unit alone reaches from being looked at beside the change."""
    found = []
    said = pair.changed.terms.impossible
    after = pair.changed.after
    own = replace(after, impossible=tuple(row for row in after.impossible if row[1] not in said))
    if said and taken_away(pair, own):
        found.append(f"`impossible` of the change takes away states that the unit reaches: {', '.join(said)}")
    held = newly_held(pair)
    own = replace(after, inputs=after.inputs | {n: replace(after.inputs[n], given=None) for n in held})
    if held and taken_away(pair, own):
        found.append(f"`given` of the change takes away states that the unit reaches: {', '.join(held)}")
    if not found and loses(World(pair.changed.before), True, pair.world):
        named = [v.name for v in pair.world.variables if v.held is not None]
        named += [text for circuit in pair.world.circuits() for _, text in circuit.impossible]
        says = "as they read after the change, take away states that the unit reaches"
        found.append(f"`given` and `impossible`, {says}: {', '.join(dict.fromkeys(named))}")
    return tuple(found)


def newly_held(pair: Pair) -> tuple[str, ...]:
    """The switches of the unit that the change holds, and the unit does not."""
    before, after = pair.changed.before, pair.changed.after
    same = pairs_of_inputs(before, after, pair.changed.replaced)
    return tuple(
        n for n, old in same.items() if after.inputs[n].given is not None and before.inputs[old].given is None
    )


def taken_away(pair: Pair, own: Circuit) -> bool:
    """Has a setting that the unit alone reaches none in the pair? own: after, free of what is said."""
    return loses(World(own, pair.changed.before, pair.changed.replaced), False, pair.world)


def assumptions(pair: Pair, asked: Asked[Run]) -> tuple[str, ...]:
    """What every verdict rests on, in words."""
    found = [f"{v.name} is held {v.word(v.held)} (given)" for v in pair.world.variables if v.held is not None]
    found += [f"impossible: {text}" for _, text in pair.changed.after.impossible]
    found += list(dict.fromkeys((*pair.changed.before.notes, *pair.changed.after.notes)))
    found += [f"{field} is not given: looked at over its usual range" for field in asked.fields]
    hidden = [i.name for i in pair.changed.after.inputs.values() if i.opened_only_by_name]
    if hidden:
        found.append(f"inner overloads stay closed: {', '.join(hidden)}")
    return tuple(found)


def effects(pair: Pair) -> dict[str, Effect]:
    """The loads of `affects`, those that the change brings, and those that run otherwise than before."""
    after = pair.changed.after.loads
    named = {pair.new_name.get(n, n) for n in pair.changed.terms.affects}
    found = {}
    for load in after:
        old = pair.old_name.get(load)
        less, more = (False, False) if old is None else otherwise(pair, old, load)
        if old is not None and load not in named and not less and not more:
            continue
        was, may_before = ("", "") if old is None else when(pair, old, False)
        now, may_after = when(pair, load, True)
        if old is None or load in named or was != now or now == HISTORY:
            found[load] = Effect(was, now, may_before, may_after, less, more)
    return found


def otherwise(pair: Pair, old: str, new: str) -> tuple[bool, bool]:
    """Is a load off in some state in which it ran; does it run in some in which it did not?"""
    ran, runs = word("before", old, WORKING), word("after", new, WORKING)
    return pair.exists(every(ran, Not(runs))), pair.exists(every(Not(ran), runs))


def when(pair: Pair, load: str, of_after: bool) -> tuple[str, str]:
    """When a load runs, over the listed inputs of that unit; where history decides, when it may run too."""
    side = [v for v in pair.world.variables if (v.after if of_after else v.before) is not None]
    places = tuple(pair.world.index[v.name] for v in side)
    runs = word("after" if of_after else "before", load, WORKING)
    on, off = pair.told_apart(runs, places)
    names = [(v.name, *v.words) for v in side]
    words = shortest(names, on, off)
    return words, shortest(names, on, set(off) - set(on)) if words == HISTORY else ""
