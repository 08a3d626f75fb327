"""`no-chatter`: every relay finds rest, and no load depends on the order in which relays move."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.case import in_order
from wirecheck.checks.decide import decide
from wirecheck.checks.finding import Finding
from wirecheck.checks.kept import kept_in_both, said
from wirecheck.circuit.bound import LoadIs, atoms
from wirecheck.engine.answers import CHATTERS
from wirecheck.engine.question import RelayAt

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.engine.plain.explore import Race

NAME = "no-chatter"


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each relay, and one for each load or relay that a race decides."""
    yield from (of_relay(pair, name) for name in pair.changed.after.relays)
    yield from races(pair)


def of_relay(pair: Pair, name: str) -> Finding:
    """Whether one relay finds rest, over every state."""
    chatters = RelayAt("after", name, frozenset({CHATTERS}))
    return decide(
        pair,
        NAME,
        name,
        chatters,
        lambda case: rests(pair, case, name),
        good=f"{name} finds rest" + (" wherever it did before" if pair.exists(chatters) else ""),
        bad=lambda _: f"{name} finds no rest: it pulls in and drops out for ever",
        loads=(name,),
    )


def rests(pair: Pair, case: Case, relay: str) -> bool:
    """Does a relay find rest here, or found none before either?"""
    if case.after.relays[relay] != CHATTERS:
        return True
    old = pair.old_name.get(relay)
    return old is not None and any(b.relays[old] == CHATTERS for b in case.befores)


def races(pair: Pair) -> Iterator[Finding]:
    """The loads whose word depends on the order in which relays move, and did not before."""
    seen: set[str] = set()
    harmless: Race | None = None
    for race in sorted(pair.races, key=lambda r: (pair.world.away(r.setting), in_order(r.setting))):
        ends = [o for o in race.after if o.kind != "short"]
        if len(ends) < 2:
            continue
        loads = [n for n in depends(pair, race, True) if n not in depends_before(pair, race)]
        harmless = harmless or (race if not loads else None)
        for load in loads:
            if load not in seen:
                seen.add(load)
                yield raced(pair, race, load)
    if harmless is not None and not seen:
        says = "relays race, and it comes out the same for every load that was decided before"
        yield Finding(NAME, "race", "note", says)


def depends(pair: Pair, race: Race, of_after: bool) -> list[str]:
    """Loads, and relays kept like one, whose word differs between the ends of a race."""
    ends = tuple(o for o in (race.after if of_after else race.before) if o.kind != "short")
    words = pair.outcome_words(race.setting, ends, of_after)
    if not words:
        return []
    outside = {names[of_after] for names in kept_in_both(pair)} | set(pair.changed.after.external)
    relays = (r for r in words[0].relays if r in outside)
    return [n for n in (*words[0].loads, *relays) if len({said(w, n) for w in words}) > 1]


def depends_before(pair: Pair, race: Race) -> set[str]:
    """Loads whose word the race decided before, in the names of the unit after."""
    return {pair.new_name.get(n, n) for n in depends(pair, race, False)}


def raced(pair: Pair, race: Race, load: str) -> Finding:
    """What a race leaves open of a load: a note where `races` allows it, else a fail."""
    words = pair.outcome_words(race.setting, race.after, True)
    found = sorted({said(w, load) for w in words})
    says = f"{load} {' or '.join(found)} according to the order in which relays move, when {race.move}"
    case = pair.case_of(race)
    if load in pair.changed.terms.races or load.rpartition(".")[0] in pair.changed.terms.races:
        if excluded(pair):
            says = f"{says}; `races` allows it"
            return Finding(NAME, load, "note", says, pair.witness(case), other="race")
        says += "; `races` allows it only where a sentence `never A runs and B runs` names two of them"
    return Finding(NAME, load, "fail", says, pair.witness(case), other="race")


def excluded(pair: Pair) -> bool:
    """Does a `never` sentence name two of the loads of `races`?"""
    allowed = pair.changed.terms.races
    for s in pair.changed.after.expects:
        named = {a.load for a in atoms(s.condition) if isinstance(a, LoadIs)} & allowed
        if s.form == "never" and len(named) >= 2:
            return True
    return False
