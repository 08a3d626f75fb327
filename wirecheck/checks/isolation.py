"""`isolation`: what an open disconnect, breaker or fuse made dead, it still does, whatever `given` says."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.checks.finding import Finding
from wirecheck.checks.live import live_terminals
from wirecheck.checks.pair import Pair
from wirecheck.engine.answers import OUT
from wirecheck.engine.nets import Joined
from wirecheck.engine.question import NOWHERE, At, Live, RelayAt, every

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.question import Question, Side

NAME = "isolation"


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each device that isolates, and notes for contactors' poles."""
    free = pair if not any(v.held is not None for v in pair.world.variables) else ungiven(pair)
    renamed = {r.old: r.new for r in pair.changed.replaced}
    for old, device in pair.changed.before.devices.items():
        new = renamed.get(old, old)
        if device.isolates:
            yield of_device(free, new if new in pair.changed.after.devices else None, old)
    for relay in pair.changed.after.relays.values():
        if relay.name in free.old_name:
            yield from of_poles(free, relay.name)


def ungiven(pair: Pair) -> Pair:
    """The same pair in the same scenario, with nothing held by `given`."""
    free = Pair(pair.changed, pair.after.scenario, given=False, plain=pair.plain)
    pair.after.sensitive.update(free.sensitive)
    return free


def stands_open(free: Pair, tag: str, side: Side) -> Question:
    """Every contact of the device stands open."""
    circuit = free.changed.after if side == "after" else free.changed.before
    inputs = [i for i in circuit.inputs.values() if i.device == tag and "open" in i.words]
    return every(*(At(side, i.name, i.words[1] == "open") for i in inputs)) if inputs else NOWHERE


class Compared(Struct, frozen=True):
    """Terminals live in some state after and in none before: the first such state, and the volts there."""

    first: dict[str, tuple[Case, float]]

    @property
    def fresh(self) -> list[str]:
        """Their names."""
        return list(self.first)


def compared(free: Pair, where: Question, may: set[str]) -> Compared:
    """may: the terminals that could be live after in such a state, whatever else is closed."""
    found: dict[str, tuple[Case, float]] = {}
    for terminal in (
        filter(partial(touched, free), free.changed.after.terminals) if free.exists(where) else ()
    ):
        now, was = every(where, Live("after", terminal)), every(where, Live("before", terminal))
        known = terminal in free.changed.before.terminals
        if terminal in may and not (known and free.exists(was)):
            case = next(free.where(now), None)
            if case is not None:
                volts = (live_terminals(v).get(terminal, 0.0) for v in free.views(case.joint))
                found[terminal] = case, max(volts)
    return Compared(found)


def touched(free: Pair, terminal: str) -> bool:
    """Can a probe be put there? Not on a star point, or another inner point of a device."""
    device = free.changed.after.device_of(terminal)
    return device is None or terminal in device.terminals


def may_be_live(plain: Plain, opened: frozenset[str]) -> set[str]:
    """Terminals that hang together with a hot pole, all contacts closed but `opened`: the rest is dead."""
    view = plain.superposed(opened)
    node, of = view.network.node, plain.nets.of
    near: dict[int, set[int]] = {}
    edges = list(view.network.ends.values())
    for core in plain.transformers.values():
        ends = [node[of[t]] for a, b, _ in core.windings for t in (a, b)]
        edges += [(ends[0], e) for e in ends[1:]]
    for a, b in edges:
        near.setdefault(a, set()).add(b)
        near.setdefault(b, set()).add(a)
    queue = [node[of[t]] for t, p in plain.circuit.poles.items() if p.phasor != 0]
    seen = set(queue)
    for at in queue:
        new = near.get(at, set()) - seen
        seen |= new
        queue.extend(new)
    return {t for t in plain.circuit.terminals if node[of[t]] in seen}


def of_device(free: Pair, new: str | None, old: str) -> Finding:
    """new: the tag after, None where the device is taken out: then nothing of it has to stand open."""
    where = stands_open(free, old, "before")
    opened: frozenset[str] = frozenset()
    if new is not None:
        where = every(where, stands_open(free, new, "after"))
        opened = frozenset(c.id for c in free.changed.after.contacts.values() if c.device == new)
    found = compared(free, where, may_be_live(free.after, opened))
    return judged(free, old if new is None else new, found, ended(free, new or old) | ended(free, old))


def judged(free: Pair, tag: str, found: Compared, excused: set[str]) -> Finding:
    """Fail for a terminal of the unit, note for what the change brings."""
    fresh = [t for t in found.fresh if t not in excused]
    unit = [t for t in fresh if t in free.changed.before.terminals and not brought(free, t)]
    shown = unit or fresh
    if not shown:
        return Finding(NAME, tag, "pass", f"with {tag} open, what was dead is dead")
    names = ", ".join(shown[:4]) + (f" and {len(shown) - 4} more" if len(shown) > 4 else "")
    whose = "dead before in every state" if unit else "which the change brings"
    says = f"with {tag} open, {names} live ({found.first[shown[0]][1]:.0f} V to earth), {whose}"
    return Finding(NAME, tag, "fail" if unit else "note", says, free.witness(found.first[shown[0]][0]))


def brought(free: Pair, terminal: str) -> bool:
    """Is this a terminal of a device that the change brings?"""
    device = free.changed.after.device_of(terminal)
    return device is not None and device.tag in free.changed.brought


def ended(free: Pair, tag: str) -> set[str]:
    """The terminals whose isolation `removes_isolation` ends: all that are joined to those named."""
    found: set[str] = set()
    for device, terminals, _ in free.changed.terms.removes_isolation:
        if device == tag:
            for circuit_is_after in (True, False):
                found |= joined_to(free, terminals, circuit_is_after)
    return found


def joined_to(free: Pair, terminals: tuple[str, ...], of_after: bool) -> set[str]:
    """Terminals joined to these with every contact closed but those of devices that isolate."""
    unit = free.after if of_after else free.before
    circuit, nets = unit.circuit, unit.nets
    joined = Joined(nets.count)
    for c in circuit.contacts.values():
        if not circuit.devices[c.device].isolates:
            joined.join(nets.of[c.a], nets.of[c.b])
    roots = {joined.find(nets.of[t]) for t in terminals if t in nets.of}
    return {t for t, n in nets.of.items() if joined.find(n) in roots}


def of_poles(free: Pair, relay: str) -> Iterator[Finding]:
    """A note where a contactor that is out leaves live what it used to make dead."""
    old = free.old_name[relay]
    out = frozenset({OUT})
    poles = {t for c in free.changed.after.relays[relay].contacts for t in ends(free, c)}
    unit = poles & set(free.changed.before.terminals)
    found = compared(free, every(RelayAt("after", relay, out), RelayAt("before", old, out)), unit)
    fresh = [t for t in found.fresh if t in unit]
    if fresh:
        volts = found.first[fresh[0]][1]
        says = f"with {relay} out, {', '.join(fresh)} live ({volts:.0f} V to earth), dead before"
        yield Finding(NAME, relay, "note", says, free.witness(found.first[fresh[0]][0]), other="poles")


def ends(free: Pair, contact: str) -> tuple[str, str]:
    """The two terminals of a contact of the unit after."""
    c = free.changed.after.contacts[contact]
    return c.a, c.b
