"""What is unusual in a unit: found in its states, never by the look of its wiring."""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.checks.live import live_terminals
from wirecheck.engine import figures
from wirecheck.engine.answers import CHATTERS, IN, OFF, OUT, UNKNOWN, WORKING
from wirecheck.engine.feeds import owners
from wirecheck.engine.nets import closed_path
from wirecheck.engine.plain.route import route
from wirecheck.engine.question import EVERYWHERE, At, RelayAt, Shorted, every, some, word
from wirecheck.questions.lookalikes import isolated

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.engine.question import Question
    from wirecheck.engine.solver import View

MOST = 64  # states of a load that are looked at for a way through another one
Kind = Literal[
    "live when off", "fed through", "latch", "race", "chatters", "shorted", "works badly", "bridged"
]  # fmt: skip


class Odd(Struct, frozen=True):
    """One unusual thing. names: the loads and relays that it is about. case: a state that shows it.

    volts: terminal -> volts to earth, of what stays live; load -> volts across it, of what others feed.
    way: how that comes from a pole, terminal by terminal; the way of the current; past what is bridged.
    other: for a latch the state with the same inputs in which the relay stands the other way.
    """

    kind: Kind
    names: tuple[str, ...]
    case: Case
    volts: tuple[tuple[str, float], ...] = ()
    way: tuple[str, ...] = ()
    other: Case | None = None
    words: str = ""


def oddities(pair: Pair, only: tuple[str, ...] = ()) -> Iterator[Odd]:
    """Everything unusual, in states walked to; of these loads alone where any are named."""
    for odd in _found(pair, only):
        for case in (odd.case, *filter(None, (odd.other,))):
            pair.shown(case)
        yield odd


def _found(pair: Pair, only: tuple[str, ...]) -> Iterator[Odd]:
    loads = tuple(n for n in pair.changed.after.loads if not only or n in only)
    if not only:
        yield from bridged(pair)
    for name in loads:
        yield from live_when_off(pair, name)
    yield from fed_through(pair, loads)
    yield from bad_words(pair, loads)
    yield from latches(pair)
    yield from races(pair)
    for kind, question in (("chatters", _chatters(pair)), ("shorted", Shorted("after"))):
        case = next(pair.where(question), None)
        if case is not None:
            names = tuple(n for n, w in case.after.relays.items() if w == CHATTERS)
            yield Odd(kind, names, case)  # type: ignore[arg-type]


def _chatters(pair: Pair) -> Question:
    relays = pair.changed.after.relays
    return some(*(RelayAt("after", r, frozenset({CHATTERS})) for r in relays))


def bridged(pair: Pair) -> Iterator[Odd]:
    """Each contact past which conductors lead from one end to the other, in whatever position it is."""
    circuit, of = pair.changed.after, pair.after.nets.of
    case = next(iter(pair.where(EVERYWHERE)), None)
    for c in circuit.contacts.values() if case is not None else ():
        if of[c.a] == of[c.b] and case is not None:
            yield Odd("bridged", (c.device,), case, way=closed_path(circuit, lambda _: False, c.a, (c.b,)))


# --- live when off ------------------------------------------------------------------------------------


def live_when_off(pair: Pair, load: str) -> Iterator[Odd]:
    """A load that works now and then, and in some state is off, every lever on, one of its ends live."""
    if not pair.exists(word("after", load, WORKING)):
        return
    own = pair.changed.after.devices[pair.changed.after.loads[load].device].terminals
    levers = isolated(pair.changed.after)
    on = [At("after", n, not moved) for n, moved in levers.items() if n in pair.world.index]
    for case in pair.where(every(word("after", load, {OFF}), *on)):
        view = next(pair.views(case.joint))
        live = live_terminals(view)
        hot = tuple((t, live[t]) for t in own if t in live)
        if hot:
            ways = (way_to_pole(pair, view, t) for t, _ in hot)
            yield Odd("live when off", (load,), case, hot, next(filter(None, ways), ()))
            return


def way_to_pole(pair: Pair, view: View, terminal: str) -> tuple[str, ...]:
    """Terminal by terminal, from a pole or secondary along closed contacts; () where only through a part."""
    circuit = pair.changed.after
    goals = [p for p, pole in circuit.poles.items() if pole.phasor != 0]
    goals += [t for x in view.plain.transformers.values() for t in x.secondary]
    return tuple(reversed(closed_path(circuit, view.shut.__contains__, terminal, goals)))


# --- what is fed through something else ---------------------------------------------------------------


def fed_through(pair: Pair, loads: tuple[str, ...]) -> Iterator[Odd]:
    """A load that works and whose current goes through another load or coil on its way."""
    of = {e: n for n, elements in owners(pair.changed.after).items() for e in elements}
    for name in loads:
        for case in islice(pair.distinct(word("after", name, WORKING)), MOST):
            view = next(pair.views(case.joint))
            hops = route(view, name)
            passed = [e for h in hops[1:] if (e := h.partition(" to ")[0]) in of]
            others = [o for e in passed if of[e] != name for o in beside(view, e, of) if of[o] != name]
            if others:
                across = [*(e for e in passed if of[e] == name), *others]
                volts = tuple((of[e], abs(view.across(e, view.plain.scenario))) for e in across)
                named = tuple(dict.fromkeys((name, *(of[e] for e in others))))
                yield Odd("fed through", named, case, volts, hops)
                break


def beside(view: View, passed: str, of: Mapping[str, str]) -> tuple[str, ...]:
    """An element of a load, and of each load between the same two nodes that takes a share of the current.

    of: element -> its load, relay or coil. Those with the greater current first.
    """
    ends = ends_of(view, passed)
    by_load = {of[passed]: passed}
    for e, owner in of.items():
        if e in view.plain.impedances and ends_of(view, e) == ends:
            by_load.setdefault(owner, e)
    amps = {e: abs(view.amps(e, view.plain.scenario)) for e in by_load.values()}
    total = abs(sum(directed(view, e, passed) for e in amps))
    found = [e for e in amps if amps[e] >= figures.FED_THROUGH * total or e == passed]
    return tuple(sorted(found, key=lambda e: -amps[e]))


def ends_of(view: View, element: str) -> set[int]:
    """The two nodes of an element in one network."""
    x = view.plain.impedances[element]
    return {view.network.node[view.plain.nets.of[t]] for t in (x.a, x.b)}


def directed(view: View, element: str, like: str) -> complex:
    """Current of an element, counted the way of another between the same nodes."""
    one, other = (view.plain.impedances[e] for e in (element, like))
    node, of = view.network.node, view.plain.nets.of
    amps = view.amps(element, view.plain.scenario)
    return amps if node[of[one.a]] == node[of[other.a]] else -amps


def bad_words(pair: Pair, loads: tuple[str, ...]) -> Iterator[Odd]:
    """A load that hums, turns backward or has the wrong volts in a state of the sound unit."""
    for name in loads:
        case = next(pair.where(word("after", name, {"stalls", "backward", "weak", "over", UNKNOWN})), None)
        if case is not None:
            yield Odd("works badly", (name,), case, words=case.after.loads[name])


# --- what remembers -----------------------------------------------------------------------------------


def latches(pair: Pair) -> Iterator[Odd]:
    """A relay that stands in and out under the same inputs and delays, with both states."""
    if not pair.source.remembers:
        return
    seen: dict[object, list[Case]] = {}
    found: set[str] = set()
    for case in pair.distinct(EVERYWHERE):
        place = case.setting.bits, tuple(case.after.delays.items())
        for other in seen.setdefault(place, []):
            for name, w in case.after.relays.items():
                if {w, other.after.relays[name]} == {IN, OUT} and name not in found:
                    found.add(name)
                    is_in, is_out = (case, other) if w == IN else (other, case)
                    yield Odd("latch", (name, *_work_apart(pair, is_in, is_out)), is_in, other=is_out)
        seen[place].append(case)


def _work_apart(pair: Pair, one: Case, other: Case) -> tuple[str, ...]:
    """The loads that do otherwise in two states."""
    return tuple(n for n in pair.changed.after.loads if one.after.loads[n] != other.after.loads[n])


def races(pair: Pair) -> Iterator[Odd]:
    """Relays of which the order decides which is in. Where one order shorts, that is told instead."""
    for race in pair.races:
        rests = tuple(o for o in race.after if o.kind != "short")
        words = pair.outcome_words(race.setting, rests, True) if len(rests) > 1 else []
        apart = tuple(r for r in (words[0].relays if words else ()) if len({w.relays[r] for w in words}) > 1)
        if apart:
            yield Odd("race", apart, pair.case_of(race))
            return
