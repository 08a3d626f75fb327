"""`protections`: what kept a load off on its tripped side still does; one that the change brings keeps some off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.checks.hand import by_hand
from wirecheck.circuit.bound import InputIs, atoms
from wirecheck.engine.answers import OFF, SHORT, UNKNOWN

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Case, Pair
    from wirecheck.circuit.elements import Input

NAME = "protections"


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each (protection, load) of the unit, and one for each protection that the change brings."""
    for p in pair.changed.before.inputs.values():
        if p.tripped is not None:
            yield from kept(pair, p)
    for p in pair.changed.after.inputs.values():
        if p.tripped is not None and p.device in pair.changed.brought:
            yield brought(pair, p)


def is_tripped(pair: Pair, p: Input, case: Case) -> bool:
    """Is P's quantity on the tripped side, beyond both set points; or, without one, its contact tripped?"""
    assert p.tripped is not None
    points = p.set_points
    if points is None or points.quantity not in pair.world.cuts:
        return pair.world.position(pair.changed.before, p.name, case.setting) == p.tripped
    low, high = pair.world.interval(
        points.quantity, case.setting.ranges[pair.world.quantities.index(points.quantity)]
    )
    above = p.tripped == points.above_moved
    return low >= points.high if above else high <= points.low


def removed(pair: Pair, p: Input, load: str) -> bool:
    """Does `removes_protection` end this pair?"""
    return any(
        device in (p.name, p.device) and of == load for device, of, _ in pair.changed.terms.removes_protection
    )


def kept(pair: Pair, p: Input) -> Iterator[Finding]:
    """The pairs of one protection of the unit."""
    tripped = [c for c in pair.cases if is_tripped(pair, p, c)]
    for old, new in [(pair.old_name[n], n) for n in pair.changed.after.loads if n in pair.old_name]:
        if removed(pair, p, old) or removed(pair, p, new):
            says = f"{p.name} no longer protects {new}: `removes_protection` ends it"
            yield Finding(NAME, f"{p.name} for {new}", "note", says)
            continue
        if keeps_off(pair, old, tripped):
            yield still_off(pair, p, old, new, tripped)
        else:
            yield from where_it_decides(pair, p, old, new)


def keeps_off(pair: Pair, old: str, tripped: list[Case]) -> bool:
    """Is the load off in every state before on the tripped side, and not off in some other?"""
    if not tripped or any(b.loads[old] not in (OFF, SHORT) for c in tripped for b in c.befores):
        return False
    seen = {id(c) for c in tripped}
    return any(b.loads[old] not in (OFF, SHORT, UNKNOWN) for c in pair.cases if id(c) not in seen for b in c.befores)


def still_off(pair: Pair, p: Input, old: str, new: str, tripped: list[Case]) -> Finding:
    """It must be off after, in every state on the tripped side of the set points before."""
    subject = f"{p.name} for {new}"
    for case in tripped:
        word = case.after.loads[new]
        if word == UNKNOWN:
            return Finding(
                NAME, subject, "unknown", f"{new} may not be off", pair.witness(case), case.why(new)
            )
        if word not in (OFF, SHORT):
            says = f"{p.name} tripped, and {new} {word}: the protection is lost"
            return Finding(NAME, subject, "fail", says, pair.witness(case, pair.route(case, (new,))))
    found = next(where_it_decides(pair, p, old, new), None)
    if found is not None and found.verdict != "pass":
        return found
    return Finding(NAME, subject, "pass", f"{p.name} tripped keeps {new} off, in {len(tripped)} states")


def where_it_decides(pair: Pair, p: Input, old: str, new: str) -> Iterator[Finding]:
    """In every state before in which P alone keeps the load off, it is off after."""
    subject = f"{p.name} for {new}"
    held = 0
    for case in pair.cases:
        if pair.world.position(pair.changed.before, p.name, case.setting) != p.tripped:
            continue
        if not any(b.loads[old] == OFF for b in case.befores) or not alone(pair, p, old, case):
            continue
        held += 1
        word = case.after.loads[new]
        if word == UNKNOWN:
            yield Finding(
                NAME, subject, "unknown", f"{new} may not be off", pair.witness(case), case.why(new)
            )
            return
        if word not in (OFF, SHORT):
            says = f"{p.name} alone kept {new} off here; now it {word}"
            yield Finding(NAME, subject, "fail", says, pair.witness(case, pair.route(case, (new,))))
            return
    if held:
        yield Finding(
            NAME, subject, "pass", f"{new} is still off where {p.name} alone kept it off, in {held} states"
        )


def alone(pair: Pair, p: Input, old: str, case: Case) -> bool:
    """Would the load not be off before, with P's contact alone untripped and the relays settled anew?"""
    before = pair.before
    inputs = list(pair.world.inputs(False, case.setting))
    inputs[before.inputs[p.name]] = not p.tripped
    put = tuple(inputs)
    ends = {e for o in case.joint.befores for s in o.onward for e in before.settle(put, s)}
    return any(before.words(put, e).loads[old] not in (OFF, UNKNOWN, SHORT) for e in ends)


def brought(pair: Pair, p: Input) -> Finding:
    """A protection that the change brings keeps some load off by itself on its tripped side."""
    subject = p.name
    if any(device in (p.name, p.device) for device, _, _ in pair.changed.terms.removes_protection):
        return bypassed(pair, p)
    loads, doubt = by_hand(pair, p)
    if loads:
        return Finding(NAME, subject, "pass", f"{p.name} tripped keeps {', '.join(loads)} off by itself")
    if doubt:
        return Finding(NAME, subject, "unknown", f"{p.name} may keep nothing off by itself", None, doubt)
    return Finding(NAME, subject, "fail", f"{p.name} tripped keeps no load off by itself")


def bypassed(pair: Pair, p: Input) -> Finding:
    """One that comes together with its bypass: a sentence must say when it counts."""
    for s in pair.changed.after.expects:
        names = {a.input for a in atoms(s.condition) if isinstance(a, InputIs)}
        if (
            s.of_change
            and s.form in ("never", "only when")
            and any(pair.changed.after.inputs[n].device == p.device for n in names)
        ):
            return Finding(
                NAME, p.name, "note", f"{p.name} comes with its bypass; `{s.text}` says when it counts"
            )
    says = f"{p.name} comes with its bypass, and no `never` or `only when` sentence of the change names it"
    return Finding(NAME, p.name, "fail", says)
