"""Conductors: insulation against volts and heat; against current (a note, but where it would be destroyed)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck import quantity
from wirecheck.checks.ratings.carried import Carried
from wirecheck.checks.ratings.marks import Limit, Mark, Watch, amount, exceeds
from wirecheck.checks.ratings.moments import exactly
from wirecheck.checks.tables import conductors

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.checks.ratings.carried import Survey
    from wirecheck.checks.ratings.moments import Look, Moment
    from wirecheck.checks.ratings.volts import Standing
    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Circuit

# NEC 430.22 and 440.32: 125 % of the largest motor's current (reprints; edition to be confirmed).
LARGEST_MOTOR = 1.25
# Heat goes as current squared: at the 90 degC column a conductor rises 60 K above 30 degC, at twice that
# current 240 K, and no insulation of such equipment stands it. Project rule, computed.
DESTROYS = 2.0
# Finer than 18 AWG the code has no row: amperes as the 1.5th power of the diameter (heat as I²/d², surface as
# d), from 14 A at 18 AWG. Computed.
ROW_AMPS, ROW_GAUGE, AREA_POWER = 14.0, "18 AWG", 0.75


def marks(
    pair: Pair, seen: list[Moment], now: Survey, was: Survey, standing: Standing
) -> Iterator[Mark]:
    """What is to be said of each conductor after the change."""
    yield from insulation(pair, seen, standing)
    yield from heat(pair)
    for wire in pair.changed.after.conductors.values():
        if wire.gauge is not None:
            yield from current(pair, wire, seen, now, was)
    yield from overcurrent(pair, seen, now)
    yield from not_given(pair, seen, now)


def is_brought(pair: Pair, wire: Conductor) -> bool:
    """Is this conductor run by the change?"""
    return of_unit(pair, wire) is None


def of_unit(pair: Pair, wire: Conductor) -> Conductor | None:
    """The conductor of the unit that this one is; one that the change cuts in two goes on as ID.a and ID.b."""
    before, (stem, _, half) = pair.changed.before.conductors, wire.id.rpartition(".")
    return before.get(wire.id) or (before.get(stem) if half in ("a", "b") else None)


def insulation(pair: Pair, seen: list[Moment], standing: Standing) -> Iterator[Mark]:
    """Insulation volts at least the highest in the same space (project rule): its own, or along its route."""
    watches = {
        w.id: Watch(
            w.id, "stands at", Limit(w.insulation_volts, "V", f"{w.id}.insulation.volts"), is_brought(pair, w)
        )
        for w in pair.changed.after.conductors.values()
        if w.insulation_volts is not None
    }
    kept: dict[tuple[int, bool], dict[str, tuple[float, str]]] = {}
    for moment in seen:
        after = spaces(moment.now, standing, kept, True)
        befores = [spaces(w, standing, kept, False) for w in moment.was]
        for i, watch in watches.items():
            volts, beside = after[i]
            before = max((b[i][0] for b in befores if i in b), default=None)
            watch.see(moment.case, exactly(volts), before, f" beside {beside} on its route" if beside else "")
    for watch in watches.values():
        yield from watch.mark()


def spaces(
    look: Look, standing: Standing, kept: dict[tuple[int, bool], dict[str, tuple[float, str]]], after: bool
) -> dict[str, tuple[float, str]]:
    """Conductor -> (highest volts in its space, the conductor beside it that has them)."""
    key = (look.key, after)
    if key not in kept:
        wires = look.plain.circuit.conductors
        own = {i: standing.circuit(look.view, w.a) for i, w in wires.items()}
        highest: dict[str, str] = {}
        for i, w in wires.items():
            if w.route and own[i] > own[highest.setdefault(w.route, i)]:
                highest[w.route] = i
        kept[key] = {}
        for i, w in wires.items():
            top = highest[w.route] if w.route else i
            kept[key][i] = (own[top], top) if own[top] > own[i] + 1.0 else (own[i], "")
    return kept[key]


def heat(pair: Pair) -> Iterator[Mark]:
    """Heat class at least that of the conductor that is extended. Project rule."""
    for new, old in extended(pair):
        if old.insulation_degc is None:
            continue
        field = f"{new.id}.insulation.degC"
        if new.insulation_degc is None:
            says = f"goes on from {old.id} ({old.insulation_degc:g} degC); its own heat class is not given ({field})"
            yield Mark(new.id, "note", says, fields=(field,))
        elif new.insulation_degc < old.insulation_degc:
            says = (
                f"is for {new.insulation_degc:g} degC ({field}) and goes on from {old.id}, which is for "
                f"{old.insulation_degc:g} degC ({old.id}.insulation.degC): heat class below (project rule)"
            )
            yield Mark(new.id, "fail", says)
        else:
            yield Mark(new.id, "pass", f"is for {new.insulation_degc:g} degC ({field}), as {old.id} needs")


def extended(pair: Pair) -> Iterator[tuple[Conductor, Conductor]]:
    """(conductor of the change, conductor of the unit that it goes on from), by a splice or a left terminal."""
    before, after = pair.changed.before, pair.changed.after
    joints = after.splices - before.splices
    left: dict[str, list[Conductor]] = {}
    for now in after.conductors.values():
        old = of_unit(pair, now)
        if old is not None:
            gone = {old.a, old.b} - {now.a, now.b} if old.id == now.id else set()
            for end in sorted(gone | ({now.a, now.b} & joints)):
                left.setdefault(end, []).append(now)
    for new in after.conductors.values():
        if is_brought(pair, new):
            for old in {w.id: w for end in (new.a, new.b) for w in left.get(end, ())}.values():
                yield new, old


def current(pair: Pair, wire: Conductor, seen: list[Moment], now: Survey, was: Survey) -> Iterator[Mark]:
    """Running amps against the code's (a note), and against what would destroy the conductor."""
    assert wire.gauge is not None
    table, own = conductors(), is_brought(pair, wire)
    size = table.size(wire.gauge)
    column = amps_by_area(wire.gauge) if size is None else size.amps_90c
    field = f"{wire.id}.gauge, {wire.gauge}"
    source = "by diameter from 18 AWG" if size is None else table.source
    most = Limit(DESTROYS * column, "A", field, f"{DESTROYS:g} times {amount(column)} A: {source}")
    code = Limit(column if size is None else size.amps, "A", field, source)
    watch = Watch(wire.id, "carries", most, own)
    advised: tuple[float, str] | None = None
    for moment in seen:
        here = now.carried(moment.now).get(wire.id)
        if here is None or not here.amps:
            continue
        before = max((was.carried(w).get(wire.id, Carried()).running.nominal for w in moment.was), default=None)
        watch.see(moment.case, here.running, before, f" of {', '.join(here.loads)}", here.missing, here.loads)
        need = needed(here, now)
        if (own or exceeds(here.running.nominal, before)) and need > code.amount and need > (advised or (0.0,))[0]:
            advised = need, ", ".join(here.loads)
    yield from watch.mark()
    if advised is not None:
        says = (
            f"is to be sized for {amount(advised[0])} A of {advised[1]} (125 % of the largest motor: NEC 430.22, "
            f"440.32), above {code}; advice inside listed equipment"
        )
        yield Mark(wire.id, "note", says)


def needed(here: Carried, now: Survey) -> float:
    """Running amps with 125 % of the largest motor."""
    from wirecheck.checks.ratings.carried import motors, running_amps

    largest = max((running_amps(m) or 0.0 for m in motors(now.circuit) if m.name in here.loads), default=0.0)
    return here.running.nominal + (LARGEST_MOTOR - 1) * min(largest, here.running.nominal)


def amps_by_area(gauge: str) -> float:
    """Amperes of a conductor finer than the table's."""
    area = quantity.gauge(gauge).area_mm2
    return ROW_AMPS * float((area / quantity.gauge(ROW_GAUGE).area_mm2) ** AREA_POWER)


def overcurrent(pair: Pair, seen: list[Moment], now: Survey) -> Iterator[Mark]:
    """A note where the fuse or breaker ahead of a small conductor of the change is above the code's limit."""
    table, circuit = conductors(), pair.changed.after
    guards = {c.id: c for c in circuit.contacts.values() if guards_wire(circuit, c.device) and c.rating.fla}
    for wire in circuit.conductors.values():
        size = table.size(wire.gauge) if wire.gauge and is_brought(pair, wire) else None
        if size is None or size.overcurrent is None:
            continue
        ahead = [g for m in seen for g in before_it(wire, guards, now.carried(m.now))]
        least = min((guards[g].rating.fla or 0.0 for g in ahead), default=0.0)
        if least > size.overcurrent:
            device = next(guards[g].device for g in ahead if guards[g].rating.fla == least)
            says = (
                f"({wire.gauge}) has {device} of {amount(least)} A ({device}.contact.fla) ahead of it, above "
                f"{amount(size.overcurrent)} A ({table.overcurrent_source}); articles 430 and 440 may allow it"
            )
            yield Mark(wire.id, "note", says)


def guards_wire(circuit: Circuit, tag: str) -> bool:
    device = circuit.devices[tag]
    return device.fuse or device.symbol == "breaker"


def before_it(wire: Conductor, guards: dict[str, object], carried: dict[str, Carried]) -> list[str]:
    """The fuses and breakers that carry all that this conductor carries."""
    mine = carried.get(wire.id)
    if mine is None or not mine.loads:
        return []
    return [g for g in guards if g in carried and set(mine.loads) <= set(carried[g].loads)]


def not_given(pair: Pair, seen: list[Moment], now: Survey) -> Iterator[Mark]:
    """The conductors of the change whose gauge or insulation the file does not state."""
    carrying = {i for m in seen for i, c in now.carried(m.now).items() if c.amps}
    new = [w for w in pair.changed.after.conductors.values() if is_brought(pair, w) and w.id in carrying]
    for what, fields in (
        ("gauge", [f"{w.id}.gauge" for w in new if w.gauge is None]),
        ("insulation volts", [f"{w.id}.insulation.volts" for w in new if w.insulation_volts is None]),
    ):
        if fields:
            yield Mark("conductors", "note", f"of the change: {what} not given ({', '.join(fields)})", fields=tuple(fields))
