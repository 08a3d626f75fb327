"""Capacitors: the value that a motor needs at its auxiliary, and the volts that stand across each."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

from wirecheck.checks.fuses import open_fuses
from wirecheck.checks.ratings.carried import outer_nodes
from wirecheck.checks.ratings.marks import Limit, Mark, Watch
from wirecheck.checks.ratings.moments import NOTHING, Span
from wirecheck.checks.ratings.rated import motors, spread
from wirecheck.circuit.elements import Capacitor, Estimate, Motor
from wirecheck.engine import figures
from wirecheck.engine.estimates import ends_of
from wirecheck.engine.figures import SLACK
from wirecheck.engine.solve import figures_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.ratings.moments import Look, Moment
    from wirecheck.checks.ratings.scene import Scene
    from wirecheck.engine.solver import View

# A run capacitor is replaced by one of the same value; labels allow 5 or 6 %. Common practice, no source.
TOLERANCE = 0.06
MICRO = 1e6
SAME = 1e-9  # farads


def marks(scene: Scene) -> Iterator[Mark]:
    """What is to be said of motors' capacitors, and of the volts across every capacitor."""
    for m in motors(scene.after):
        if m.kind == "psc":
            yield from value_of(scene, m)
    for z in scene.after.elements.values():
        if isinstance(z, Capacitor):
            yield from volts_of(scene, z)


class Bank(NamedTuple):
    """The run capacitors at a motor's auxiliary: farads as one, and their element ids."""

    farads: Span
    ids: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.farads.nominal * MICRO:.3g} uF" if self.ids else "no capacitor"


def value_of(scene: Scene, m: Motor) -> Iterator[Mark]:
    """Run capacitors at the auxiliary against `needs`, in every state in which the motor is fed."""
    before = values_before(scene, m)
    said: dict[str, Mark] = {}
    for moment in scene.seen:
        if open_fuses(scene.pair, moment.case) or not is_fed(moment.now, m):
            continue
        here = at_aux(moment.now, m)
        own = any(scene.brought(d) for d in (m.device, *(scene.after.elements[i].device for i in here.ids)))
        fresh = own or not any(abs(here.farads.nominal - b.farads.nominal) < SAME for b in before)
        if m.needs is None:
            mark = unknown_needs(m, here) if fresh else None
        else:
            mark = judged(m, m.needs, here, fresh, moment)
        if mark is not None:
            said.setdefault(mark.verdict, mark)
    yield from [said[v] for v in ("fail", "note", "pass") if v in said][:1]


def values_before(scene: Scene, m: Motor) -> list[Bank]:
    """What stood at the auxiliary of the same motor in the unit before, wherever it was fed."""
    old = scene.before.loads.get(scene.pair.old_name.get(m.name, ""))
    if not isinstance(old, Motor) or old.kind != "psc":
        return []
    return [at_aux(look, old) for look in scene.old if is_fed(look, old)]


def unknown_needs(m: Motor, here: Bank) -> Mark:
    """A note of what it has, where the file does not say what it needs."""
    field = f"{m.name}.needs"
    return Mark(
        m.name,
        "note",
        f"has {here} at its auxiliary; what it needs is not given ({field})",
        fields=(field,),
    )


def judged(m: Motor, needs: float, here: Bank, fresh: bool, moment: Moment) -> Mark | None:
    """The value of one state against what is needed; None where it is right and as before."""
    wants = f"{needs * MICRO:g} uF ({m.name}.needs, as marked)"
    low, high = needs * (1 - TOLERANCE), needs * (1 + TOLERANCE)
    if here.farads.low > high or here.farads.high < low:
        says = f"has {here} at its auxiliary and needs {wants}"
        if fresh:
            return Mark(m.name, "fail", says, moment.case, loads=(m.name,))
        return Mark(m.name, "note", f"{says}, as before the change")
    if not fresh:
        return None
    if here.farads.low < low or here.farads.high > high:
        figures = (getattr(moment.now.plain.impedances[i], "farads", None) for i in here.ids)
        fields = tuple(f.field for f in figures if isinstance(f, Estimate))
        says = f"needs {wants}; the value of its capacitor is not given ({', '.join(fields)})"
        return Mark(m.name, "note", says, fields=fields)
    return Mark(m.name, "pass", f"has {here} at its auxiliary and needs {wants}")


def is_fed(look: Look, m: Motor) -> bool:
    """Does a main winding have volts?"""
    return any(abs(look.view.across(w, look.plain.scenario)) > figures.LIVE_VOLTS for w in m.main)


def at_aux(look: Look, m: Motor) -> Bank:
    """The run capacitors at the outer end of the auxiliary that carry current, and those in line, as one.

    An auxiliary that lies on the line itself has none, whatever else hangs there.
    """
    view = look.view
    outer = outer_nodes(view, m, m.aux) - set(view.network.fixed) if m.aux else set()
    flows = {i: z for i, z in look.plain.impedances.items() if abs(view.amps(i, look.plain.scenario)) > SLACK}
    ends = {i: view.network.ends[i] for i in flows}
    run = {i: spread(z.farads) for i, z in flows.items() if isinstance(z, Capacitor) and not z.starts}
    inner = {n for i in run for n in ends[i]} - set(view.network.fixed) - outer
    inner -= {n for i in flows if i not in run for n in ends[i]}
    ids = reached(outer, inner, {i: ends[i] for i in run})
    edges = [(*ends[i], run[i]) for i in ids]
    low, nominal, high = (together([(a, b, c[k]) for a, b, c in edges], outer, inner) for k in range(3))
    return Bank(Span(low, nominal, high), tuple(ids))


def reached(outer: set[int], inner: set[int], ends: dict[str, tuple[int, int]]) -> list[str]:
    """The capacitors that hang on the outer end, straight or over nodes that only capacitors hang on."""
    found: dict[str, None] = {}
    queue, seen = list(outer), set(outer)
    for at in queue:
        for i, (a, b) in ends.items():
            if at in (a, b) and not {a, b} <= outer:
                found[i] = None
                queue += [n for n in (a, b) if n in inner and n not in seen]
                seen |= {a, b}
    return list(found)


def together(edges: list[tuple[int, int, float]], outer: set[int], inner: set[int]) -> float:
    """Farads between the outer end and all else: series and parallel, node by node (star to mesh).

    Any circuits textbook: capacitances of a star between its arms, as conductances.
    """
    left = list(edges)
    for n in inner:
        arms = [(b if a == n else a, c) for a, b, c in left if n in (a, b) and a != b]
        left = [e for e in left if n not in e[:2]]
        total = sum(c for _, c in arms)
        left += [(x, y, c * d / total) for (x, c), (y, d) in combinations(arms, 2) if total]
    return sum(c for a, b, c in left if (a in outer) != (b in outer))


def volts_of(scene: Scene, z: Capacitor) -> Iterator[Mark]:
    """The volts across a capacitor at standstill. Running they are more; by how much no file says."""
    field, own = f"{z.device}.volts", scene.brought(z.device)
    if z.volts is None:
        if own and any(volts_in(look.view, z).nominal > figures.LIVE_VOLTS for look in scene.new):
            yield Mark(z.device, "note", f"has no rated volts given ({field})", fields=(field,))
        return
    known = z.id in scene.before.elements
    was = max((volts_in(look.view, z).nominal for look in scene.old), default=0.0) if known else None
    watch = Watch(z.device, Limit(z.volts, "V", field), own, was)
    for m in scene.seen:
        fields = estimates(m.now.view, z)
        watch.see(m.case, volts_in(m.now.view, z), "has {} across it at standstill", fields)
    yield from watch.mark()


def estimates(view: View, z: Capacitor) -> tuple[str, ...]:
    """The fields of the estimates that the volts across it may rest on."""
    part = view.network.part_of.get(z.id)
    if part is None:
        return ()
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
