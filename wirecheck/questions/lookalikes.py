"""Which conductor to lift for a load, and what it could be confused with: data for the answer of `lift`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.engine.answers import OFF, TooMany
from wirecheck.questions.leaving import Leaving, leaving
from wirecheck.questions.meter import Impossible
from wirecheck.questions.ohms import ohms

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.lift import Lift, Lifted

# An ohmmeter tells two readings apart where one is open, or the greater is this many times the other and
# this many ohms more: leads and contacts of a hand-held meter are good for some tenths. Project rule.
APART_RATIO, APART_OHMS = 1.5, 1.0
NEAR_MISSES = 4


class Measured(Struct, frozen=True):
    """Power off, one end lifted: ohms from the lifted end to `to`, of the right conductor and of the other.

    None: open.
    """

    to: str
    right: float | None
    other: float | None


class LookAlike(Struct, frozen=True):
    """Another conductor on the same terminal, of the same colour or of one that the file does not give.

    by_eye: what differs and can be seen (gauge, route, label). measured: where nothing does. watched: where
    no ohmmeter tells them apart either: (with the right one off, with the other off, power on).
    """

    wire: Conductor
    far: str
    by_eye: tuple[str, ...]
    measured: Measured | None = None
    watched: tuple[Leaving, Leaving] | None = None


class Choice(Struct, frozen=True):
    """A conductor that lifts cleanly: which end to take off, where the other goes, its look-alikes there.

    leaves: what is live of the load with it off and power on.
    """

    wire: Conductor
    at: str
    far: str
    alike: tuple[LookAlike, ...]
    leaves: Leaving | None = None


class Near(Struct, frozen=True):
    """A conductor that comes near: its row, and how it leaves the unit where the load ran."""

    row: Lifted
    leaves: Leaving | None


class Advice(Struct, frozen=True):
    """best: the one to lift, None where none is clean. also: others that are clean. near: what comes near."""

    best: Choice | None
    also: tuple[Conductor, ...] = ()
    near: tuple[Near, ...] = ()


def advice(circuit: Circuit, found: Lift, plain: bool = False) -> Advice:
    """The conductor to lift: one that ends on the load itself before others, in the order of the file."""
    clean = [circuit.conductors[row.wire] for row in found.conductors if row.clean]
    if not clean:
        near = (Near(row, leaving(circuit, found.load, row, plain)) for row in near_misses(found))
        return Advice(None, (), tuple(near))
    own = load_terminals(circuit, found.load)
    best = min(clean, key=lambda w: not own & {w.a, w.b})
    at, far = (best.b, best.a) if best.a in own and best.b not in own else (best.a, best.b)
    rows = {row.wire: row for row in found.conductors}
    leaves = leaving(circuit, found.load, rows[best.id], plain)
    alike = tuple(told_apart(circuit, found, leaves, a, plain) for a in look_alikes(circuit, best, at, own))
    return Advice(Choice(best, at, far, alike, leaves), tuple(w for w in clean if w is not best))


def told_apart(
    circuit: Circuit, found: Lift, right: Leaving | None, other: LookAlike, plain: bool
) -> LookAlike:
    """Where neither eye nor ohmmeter tells a look-alike apart: what the unit does with each of them off."""
    if other.by_eye or other.measured is not None or right is None:
        return other
    row = next(row for row in found.conductors if row.wire == other.wire.id)
    wrong = leaving(circuit, found.load, row, plain)
    if wrong is None or wrong.inputs != right.inputs or wrong.differs == right.differs:
        return other
    return replace(other, watched=(right, wrong))


def load_terminals(circuit: Circuit, load: str) -> frozenset[str]:
    """The terminals of the device that a load, or a motor's tap, is of."""
    name = load if load in circuit.loads else load.rpartition(".")[0]
    return frozenset(circuit.devices[circuit.loads[name].device].terminals)


def near_misses(found: Lift) -> tuple[Lifted, ...]:
    """Conductors that stop the load, those that disturb least first."""
    stopping = [row for row in found.conductors if row.stops != "never"]

    def harm(row: Lifted) -> tuple[int, bool, bool]:
        return len(row.others) + len(row.relays), row.leaves != (OFF,), row.stops != "always"

    return tuple(sorted(stopping, key=harm)[:NEAR_MISSES])


def look_alikes(circuit: Circuit, wire: Conductor, at: str, own: frozenset[str]) -> Iterator[LookAlike]:
    """Every other conductor at that terminal that the eye could take for it."""
    for other in circuit.conductors.values():
        if other is wire or at not in (other.a, other.b) or not same_colour(wire, other):
            continue
        by_eye = tuple(differing(wire, other))
        measured = None if by_eye else measurement(circuit, wire, other, at, own)
        yield LookAlike(other, other.b if other.a == at else other.a, by_eye, measured)


def same_colour(one: Conductor, other: Conductor) -> bool:
    """Alike in colour, or one of them not given and so perhaps alike."""
    return one.color is None or other.color is None or regular(one.color) == regular(other.color)


def regular(text: str) -> str:
    """For comparing: case, blanks and one spelling made regular."""
    return " ".join(text.casefold().replace("grey", "gray").split())


def differing(one: Conductor, other: Conductor) -> Iterator[str]:
    """What is given of both and differs, so that the eye can tell them apart."""
    for name in ("gauge", "route", "label"):
        mine, theirs = getattr(one, name), getattr(other, name)
        if mine is not None and theirs is not None and regular(mine) != regular(theirs):
            yield name


def lifted_at(circuit: Circuit, wire: Conductor, at: str) -> tuple[Circuit, str]:
    """The circuit with that end of the conductor off its terminal, and the name of the loose end."""
    end = f"{wire.id}:{at}"
    moved = replace(wire, a=end) if wire.a == at else replace(wire, b=end)
    found = replace(
        circuit,
        terminals=(*circuit.terminals, end),
        conductors={**circuit.conductors, wire.id: moved},
        loose=circuit.loose | {end},
    )
    return found, end


def measurement(
    circuit: Circuit, wire: Conductor, other: Conductor, at: str, own: frozenset[str]
) -> Measured | None:
    """The first point to which an ohmmeter tells both apart: in the panel before on the load itself."""
    tried = (measured(circuit, wire, other, at, to) for to in points(circuit, at, own))
    return next((m for m in tried if m is not None), None)


def points(circuit: Circuit, at: str, own: frozenset[str]) -> list[str]:
    """Where the load's other conductors land, then the load's own terminals."""
    wires = [w for w in circuit.conductors.values() if own & {w.a, w.b}]
    far = [t for w in wires for t in (w.a, w.b) if t not in own]
    return [t for t in dict.fromkeys((*far, *(t for t in circuit.terminals if t in own))) if t != at]


def measured(circuit: Circuit, wire: Conductor, other: Conductor, at: str, to: str) -> Measured | None:
    """Both readings to one point, where both are known and differ enough for a meter."""
    readings: list[float | None] = []
    for one in (wire, other):
        unit, end = lifted_at(circuit, one, at)
        try:
            reading = ohms(unit, end, to, isolated(circuit))
        except (Impossible, TooMany):
            return None
        if reading.reads not in ("value", "open"):
            return None
        readings.append(reading.ohms)
    right, wrong = readings
    return Measured(to, right, wrong) if apart(right, wrong) else None


def isolated(circuit: Circuit) -> dict[str, bool]:
    """Every isolating device open, as an ohm reading needs."""
    devices = circuit.devices
    levers = [i for i in circuit.inputs.values() if devices[i.device].isolates and not devices[i.device].fuse]
    return {i.name: i.words[1] == "open" for i in levers if "open" in i.words}


def apart(one: float | None, other: float | None) -> bool:
    """Does a meter tell these two readings from each other? None: open."""
    if one is None or other is None:
        return (one is None) != (other is None)
    low, high = sorted((one, other))
    return high - low >= APART_OHMS and high >= APART_RATIO * low
