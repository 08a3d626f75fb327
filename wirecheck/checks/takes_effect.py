"""`takes-effect`: each switch, delay and relay of the change moves some load (engine.md section 5)."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.checks.finding import Finding
from wirecheck.circuit.bound import Not, RelayIs
from wirecheck.circuit.elements import ByCoil, ByPosition, Contact, Motor
from wirecheck.circuit.nets import wired
from wirecheck.engine import figures
from wirecheck.engine.answers import CHATTERS, IN, OUT, UNKNOWN, WORKING
from wirecheck.engine.estimates import among, value
from wirecheck.engine.feeds import rated_figure
from wirecheck.engine.figures import SLACK
from wirecheck.engine.judge import load_elements, missing
from wirecheck.engine.question import DelayAt, RelayAt, SameWord, word
from wirecheck.engine.question import Not as NotSo

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.elements import Delay, Late, Relay
    from wirecheck.engine.answers import Turned
    from wirecheck.engine.solver import View

NAME = "takes-effect"
PARALLEL_LIMIT = 6


class Moved(Struct, frozen=True):
    """What differs with contacts the other way. fields: without which it cannot be told; none if sure."""

    says: str
    fields: tuple[str, ...] = ()


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each switch, delay, relay and load that the change brings, each load in `affects`."""
    groups = movers(pair)
    for name, contacts in groups.items():
        yield moves_something(pair, name, contacts, groups)
    yield from together(pair, groups)
    for relay in pair.changed.after.relays.values():
        if relay.device in pair.changed.brought:
            yield relay_moves(pair, relay)
    for delay in pair.changed.after.delays.values():
        if pair.is_brought(delay.coil):
            yield delay_moves(pair, delay)
    yield from loads_run(pair)
    yield from affected(pair)


def movers(pair: Pair) -> dict[str, tuple[str, ...]]:
    """What the change brings to move: input, delay or relay -> the contacts that it moves."""
    after = pair.changed.after
    found: dict[str, list[str]] = {}
    relays = {r.coil: r.name for r in after.relays.values()}
    delays = {(d.coil, d.late): d.name for d in after.delays.values()}
    for c in after.contacts.values():
        device = after.devices[c.device]
        if c.device not in pair.changed.brought or device.external:
            continue
        name = mover_name(c, relays, delays)
        # A start device is judged by the torque that it gives: `ratings`.
        skip = name is None or after.by_motor(c) or hidden(pair, c)
        if not skip:
            found.setdefault(str(name), []).append(c.id)
    return in_use(pair, {n: tuple(c) for n, c in found.items()})


def in_use(pair: Pair, groups: dict[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    """Without the positions of a device that nothing is wired to, where another of the device is in use."""
    after = pair.changed.after
    used = wired(after.conductors.values(), after.elements, after.poles.values())
    live = {n for n, group in groups.items() if used & set(group)}
    devices = {after.contacts[c].device for n in live for c in groups[n]}
    return {n: g for n, g in groups.items() if n in live or after.contacts[g[0]].device not in devices}


def mover_name(c: Contact, relays: dict[str, str], delays: dict[tuple[str, Late], str]) -> str | None:
    """The input, delay or relay that moves a contact; None of a coil that is no relay's.

    relays: coil -> name. delays: (coil, late) -> name.
    """
    match c.mover:
        case ByPosition(name):
            return name
        case ByCoil(coil, late):
            delay = delays.get((coil, late)) if late is not None else None
            return delay or relays.get(coil)


def hidden(pair: Pair, c: Contact) -> bool:
    """An overload inside a motor is no switch of the change."""
    return isinstance(c.mover, ByPosition) and pair.changed.after.inputs[c.mover.input].opened_only_by_name


def moves_something(
    pair: Pair, name: str, contacts: tuple[str, ...], groups: dict[str, tuple[str, ...]]
) -> Finding:
    """Put the other way from some reachable state, the other brought contacts held in any position."""
    others = [g for n, g in groups.items() if n != name and parallel(pair, contacts, g)][:PARALLEL_LIMIT]
    doubt: Moved | None = None
    for case in pair.distinct():
        for held in product((None, False, True), repeat=len(others)):
            base = frozenset((c, h) for g, h in zip(others, held, strict=True) if h is not None for c in g)
            what = effect(pair, case, contacts, base)
            if what is not None and not what.fields:
                return Finding(NAME, name, "pass", f"{name} moves {what.says}")
            doubt = doubt or what
    if doubt is not None:
        return unsure(name, name, doubt)
    why = "bridged, not in the way, or at work in passing only"
    says = f"{name} moves no load once all has settled, whatever position it is in: {why}"
    return Finding(NAME, name, "fail", says)


def unsure(subject: str, movers: str, doubt: Moved) -> Finding:
    """What may move a load, and cannot be told without some fields."""
    says = f"whether {movers} moves a load cannot be decided without {', '.join(doubt.fields)}"
    return Finding(NAME, subject, "unknown", says, None, doubt.fields)


def parallel(pair: Pair, one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    """Do two groups of contacts stand between the same two nets?"""
    of, contacts = pair.after.nets.of, pair.changed.after.contacts
    ends = [{frozenset((of[contacts[c].a], of[contacts[c].b])) for c in group} for group in (one, other)]
    return bool(ends[0] & ends[1])


def together(pair: Pair, groups: dict[str, tuple[str, ...]]) -> Iterator[Finding]:
    """Devices brought in parallel must also move something put together."""
    seen: set[frozenset[str]] = set()
    for name, contacts in groups.items():
        names = frozenset(n for n, g in groups.items() if n == name or parallel(pair, contacts, g))
        if len(names) < 2 or names in seen:
            continue
        seen.add(names)
        every = tuple(c for n in sorted(names) for c in groups[n])
        moved = [m for case in pair.distinct() if (m := jointly(pair, case, every)) is not None]
        if any(not m.fields for m in moved):
            continue
        if moved:
            yield unsure(" + ".join(sorted(names)), f"{' and '.join(sorted(names))} together", moved[0])
        else:
            says = f"{' and '.join(sorted(names))} together move no load: something bridges them"
            yield Finding(NAME, " + ".join(sorted(names)), "fail", says)


def jointly(pair: Pair, case: Case, contacts: tuple[str, ...]) -> Moved | None:
    """All of them open against all of them closed."""
    shut = frozenset((c, True) for c in contacts)
    return difference(pair, case, shut, frozenset((c, False) for c in contacts))


def effect(pair: Pair, case: Case, contacts: tuple[str, ...], base: Turned) -> Moved | None:
    """What differs where these contacts are put the other way."""
    inputs = pair.world.inputs(True, case.setting)
    doubt: Moved | None = None
    for coils, delays in case.joint.after.onward:
        closed = dict(zip(pair.changed.after.contacts, pair.after.closed(inputs, coils, delays), strict=True))
        put = base | frozenset((c, not closed[c]) for c in contacts)
        found = difference(pair, case, base, put)
        if found is not None and not found.fields:
            return found
        doubt = doubt or found
    return doubt


def difference(pair: Pair, case: Case, base: Turned, put: Turned) -> Moved | None:
    """The first load whose word or volts differ between two ways of holding contacts, the rest settled.

    Else one of which that cannot be told.
    """
    unit, inputs = pair.after, pair.world.inputs(True, case.setting)
    doubt: Moved | None = None
    for state in case.joint.after.onward:
        rests = [(unit.words(inputs, o, t), o, t) for t in (base, put) for o in unit.settle(inputs, state, t)]
        ours = [r for r in rests if r[2] == base]
        theirs = [r for r in rests if r[2] == put]
        for here, there in product(ours, theirs):
            for load, one in here[0].loads.items():
                other = there[0].loads[load]
                if other != one and UNKNOWN not in (one, other):
                    return Moved(f"{load}: {one} becomes {other}")
            views = [unit.views(inputs, o, t)[0] for _, o, t in (here, there)]
            moved = volts_moved(pair, views[0], views[1])
            if moved is not None and not moved.fields:
                return moved
            doubt = doubt or moved
    return doubt


def volts_moved(pair: Pair, here: View, there: View) -> Moved | None:
    """A load with a tenth of its rated volts more or less across one of its elements.

    Else one with other volts whose rated ones nobody knows.
    """
    doubt: Moved | None = None
    for name, load in pair.after.circuit.loads.items():
        for element in load_elements(load):
            change = volts_changed(element, here, there, pair.after.scenario)
            if by_a_tenth(name, element, here, there):
                return Moved(f"{name}: its volts change by {change:.0f} V")
            if load.volts is None and change > SLACK and (fields := missing(load)):
                doubt = doubt or Moved(name, fields)
    return doubt


def volts_changed(element: str, here: View, there: View, scenario: Mapping[str, int]) -> float:
    """By how many volts the two networks differ across an element."""
    return abs(abs(here.across(element, scenario)) - abs(there.across(element, scenario)))


def by_a_tenth(name: str, element: str, here: View, there: View) -> bool:
    """Do they differ by a tenth of the load's rated volts? The estimates that would change it are noted."""
    rating = rated_figure(here.plain, name)
    if rating is None:
        return False
    places = [view.network.part_of.get(element) for view in (here, there)]
    parts = [None if k is None else view.parts[k] for k, view in zip(places, (here, there), strict=True)]

    def decide(scenario: Mapping[str, int]) -> bool:
        least = figures.MOVES * value(rating, scenario) - SLACK
        return volts_changed(element, here, there, scenario) >= least

    known = [k for k in parts if k is not None]
    return bool(here.plain.firm(("moved", element, *parts), known, among([rating]), decide))


def relay_moves(pair: Pair, relay: Relay) -> Finding:
    """A relay of the change is in somewhere; an external one also out somewhere, or said not to be."""
    name = relay.name
    words = [w for w in (IN, OUT, CHATTERS) if pair.exists(RelayAt("after", name, frozenset({w})))]
    if IN not in words:
        return Finding(
            NAME, name, "fail", f"{name} is never in once all has settled, in {pair.count} states", other="in"
        )
    if relay.external and OUT not in words and not said_always(pair, name):
        says = f"{name} is never out, and no sentence `always {name} in` says so"
        return Finding(NAME, name, "fail", says, other="out")
    return Finding(NAME, name, "pass", f"{name} is {' and '.join(words)}", other="in")


def said_always(pair: Pair, relay: str) -> bool:
    """Does a sentence say that a relay is always in?"""
    return any(
        (s.form == "always" and s.condition == RelayIs(relay, "in"))
        or (s.form == "never" and s.condition in (RelayIs(relay, "out"), Not(RelayIs(relay, "in"))))
        for s in pair.changed.after.expects
    )


def delay_moves(pair: Pair, delay: Delay) -> Finding:
    """A delay that a contact uses is moved somewhere."""
    name = delay.name
    if pair.exists(DelayAt("after", name, True)):
        return Finding(NAME, name, "pass", f"{name} moves", other="moved")
    return Finding(
        NAME,
        name,
        "fail",
        f"{name} is never moved once all has settled: its contact acts in passing at most",
        other="moved",
    )


def loads_run(pair: Pair) -> Iterator[Finding]:
    """A load that the change brings runs in some state, or is retired."""
    for load in pair.changed.after.loads.values():
        if not pair.is_brought(load.name) or load.name in pair.changed.terms.retires:
            continue
        doubt = next(pair.where(word("after", load.name, {UNKNOWN})), None)
        if pair.exists(word("after", load.name, WORKING)):
            yield Finding(NAME, load.name, "pass", f"{load.name} runs in some state")
        elif doubt is not None:
            says = f"{load.name}: cannot be decided whether it runs"
            yield Finding(NAME, load.name, "unknown", says, None, doubt.why(load.name))
        else:
            yield Finding(NAME, load.name, "fail", f"{load.name} is new and runs in no state")


def affected(pair: Pair) -> Iterator[Finding]:
    """A load in `affects` that does as before."""
    for name in pair.changed.terms.affects:
        new = pair.new_name.get(name, name)
        old = pair.old_name.get(new, new)
        known = new in {*pair.changed.after.loads, *taps(pair)} and old in pair.words_before
        if not known or pair.exists(NotSo(SameWord(old, new))):
            continue
        yield Finding(NAME, name, "note", f"{name} stands in `affects` and does as before in every state")


def taps(pair: Pair) -> set[str]:
    """The names of the taps of the motors after: BLW.high."""
    motors = pair.changed.after.loads.values()
    return {f"{m.name}.{t}" for m in motors if isinstance(m, Motor) for t in m.taps}
