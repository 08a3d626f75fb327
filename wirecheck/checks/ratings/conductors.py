"""Conductors against current, and the fuse or breaker ahead of them. The code's amperes are a note."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck import quantity
from wirecheck.checks.ratings.marks import Limit, Mark, Watch, amount
from wirecheck.checks.ratings.rated import motors, running_amps
from wirecheck.checks.tables import conductors

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.checks.ratings.carried import Carried
    from wirecheck.checks.ratings.scene import Scene
    from wirecheck.checks.tables import Size
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


def marks(scene: Scene) -> Iterator[Mark]:
    """What is to be said of the current in each conductor after the change."""
    for wire in scene.after.conductors.values():
        if wire.gauge is not None:
            yield from current(scene, wire, wire.gauge)
    yield from overcurrent(scene)


def current(scene: Scene, wire: Conductor, gauge: str) -> Iterator[Mark]:
    """Running amps against what would destroy the conductor; a note where it is above the code's."""
    table, old = conductors(), scene.of_unit(wire)
    size = table.size(gauge)
    column = amps_by_area(gauge) if size is None else size.amps_90c
    source = "by its diameter, from 14 A at 18 AWG" if size is None else table.source
    field = f"{wire.id}.gauge, {gauge}"
    most = Limit(DESTROYS * column, "A", field, f"{DESTROYS:g} times {amount(column)} A: {source}")
    code = Limit(column if size is None else size.amps, "A", field, source)
    was = max((b.running.nominal for b in scene.carried_before(old.id)), default=None) if old else None
    heats, reads = Watch(wire.id, most, old is None, was), Watch(wire.id, code, old is None, was)
    needs, whose = 0.0, ""
    for moment in scene.seen:
        here = scene.now.carried(moment.now).get(wire.id)
        if here is not None and here.amps:
            says = f"carries {{}}{here.of}"
            scene.now.note(moment.now, wire.id, "running", running, most.amount)
            for watch in (heats, reads):
                watch.see(moment.case, here.running, says, here.missing, here.loads)
            needs, whose = max((needs, whose), (needed(here, scene), ", ".join(here.loads)))
    if heats.over:
        yield from heats.mark()
    elif reads.more and needs > code.amount:
        says = f"should carry {amount(needs)} A for {whose}, 125 % of the largest motor (NEC 430.22, 440.32)"
        yield Mark(wire.id, "note", f"{says}, above {code}; advice inside listed equipment")
    elif reads.more:
        yield from reads.mark()


def running(here: Carried) -> float:
    """Running amps."""
    return here.running.nominal


def needed(here: Carried, scene: Scene) -> float:
    """Running amps with 125 % of the largest motor."""
    of = [running_amps(m) or 0.0 for m in motors(scene.after) if m.name in here.loads]
    return here.running.nominal + (LARGEST_MOTOR - 1) * min(max(of, default=0.0), here.running.nominal)


def amps_by_area(gauge: str) -> float:
    """Amperes of a conductor finer than the table's."""
    area = quantity.gauge(gauge).area_mm2
    return ROW_AMPS * float((area / quantity.gauge(ROW_GAUGE).area_mm2) ** AREA_POWER)


def overcurrent(scene: Scene) -> Iterator[Mark]:
    """A note where the fuse or breaker ahead of a small conductor of the change is above the code's limit."""
    table = conductors()
    guards = guards_of(scene.after)
    for wire in scene.after.conductors.values():
        if wire.gauge is None or scene.of_unit(wire) is not None:
            continue
        size = table.size(wire.gauge)
        ahead = [g for look in scene.new for g in before_it(wire, guards, scene.now.carried(look))]
        if size is not None and size.overcurrent is not None and ahead:
            yield from too_large(wire, size, min(ahead, key=lambda g: guards[g][1]), guards)


def guards_of(circuit: Circuit) -> dict[str, tuple[str, float]]:
    """Contact of a fuse or breaker whose amps are given -> (device, amps)."""
    return {
        c.id: (c.device, c.rating.fla)
        for c in circuit.contacts.values()
        if c.rating.fla is not None
        and (circuit.devices[c.device].fuse or circuit.devices[c.device].symbol == "breaker")
    }


def before_it(wire: Conductor, guards: Iterable[str], carried: dict[str, Carried]) -> list[str]:
    """The fuses and breakers that carry all that this conductor carries."""
    mine = carried.get(wire.id)
    if mine is None or not mine.loads:
        return []
    return [g for g in guards if g in carried and set(mine.loads) <= set(carried[g].loads)]


def too_large(
    wire: Conductor, size: Size, guard: str, guards: dict[str, tuple[str, float]]
) -> Iterator[Mark]:
    """The note, where the least fuse or breaker ahead is still above the limit."""
    device, amps = guards[guard]
    if size.overcurrent is not None and amps > size.overcurrent:
        says = (
            f"has {device} of {amount(amps)} A ahead of it ({device}.contact.fla), above "
            f"{amount(size.overcurrent)} A for {wire.gauge} ({conductors().overcurrent_source}); "
            "articles 430 and 440 may allow it"
        )
        yield Mark(wire.id, "note", says)
