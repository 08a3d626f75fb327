"""The sentences about states: each from one result of the engine, in one form, so that it can be checked."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Link, Motor
from wirecheck.condition import And, Atom, Condition, Or, parse_condition
from wirecheck.questions.effect import HISTORY
from wirecheck.report.lines import said, volts_text
from wirecheck.report.verdict import KINDS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.read.moves import Changes, Moved
    from wirecheck.questions.read.odd import Odd
    from wirecheck.questions.read.unit import Load, Reading, Relay

VERBS = {"open": "opens", "closed": "closes", "moved": "moves", "rest": "goes back to rest"}
WORKS = ("on", "runs")
BACK = {
    "at once": "",
    "later": " Moving it back undoes that once delays have run out.",
    "never": " Moving it back does not undo that.",
    "raced": " Moving it back: the order in which relays move decides.",
}


def works(circuit: Circuit, load: str) -> str:
    """A motor runs; all else is on."""
    return "runs" if isinstance(circuit.loads.get(load), Motor) else "is on"


def load_when(circuit: Circuit, load: Load) -> str:
    """When a load works."""
    return _when(f"{load.name} {works(circuit, load.name)}", load.when, load.may)


def loads_when(circuit: Circuit, loads: Iterable[Load]) -> Iterator[str]:
    """When loads work; those that work alike in one sentence."""
    groups: dict[tuple[str, str], list[Load]] = {}
    for load in loads:
        groups.setdefault((works(circuit, load.name), load.when), []).append(load)
    for (verb, when), found in groups.items():
        several = {"runs": "run", "is on": "are on"}[verb]
        plain = when not in (HISTORY, "always", "never")
        if len(found) > 1 and plain:
            yield f"{said([x.name for x in found])} {several} when {factored(when)}."
        else:
            yield from (load_when(circuit, x) for x in found)


def relay_when(relay: Relay) -> str:
    """When a relay is in."""
    return _when(f"{relay.name} is in", relay.when, relay.may)


def _when(what: str, words: str, may: str) -> str:
    if words == HISTORY:
        only = (
            f"{what} only when {factored(may)}; even then it"
            if may not in ("always", "never")
            else f"{what}: it"
        )
        return f"{only} {HISTORY}."
    if words in ("always", "never"):
        subject, verb = what.split(" ", 1)
        return f"{subject} {words} runs." if verb == "runs" else f"{subject} is {words} {verb[3:]}."
    return f"{what} when {factored(words)}."


def factored(words: str) -> str:
    """A sum of products with what all its products share taken out: A and (B or C)."""
    tree = parse_condition(words)
    if not isinstance(tree, Or):
        return words
    products = [_factors(part) for part in tree.parts]
    shared = [f for f in products[0] if all(f in p for p in products)]
    if not shared:
        return words
    rests = [[f for f in p if f not in shared] for p in products]
    if not all(rests):
        return " and ".join(shared)
    parts = [f"({' and '.join(r)})" if len(r) > 1 else r[0] for r in rests]
    return " and ".join((*shared, f"({' or '.join(parts)})"))


def _factors(part: Condition) -> list[str]:
    parts = part.parts if isinstance(part, And) else (part,)
    return [f"{p.name} {p.word}" for p in parts if isinstance(p, Atom)]


def without(circuit: Circuit, relay: Relay) -> str:
    """The loads that never work with a relay out; "" where there are none."""
    if not relay.loads:
        return ""
    return f"With {relay.name} out, {said(relay.loads)} never {_plural_works(circuit, relay.loads)}."


def _plural_works(circuit: Circuit, loads: Iterable[str]) -> str:
    kinds = {works(circuit, n) for n in loads}
    several = len([*loads]) > 1
    if kinds == {"runs"}:
        return "run" if several else "runs"
    return "work" if several else "works"


def kept_off(reading: Reading) -> Iterator[str]:
    """What each protection keeps off."""
    by_protection: dict[tuple[str, str], list[str]] = {}
    for load in reading.loads.values():
        for p in load.kept_off:
            by_protection.setdefault(p, []).append(load.name)
    for (name, word), loads in by_protection.items():
        yield f"{name} {word} keeps {said(loads)} off."


# --- what a switch does -------------------------------------------------------------------------------


def moved(reading: Reading, m: Moved) -> str:
    """What moving one switch does, from which state, and whether moving it back undoes that."""
    changes = changed(m.relays, m.loads)
    start = state(reading.pair, m.start, m.switch, m.told)
    return f"{m.switch} {VERBS[m.word]}, with {start}: {changes}.{BACK[m.restores]}"


def changed(relays: Changes, loads: Changes) -> str:
    """What relays and loads do otherwise."""
    return "; ".join((*_relay_changes(relays), *_load_changes(loads)))


def state(pair: Pair, case: Case, but: str = "", relays: Iterable[tuple[str, str]] = ()) -> str:
    """Where switches stand, away from ordinary operation; delays that have moved; these relays."""
    world = pair.world
    found = [
        f"{v.name} {v.word(b)}"
        for v, b in zip(world.variables, case.setting.bits, strict=True)
        if b != v.normal and v.name != but
    ]
    found += [f"{d} moved" for d, at in case.after.delays.items() if at]
    found += [f"{n} {word}" for n, word in relays]
    return f"{said(found)}, all else as usual" if found else "all as usual"


def _relay_changes(changes: Changes) -> Iterator[str]:
    for verb, word in (("pulls in", "in"), ("drops out", "out"), ("chatters", "chatters")):
        names = [n for n, (_, now) in changes.items() if now == word]
        if names:
            yield f"{said(names)} {verb if len(names) == 1 else verb.replace('s ', ' ', 1)}"


def _load_changes(changes: Changes) -> Iterator[str]:
    """Loads that start, those that stop, and those that do something else."""
    starts = [n for n, (old, now) in changes.items() if old == "off" and now in WORKS]
    stops = [n for n, (old, now) in changes.items() if old in WORKS and now == "off"]
    for names, one in ((starts, "starts"), (stops, "stops")):
        if names:
            yield f"{said(names)} {one if len(names) == 1 else one[:-1]}"
    for n, (old, now) in changes.items():
        if n not in starts and n not in stops:
            yield f"{n} goes from {old} to {now}"


# --- what is unusual ----------------------------------------------------------------------------------


def odd(reading: Reading, o: Odd) -> str:
    """One unusual thing, with the reason."""
    at, name = state(reading.pair, o.case), o.names[0] if o.names else ""
    match o.kind:
        case "live when off":
            return _live(reading, o, at)
        case "fed through":
            return _through(reading, o, at)
        case "latch":
            return _latch(reading, o, at)
        case "race":
            return f"With {at}, the order in which {said(o.names)} move decides which of them is in."
        case "chatters":
            finds = "finds" if len(o.names) == 1 else "find"
            return f"With {at}, {said(o.names)} {finds} no rest, in and out again and again."
        case "shorted":
            return f"With {at}, the supply is shorted."
        case "works badly":
            return f"With {at}, {name} {o.words}."
        case "bridged":
            ends = " to ".join((o.way[0], o.way[-1]))
            past = [i for a, b in pairwise(o.way) for i in between(reading.circuit, a, b)]
            return f"{name} is bridged: {said(past)} past {ends}, so that its position there does nothing."


def between(circuit: Circuit, a: str, b: str) -> list[str]:
    """The conductor, or else the device with a bar, that leads from one terminal straight to another."""
    wires = [w.id for w in circuit.conductors.values() if {w.a, w.b} == {a, b}]
    bars = [e.device for e in circuit.elements.values() if isinstance(e, Link) and {e.a, e.b} == {a, b}]
    return [*wires, *bars][:1]


def _live(reading: Reading, o: Odd, at: str) -> str:
    volts = {t: volts_text(v) for t, v in o.volts}
    groups = {v: [t for t in volts if volts[t] == v] for v in volts.values()}
    hot = "; ".join(f"{said(ts)} at {v}" for v, ts in groups.items())
    start = f"{o.names[0]} off is not dead: with {at}, to earth {hot}."
    return f"{start} It comes {_way(reading.circuit, o.way)}." if o.way else start


def _way(circuit: Circuit, way: tuple[str, ...]) -> str:
    """From a pole through what it passes; bars that never open are told."""
    parts: list[str] = []
    for a, b in pairwise(way):
        for e in circuit.elements.values():
            if {getattr(e, "a", None), getattr(e, "b", None)} == {a, b}:
                bar = ", a bar that never opens" if isinstance(e, Link) else ""
                parts.append(f"{e.device} ({a.rpartition('.')[2]} to {b.rpartition('.')[2]}{bar})")
                break
    return f"from {way[0]}" + (f" through {said(parts)}" if parts else "")


def _through(reading: Reading, o: Odd, at: str) -> str:
    load, others = o.names[0], o.names[1:]
    words = ", ".join(
        f"{n} is {o.case.after.loads.get(n) or o.case.after.relays.get(n, '?')}" for n in others
    )
    across = said([f"{volts_text(v)} across {n}" for n, v in o.volts])
    why = f" There are {across}." if o.volts else ""
    return (
        f"The current of {load} goes on through {said(others)}: with {at}, {load} "
        f"{works(reading.circuit, load)} while {words}.{why}"
    )


def _latch(reading: Reading, o: Odd, at: str) -> str:
    """Two states under the same inputs, and how each was come to."""
    ways = [_history(reading, c) for c in (o.case, o.other) if c is not None]
    loads = f", and with it {said(o.names[1:])}" if o.names[1:] else ""
    return f"{o.names[0]} remembers{loads}. With {at}, it is in after: {ways[0]}. It is out after: {ways[1]}."


def _history(reading: Reading, case: Case) -> str:
    """The moves that led to a state, from power-up."""
    moves = reading.pair.trace(case.joint)
    first = state(reading.pair, reading.pair.case(moves[0][1]))
    return ", then ".join((f"power on with {first}", *(m for m, _ in moves[1:])))


def way_lines(circuit: Circuit, hops: Iterable[str]) -> Iterator[str]:
    """A way of the current, line by line, parts named by what they are."""
    for k, hop in enumerate(hops):
        element = circuit.elements.get(hop.partition(" to ")[0])
        kind = f"{KINDS.get(type(element), 'part')} " if element is not None else ""
        yield f"{'from ' if k == 0 else ''}{kind}{hop}"
