"""`set-points`: switches of one quantity against each other, their differentials, what `trips` says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ambient import notes_of
from wirecheck.checks.finding import Finding
from wirecheck.checks.ratings.marks import Mark, findings
from wirecheck.checks.saturation import near_names, refrigerant
from wirecheck.checks.switches import Switch, acted_before, effects, is_own
from wirecheck.engine.answers import OFF, WORKING
from wirecheck.quantity import PSI, show, unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.elements import Input
    from wirecheck.circuit.graph import Circuit

NAME = "set-points"
# A control's moving point over the cut-out's, gauge, from which it is a note. Common practice, no source.
MARGIN = 0.80
# Differentials that are small. Head pressure, above 100 psig: 60 to 125 psi is usual (common practice, no
# source); other pressures 5 psi, temperatures 1 K: project rules.
HEAD_PRESSURE, HEAD_DIFFERENTIAL, LOW_DIFFERENTIAL = 100 * PSI, 60 * PSI, 5 * PSI
KELVINS = 1.0


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each switch with set points, and for each protection whose contact belies it."""
    found = list(findings(pair, marks(pair), NAME))
    yield from found
    if not found:
        yield Finding(NAME, "unit", "pass", "no switch has set points")


def marks(pair: Pair) -> Iterator[Mark]:
    """What is to be said of each switch after the change."""
    after = pair.changed.after
    yield from unknown_refrigerant(after)
    for i in after.inputs.values():
        external = after.devices[i.device].external
        if i.listed and i.set_points is not None:
            yield from of_switch(Switch(pair, i, i.set_points), control=i.tripped is None and not external)
        if i.listed and i.tripped is not None and not external:
            yield from sides(pair, i)


def unknown_refrigerant(circuit: Circuit) -> Iterator[Mark]:
    """A note where the refrigerant is in no table; temperatures are then left out."""
    name = circuit.refrigerant
    pressures = any(unit(q.unit).kind == "pressure" for q in circuit.quantities.values())
    if name is not None and pressures and refrigerant(name) is None:
        near = near_names(name)
        meant = f" Meant {' or '.join(near)}?" if near else ""
        says = f"refrigerant: no saturation table for {name}; pressures stand without temperatures.{meant}"
        yield Mark("unit", "note", says, fields=("unit.refrigerant",))


def of_switch(s: Switch, control: bool) -> Iterator[Mark]:
    """A switch in words; a control against the protections of its quantity; the ambient."""
    name = s.input.name
    guards = s.protections() if control else []
    small = gap_words(s)
    acts = control and bool(guards or small) and s.starts_or_stops()
    if acts:
        yield from (m for p in guards for m in against(s, p))
    if small and (acts or s.points.high <= s.points.low):
        yield Mark(name, "note", f"{s.words}: {small}")
    yield Mark(name, "pass", s.words)
    yield from (Mark(name, "note", says) for says in notes_of(s))


def against(s: Switch, p: Switch) -> Iterator[Mark]:
    """Fails where a control cannot move before a protection trips; a note where the margin is small."""
    above = p.trips == "above"
    mine, trip = (s.points.high, p.points.high) if above else (s.points.low, p.points.low)
    says = f"{s.words}; {p.input.name} trips {p.trips} {show(trip, p.unit)}{p.saturated(trip)}"
    if mine >= trip if above else mine <= trip:
        says = f"{says}: it cannot move before {p.input.name} trips"
        if s.own or p.own or not acted_before(s.pair, s.input.name):
            yield Mark(s.input.name, "fail", says)
        else:
            yield Mark(s.input.name, "note", f"{says}, as before the change")
    else:
        inner, outer = (mine, trip) if above else (trip, mine)
        if s.kind == "pressure" and inner > MARGIN * outer > 0:
            share = f"{100 * inner / outer:.0f} %; up to {100 * MARGIN:.0f} % is usual"
            yield Mark(s.input.name, "note", f"{says}: little margin ({share}: common practice, no source)")
        elif s.kind == "temperature" and outer - inner < KELVINS:
            yield Mark(s.input.name, "note", f"{says}: little margin ({outer - inner:.2g} K)")


def gap_words(s: Switch) -> str:
    """What is small about the differential; "" where nothing is."""
    gap = s.points.high - s.points.low
    if gap <= 0:
        return "no differential: it chatters at its set point"
    least = {"pressure": LOW_DIFFERENTIAL, "temperature": KELVINS}.get(s.kind, 0.0)
    source = "project rule"
    if s.kind == "pressure" and s.points.high > HEAD_PRESSURE:
        least, source = HEAD_DIFFERENTIAL, "common practice, no source"
    if gap >= least:
        return ""
    scale = unit(s.unit).factor
    usual = f"{abs(least / scale):.3g} {s.unit} or more is usual ({source})"
    return f"a differential of {abs(gap / scale):.3g} {s.unit} may short-cycle; {usual}"


def sides(pair: Pair, p: Input) -> Iterator[Mark]:
    """Fails where a protection's tripped position lets loads work and stops none."""
    starts = False
    for moved, here, there in effects(pair, p.name):
        tripped, untripped = (here, there) if moved == p.tripped else (there, here)
        if tripped == OFF and untripped in WORKING:
            return
        starts = starts or (tripped in WORKING and untripped == OFF)
    if starts:
        side = p.word(bool(p.tripped))
        says = f"is marked as a protection, yet {side}, its tripped position, lets loads run and stops none"
        says = f"{says}: `trips` or its contact is the wrong way round"
        yield Mark(p.name, "fail" if is_own(pair, p) else "note", says)
