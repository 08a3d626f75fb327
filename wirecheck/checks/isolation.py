"""`isolation`: what an open disconnect, breaker or fuse made dead, it still does, whatever `given` says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.checks.live import live_terminals
from wirecheck.checks.pair import Pair
from wirecheck.engine.answers import OUT
from wirecheck.engine.plain.network import Joined

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from wirecheck.checks.pair import Case

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
    free = Pair(pair.changed, pair.after.scenario, given=False)
    pair.after.sensitive.update(free.after.sensitive)
    return free


def open_in(free: Pair, tag: str, of_after: bool) -> Callable[[Case], bool]:
    """Does every contact of the device stand open?"""
    circuit = free.changed.after if of_after else free.changed.before
    names = [i.name for i in circuit.inputs.values() if i.device == tag]

    def stands(case: Case) -> bool:
        return bool(names) and all(
            circuit.inputs[n].word(free.world.position(circuit, n, case.setting)) in ("open",) for n in names
        )

    return stands


def compared(free: Pair, cases: list[Case]) -> tuple[set[str], dict[str, Case], dict[str, float]]:
    """Terminals live in some state before; terminals live after, with the first state and the volts."""
    was: set[str] = set()
    now: dict[str, Case] = {}
    volts: dict[str, float] = {}
    for case in cases:
        for view in free.views_before(case.joint):
            was |= set(live_terminals(view))
        for view in free.views(case.joint):
            for terminal, v in live_terminals(view).items():
                now.setdefault(terminal, case)
                volts.setdefault(terminal, v)
    return was, now, volts


def of_device(free: Pair, new: str | None, old: str) -> Finding:
    """new: the tag after, None where the device is taken out: then nothing of it has to stand open."""
    before = open_in(free, old, False)
    after = open_in(free, new, True) if new is not None else None
    cases = [c for c in free.cases if before(c) and (after is None or after(c))]
    was, now, volts = compared(free, cases)
    tag = old if new is None else new
    excused = ended(free, tag) | ended(free, old)
    fresh = [t for t in now if t not in was and t not in excused]
    unit = [t for t in fresh if t in free.changed.before.terminals and not brought(free, t)]
    if unit:
        t = unit[0]
        says = f"with {tag} open, {', '.join(unit[:4])} live ({volts[t]:.0f} V to earth), dead before in every state"
        return Finding(NAME, tag, "fail", says, free.witness(now[t]))
    new = [t for t in fresh if t in free.changed.after.terminals]
    if new:
        t = new[0]
        says = f"with {tag} open, {', '.join(new[:4])} of what the change brings live ({volts[t]:.0f} V to earth)"
        return Finding(NAME, tag, "note", says, free.witness(now[t]))
    return Finding(NAME, tag, "pass", f"with {tag} open, what was dead is dead, in {len(cases)} states")


def brought(free: Pair, terminal: str) -> bool:
    device = free.changed.after.device_of(terminal)
    return device is not None and device.tag in free.changed.brought


def ended(free: Pair, tag: str) -> set[str]:
    """The terminals whose isolation `removes_isolation` ends: all joined to those named, every contact closed."""
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
    cases = [
        c for c in free.cases if c.after.relays[relay] == OUT and all(b.relays[old] == OUT for b in c.befores)
    ]
    poles = {t for c in free.changed.after.relays[relay].contacts for t in ends(free, c)}
    was, now, volts = compared(free, cases)
    fresh = [t for t in now if t in poles and t not in was and t in free.changed.before.terminals]
    if fresh:
        says = f"with {relay} out, {', '.join(fresh)} live ({volts[fresh[0]]:.0f} V to earth), dead before"
        yield Finding(NAME, f"{relay} poles", "note", says, free.witness(now[fresh[0]]))


def ends(free: Pair, contact: str) -> tuple[str, str]:
    c = free.changed.after.contacts[contact]
    return c.a, c.b
