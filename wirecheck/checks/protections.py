"""`protections`: what kept a load off when tripped still does; one that the change brings keeps some off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.checks.hand import by_hand, lost_by_hand
from wirecheck.checks.kept import kept as kept_of
from wirecheck.checks.kept import kept_in_both, off, said, works
from wirecheck.circuit.bound import InputIs, atoms
from wirecheck.engine.answers import OFF, OUT, SHORT, UNKNOWN
from wirecheck.engine.question import At, Lies, Not, every

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.elements import Input
    from wirecheck.engine.question import Question

NAME = "protections"


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each (protection, load) of the unit, one for each protection that the change brings."""
    for p in pair.changed.before.inputs.values():
        if p.tripped is not None:
            found = list(kept(pair, p, p.tripped))
            lost = {f.other for f in found if f.verdict == "fail"}
            found += [f for load, f in hidden_loss(pair, p) if load not in lost]
            yield from found or useless(pair, p)
    for p in pair.changed.after.inputs.values():
        if p.tripped is not None and p.device in pair.changed.brought:
            yield brought(pair, p)


def useless(pair: Pair, p: Input) -> Iterator[Finding]:
    """A note on one that keeps nothing off in the unit as it is: nobody can lose it, nor lean on it."""
    tripped = on_tripped_side(pair, p, bool(p.tripped))
    before = pair.changed.before
    if p.device in pair.changed.before.devices and not any(
        keeps_off(pair, n, tripped) for n in kept_of(before)
    ):
        says = f"{p.name} tripped keeps nothing off in the unit as it is: bridged, or not in the way"
        yield Finding(NAME, p.name, "note", says, other="before the change")


def on_tripped_side(pair: Pair, p: Input, tripped: bool) -> Question:
    """P's quantity is on the tripped side, beyond both set points; without one, its contact is tripped."""
    points = p.set_points
    if points is None or points.quantity not in pair.world.cuts:
        return At("before", p.name, tripped)
    above = tripped == points.above_moved
    return Lies(points.quantity, above, points.high if above else points.low)


def removed(pair: Pair, p: Input, load: str) -> bool:
    """Does `removes_protection` end this pair?"""
    return any(
        device in (p.name, p.device) and of == load for device, of, _ in pair.changed.terms.removes_protection
    )


def hidden_loss(pair: Pair, p: Input) -> Iterator[tuple[str, Finding]]:
    """A protection that another switch of its quantity hides, and that keeps a load off no more by itself.

    With the load.
    """
    for load in lost_by_hand(pair, p):
        if not removed(pair, p, load) and not removed(pair, p, pair.old_name[load]):
            says = f"{p.name} has no influence on {load} any more; only other switches hide it"
            yield load, Finding(NAME, p.name, "fail", says, other=f"{load} by hand")


def kept(pair: Pair, p: Input, moved: bool) -> Iterator[Finding]:
    """The pairs of one protection of the unit. moved: does it stand moved when tripped?"""
    tripped = on_tripped_side(pair, p, moved)
    for old, new in kept_in_both(pair):
        if removed(pair, p, old) or removed(pair, p, new):
            says = f"`removes_protection` says that {p.name} need not keep {new} off any more"
            yield Finding(NAME, p.name, "note", says, other=new)
        elif keeps_off(pair, old, tripped):
            says = f"{p.name} tripped, and {new} {{word}}: the protection is lost"
            lost = next(not_off(pair, p, new, tripped, says), None)
            lost = lost or next(where_it_decides(pair, p, moved, old, new), None)
            yield lost or Finding(NAME, p.name, "pass", f"{p.name} tripped keeps {new} off", other=new)
        else:
            yield from where_it_decides(pair, p, moved, old, new)


def keeps_off(pair: Pair, old: str, tripped: Question) -> bool:
    """Is the load off in every state before on the tripped side, and not off in some other?"""
    before = pair.changed.before
    if not pair.exists(tripped) or pair.exists(every(tripped, Not(off(before, "before", old)))):
        return False
    return pair.exists(every(Not(tripped), works(before, "before", old)))


def not_off(
    pair: Pair,
    p: Input,
    new: str,
    where: Question,
    says: str,
    also: Callable[[Case], bool] = lambda _: True,
) -> Iterator[Finding]:
    """The first state picked out in which a load is not off after, though it had to be."""
    for case in pair.where(every(where, Not(off(pair.changed.after, "after", new)))):
        if not also(case):
            continue
        now = said(case.after, new)
        if now == UNKNOWN:
            says = f"{new} may not be off"
            yield Finding(NAME, p.name, "unknown", says, pair.witness(case), case.why(new), other=new)
        else:
            route = pair.route(case, (new,))
            yield Finding(NAME, p.name, "fail", says.format(word=now), pair.witness(case, route), other=new)


def where_it_decides(pair: Pair, p: Input, moved: bool, old: str, new: str) -> Iterator[Finding]:
    """In every state before in which P alone keeps the load off, it is off after."""
    where = every(At("before", p.name, moved), off(pair.changed.before, "before", old))
    says = f"{p.name} alone kept {new} off here; now: {{word}}"
    yield from not_off(pair, p, new, where, says, lambda case: alone(pair, p, old, case))


def alone(pair: Pair, p: Input, old: str, case: Case) -> bool:
    """Would the load not be off before, with P's contact alone untripped and the relays settled anew?"""
    before = pair.before
    inputs = list(pair.world.inputs(False, case.setting))
    inputs[before.inputs[p.name]] = not p.tripped
    put = tuple(inputs)
    ends = {e for o in case.joint.befores for s in o.onward for e in before.settle(put, s)}
    return any(said(before.words(put, e), old) not in (OFF, OUT, UNKNOWN, SHORT) for e in ends)


def brought(pair: Pair, p: Input) -> Finding:
    """A protection that the change brings keeps some load off by itself on its tripped side."""
    subject = p.name
    if any(device in (p.name, p.device) for device, _, _ in pair.changed.terms.removes_protection):
        return bypassed(pair, p)
    found = by_hand(pair, p)
    if found.loads:
        kept_off = ", ".join(found.loads)
        return Finding(NAME, subject, "pass", f"{p.name} tripped keeps {kept_off} off by itself")
    if found.doubtful:
        says = f"{p.name} may keep nothing off by itself"
        return Finding(NAME, subject, "unknown", says, None, found.fields)
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
