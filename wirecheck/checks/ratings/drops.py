"""Volts lost along conductors whose length and gauge are given: will the coil still pull in?

The engine's conductors have no impedance; this is reckoned beside it, ΔV = Σ R I over the conductors that
carry the load's current (any circuits textbook; facts.md W3).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from wirecheck import quantity
from wirecheck.checks.ratings.carried import NONE, moving
from wirecheck.checks.ratings.marks import Mark, amount, exceeds
from wirecheck.checks.ratings.rated import inrush_of, spread
from wirecheck.circuit.elements import Coil, Motor
from wirecheck.engine import figures
from wirecheck.engine.estimates import value
from wirecheck.engine.solve import inductive

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.ratings.carried import Survey
    from wirecheck.checks.ratings.moments import Look
    from wirecheck.checks.ratings.rated import Scenario
    from wirecheck.checks.ratings.scene import Scene
    from wirecheck.circuit.elements import Conductor, Load

# Annealed copper at 20 degC, ohm metres, and its rise (IEC 60028, from memory; facts.md 2.1).
COPPER, RISE, WARM = 1.7241e-8, 0.00393, 75.0 - 20.0
# NEC 210.19 informational note, from memory: 3 % on a branch circuit. A note.
LINE_DROP = 0.03


class Lost(NamedTuple):
    """What a coil gets at inrush, V: drop and volts in phase (the worst), and at the coil's own angle."""

    worst: float
    best: float
    over: tuple[str, ...]  # the conductors


def marks(scene: Scene) -> Iterator[Mark]:
    """What is to be said of coils at the end of their conductors, and of loads on the line."""
    named = {r.name: scene.after.elements[r.coil] for r in scene.after.relays.values()}
    for name, load in scene.after.loads.items():
        element = None if isinstance(load, Motor) else scene.after.elements[load.element]
        if isinstance(element, Coil):
            named[name] = element
        else:
            yield from of_load(scene, name)
    for name, element in named.items():
        if isinstance(element, Coil):
            yield from of_coil(scene, name, element)


def ohms(wire: Conductor, warm: bool) -> float:
    """Resistance of a conductor whose gauge and length are given; else 0."""
    if wire.gauge is None or wire.length_m is None:
        return 0.0
    cold = COPPER * wire.length_m / (quantity.gauge(wire.gauge).area_mm2 * 1e-6)
    return cold * (1 + RISE * WARM) if warm else cold


def of_coil(scene: Scene, name: str, z: Coil) -> Iterator[Mark]:
    """Fails where the coil would not pull in whatever its power factor; a note where it may not."""
    for look in scene.new:
        note(scene, look, z)
    stands = scene.pair.after.scenario
    now = [
        (m.case, lost)
        for m in scene.seen
        for lost in [at_inrush(scene.now, m.now, z, stands)]
        if lost is not None
    ]
    if not now:
        return
    case, least = min(now, key=lambda row: row[1].worst)
    old = scene.before.elements.get(z.id) if not scene.brought(z.device) else None
    was = [at_inrush(scene.was, look, old, stands) for look in scene.old] if isinstance(old, Coil) else []
    before = min((w.worst for w in was if w is not None), default=None)
    rated = value(z.volts, stands)
    if before is None or exceeds(rated - least.worst, rated - before):
        yield from judged(name, z, rated, least, case)


def note(scene: Scene, look: Look, z: Coil) -> None:
    """Note the estimates by which a coil pulls in at the end of its conductors, or does not."""
    wires = feeding(scene.now, look, {z.id})
    others = (i.element for w in wires for i in scene.now.items(look)[w.id])
    parts = moving(look.view, (z.id, *others)) if wires else []

    def stands(scenario: Scenario) -> str:
        lost = at_inrush(scene.now, look, z, scenario)
        pick = spread(z.pick_up).times(value(z.volts, scenario))
        if lost is None or lost.worst >= pick.nominal:
            return "in"
        return "in or not" if lost.best >= pick.low else "not in"

    if parts:
        flows = (round(scene.now.carried(look).get(w.id, NONE).running.nominal, 6) for w in wires)
        look.plain.firm(("drop", z.id, tuple(parts), tuple(flows)), parts, (), stands)


def judged(name: str, z: Coil, rated: float, least: Lost, case: Case) -> Iterator[Mark]:
    """The volts that a coil gets against those at which it pulls in."""
    pick = spread(z.pick_up).times(rated)
    where = f"over {', '.join(least.over)}"
    needs = f"{amount(pick.nominal)} V ({z.id}.pick_up)"
    if least.best < pick.low:
        says = f"gets at most {amount(least.best)} V at inrush {where} and pulls in at {needs}: it will not"
        yield Mark(name, "fail", says, case, loads=(name,))
    elif least.worst < pick.nominal:
        gets = f"gets {amount(least.worst)} to {amount(least.best)} V at inrush {where}"
        says = f"{gets} and may not pull in at {needs}"
        yield Mark(name, "note", says, fields=(f"{z.id}.pick_up", f"{z.id}.inrush"))


def at_inrush(survey: Survey, look: Look, z: Coil, scenario: Scenario) -> Lost | None:
    """The volts of a coil as it pulls in, where it has its volts and conductors of known length."""
    volts, rated = abs(look.view.across(z.id, scenario)), value(z.volts, scenario)
    if volts < figures.ON_LOW * rated - figures.SLACK:
        return None
    extra = (inrush_of(z).nominal - spread(z.va).nominal) / rated
    own = inrush_of(z).nominal / rated
    drop, over = 0.0, []
    for wire in feeding(survey, look, {z.id}):
        amps = survey.at(look, wire.id, scenario).running.nominal + max(0.0, extra)
        drop += ohms(wire, warm=False) * amps
        over.append(wire.id)
    angled = inductive(rated / own, figures.COIL_PF)
    best = volts * abs(angled) / abs(angled + drop / own)
    return Lost(volts - drop, best, tuple(over)) if over else None


def feeding(survey: Survey, look: Look, elements: set[str]) -> list[Conductor]:
    """The conductors of known resistance that carry the current of one of these elements."""
    wires, items = look.plain.circuit.conductors, survey.items(look)
    return [
        w
        for w in wires.values()
        if any(i.element in elements for i in items.get(w.id, ())) and ohms(w, False)
    ]


def of_load(scene: Scene, name: str) -> Iterator[Mark]:
    """A note where a motor or heater loses more than 3 % on the line."""
    load = scene.after.loads[name]
    old = scene.before.loads.get(scene.pair.old_name.get(name, ""))
    now = max((share(scene.now, look, load) for look in scene.new), default=0.0)
    was = max((share(scene.was, look, old) for look in scene.old), default=0.0) if old is not None else None
    if now > LINE_DROP and (scene.brought(load.device) or exceeds(now, was)):
        says = f"loses {100 * now:.1f} % of its volts along its conductors; 3 % is usual"
        yield Mark(name, "note", f"{says} (NEC 210.19 informational note, from memory)")


def share(survey: Survey, look: Look, load: Load) -> float:
    """Volts lost at running amps over the load's own volts. Of three-phase: I R over the volts of a phase."""
    elements = set(load.main) if isinstance(load, Motor) else {load.element}
    volts = max(abs(look.view.across(e, look.plain.scenario)) for e in elements)
    if volts < figures.LIVE_VOLTS:
        return 0.0
    drop = 0.0
    for wire in feeding(survey, look, elements):
        drop += ohms(wire, warm=True) * survey.carried(look).get(wire.id, NONE).running.nominal
    if isinstance(load, Motor) and load.kind == "3ph":
        return drop / 3 / volts
    return drop / volts
