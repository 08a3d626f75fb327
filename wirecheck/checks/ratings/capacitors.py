"""Capacitors: the value that a motor needs at its auxiliary, and the volts that stand across each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.fuses import open_fuses
from wirecheck.checks.ratings.carried import motors, outer_nodes, spread
from wirecheck.checks.ratings.marks import Limit, Mark, Watch
from wirecheck.checks.ratings.moments import NOTHING, Span
from wirecheck.circuit.elements import Capacitor, Estimate, Motor
from wirecheck.engine import figures
from wirecheck.engine.answers import OFF, UNKNOWN
from wirecheck.engine.plain.evaluator import ends_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.checks.ratings.moments import Look, Moment
    from wirecheck.engine.plain.evaluator import View

# A run capacitor is replaced by one of the same microfarads; labels allow 5 or 6 %. Common practice, no source.
TOLERANCE = 0.06
MICRO = 1e6


def marks(pair: Pair, seen: list[Moment]) -> Iterator[Mark]:
    """What is to be said of motors' capacitors, and of the volts across every capacitor."""
    for m in motors(pair.changed.after):
        if m.kind == "psc":
            yield from value_of(pair, m, seen)
    for z in pair.changed.after.elements.values():
        if isinstance(z, Capacitor):
            yield from volts_of(pair, z, seen)


def value_of(pair: Pair, m: Motor, seen: list[Moment]) -> Iterator[Mark]:
    """Run capacitors at the auxiliary against `needs`, in every state in which the motor is fed."""
    field = f"{m.name}.needs"
    own = m.device in pair.changed.brought
    old = pair.old_name.get(m.name)
    said: dict[str, Mark] = {}
    for moment in seen:
        if open_fuses(pair, moment.case) or not fed(moment.now, m):
            continue
        here = at_aux(moment.now, m)
        before = [at_aux(w, b) for w in moment.was for b in [w.plain.circuit.loads.get(old or "")] if isinstance(b, Motor)]
        if m.needs is None:
            if own or here not in before:
                says = f"has {shown(here)} at its auxiliary; what it needs is not given ({field})"
                said.setdefault("note", Mark(m.name, "note", says, fields=(field,)))
            continue
        mark = judged(m, m.needs, here, own or not any(same(here, b) for b in before), moment)
        if mark is not None:
            said.setdefault(mark.verdict, mark)
    for verdict in ("fail", "note", "pass"):
        if verdict in said:
            yield said[verdict]
            return


def judged(m: Motor, needs: float, here: Span, fresh: bool, moment: Moment) -> Mark | None:
    """The value of one state against what is needed; None where it is right and as before."""
    wants = f"{needs * MICRO:g} uF ({m.name}.needs, as marked)"
    low, high = needs * (1 - TOLERANCE), needs * (1 + TOLERANCE)
    if here.low > high or here.high < low:
        says = f"has {shown(here)} at its auxiliary and needs {wants}"
        if fresh:
            return Mark(m.name, "fail", says, moment.case, loads=(m.name,))
        return Mark(m.name, "note", f"{says}, as before the change")
    if here.low < low or here.high > high:
        return Mark(m.name, "note", f"may not have the {wants} that it needs: a capacitor's value is not given") if fresh else None
    return Mark(m.name, "pass", f"has {shown(here)} at its auxiliary, as it needs: {wants}") if fresh else None


def same(one: Span, other: Span) -> bool:
    return abs(one.nominal - other.nominal) < 1e-9


def shown(here: Span) -> str:
    return "no capacitor" if here.high == 0 else f"{here.nominal * MICRO:.3g} uF"


def fed(look: Look, m: Motor) -> bool:
    """Has its main volts?"""
    if look.plain.load_word(m, look.view) in (OFF, UNKNOWN):
        return m.needs is None and any(abs(look.view.across(w, look.plain.scenario)) > figures.LIVE_VOLTS for w in m.main)
    return any(abs(look.view.across(w, look.plain.scenario)) > figures.LIVE_VOLTS for w in m.main)


def at_aux(look: Look, m: Motor) -> Span:
    """Farads of the run capacitors with one end on the auxiliary's outer end that carry current."""
    assert m.aux is not None
    total = NOTHING
    outer = outer_nodes(look.view, m, m.aux)
    for i, z in look.plain.impedances.items():
        if isinstance(z, Capacitor) and not z.starts:
            ends = set(look.view.network.ends.get(i, ()))
            if len(ends & outer) == 1 and abs(look.view.amps(i, look.plain.scenario)) > figures.SLACK:
                total = total.plus(spread(z.farads))
    return total


def volts_of(pair: Pair, z: Capacitor, seen: list[Moment]) -> Iterator[Mark]:
    """The volts that stand across a capacitor at standstill; running they are above the line's, by how much no figure says."""
    field = f"{z.device}.volts"
    own = z.device in pair.changed.brought
    if z.volts is None:
        if own and any(volts_in(m.now.view, z).nominal > figures.LIVE_VOLTS for m in seen):
            yield Mark(z.device, "note", f"its rated volts are not given ({field})", fields=(field,))
        return
    watch = Watch(z.device, "stands at", Limit(z.volts, "V", field), own)
    for m in seen:
        before = max((volts_in(w.view, z).nominal for w in m.was), default=None)
        watch.see(m.case, volts_in(m.now.view, z), before, " at standstill", estimates(m.now.view, z))
    yield from watch.mark()


def estimates(view: View, z: Capacitor) -> tuple[str, ...]:
    """The fields of the estimates that the volts across it may rest on."""
    part = view.network.part_of.get(z.id)
    if part is None:
        return ()
    from wirecheck.engine.plain.solve import figures_of

    branches = view.network.parts[part].part.branches
    found = [f for i, _, _, c in branches for f in figures_of(view.impedances[i], c)]
    return tuple(dict.fromkeys(f.field for f in found if isinstance(f, Estimate)))


def volts_in(view: View, z: Capacitor) -> Span:
    """Volts across it, over the ends of the estimates about it."""
    if z.id not in view.impedances:
        return NOTHING
    fields = estimates(view, z)
    found = [
        abs(view.across(z.id, {**view.plain.scenario, **dict(zip(fields, ends, strict=True))}))
        for ends in ends_of(len(fields))
    ]
    return Span(min(found), found[0], max(found))
