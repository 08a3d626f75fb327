"""Single faults of a unit: one conductor, contact, winding, coil, capacitor or fuse that is not right."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct, field
from msgspec.structs import replace

from wirecheck.circuit.elements import (
    ByCoil,
    ByPosition,
    Capacitor,
    Coil,
    Conductor,
    Contact,
    Link,
    Motor,
    Resistor,
    Transformer,
    Winding,
)
from wirecheck.circuit.nets import wired
from wirecheck.engine.plain.route import describe
from wirecheck.questions.mistakes.looks import ANY
from wirecheck.questions.mistakes.mistake import Put, made
from wirecheck.questions.mistakes.places import used

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wirecheck.circuit.elements import Element, Impedance, Mover
    from wirecheck.circuit.graph import Circuit

Kind = Literal[
    "open conductor",
    "contact that stays open",
    "contact that stays closed",
    "stuck",
    "open winding",
    "open coil",
    "open element",
    "open capacitor",
    "shorted part",
    "blown fuse",
    "open transformer",
]


class Fault(Struct, frozen=True):
    """One part that is not as it should be, and the unit with it.

    part: the conductor or element. shows: relay -> how its armature looks, where its coil does not tell.
    """

    id: str
    kind: Kind
    part: str
    words: str
    circuit: Circuit
    shows: Mapping[str, frozenset[str]] = field(default_factory=dict)


def faults(right: Circuit) -> tuple[Fault, ...]:
    """Every single fault, in the order of the file: conductors, contacts, relays, loads, sources."""
    return (
        *open_conductors(right),
        *contacts(right),
        *stuck(right),
        *open_parts(right),
        *shorted_parts(right),
        *open_transformers(right),
    )


def open_conductors(right: Circuit) -> Iterator[Fault]:
    """Each conductor broken, or off at one of its ends."""
    for wire in right.conductors.values():
        words = f"{describe(wire)} open, between {wire.a} and {wire.b}"
        circuit = made(right, Put(gone=frozenset({wire.id})))
        yield Fault(f"open {wire.id}", "open conductor", wire.id, words, circuit)


# --- contacts -----------------------------------------------------------------------------------------


def opened(contact: Contact) -> Contact:
    """A contact that joins nothing: both its sides are one end."""
    return replace(contact, b=contact.a)


def closed(contact: Contact) -> Link:
    """A contact that always joins."""
    return Link(contact.id, contact.device, contact.a, contact.b)


def frozen(right: Circuit, put: Mapping[str, Element]) -> Put:
    """Contacts put in one position for good; the relays of those that are none any more lose them."""
    links = {i for i, e in put.items() if isinstance(e, Link)}
    relays = {
        n: replace(r, contacts=tuple(i for i in r.contacts if i not in links))
        for n, r in right.relays.items()
        if links & set(r.contacts)
    }
    return Put(elements=put, relays=relays)


def contacts(right: Circuit) -> Iterator[Fault]:
    """Each contact that switches something: it does not close, or does not open."""
    live = wired(right.conductors.values(), right.elements, right.poles.values())
    for c in right.contacts.values():
        if c.id in live and not right.by_motor(c):
            words, blown = does_not_close(right, c), right.devices[c.device].fuse
            circuit = made(right, frozen(right, {c.id: opened(c)}))
            kind: Kind = "blown fuse" if blown else "contact that stays open"
            yield Fault(f"{c.id} stays open", kind, c.id, words, circuit, _uncertain(right, c))
            if not blown:
                circuit = made(right, frozen(right, {c.id: closed(c)}))
                words = does_not_open(right, c)
                shows = _uncertain(right, c)
                yield Fault(f"{c.id} stays closed", "contact that stays closed", c.id, words, circuit, shows)


def _uncertain(right: Circuit, contact: Contact) -> dict[str, frozenset[str]]:
    """A relay one of whose contacts sticks may look either way."""
    return {r.name: ANY for r in right.relays.values() if contact.id in r.contacts}


def named(right: Circuit, contact: Contact) -> str:
    """A contact as a technician calls it: its switch, or its relay, with the two terminals."""
    name = mover_name(right, contact.mover)
    ends = [t.rpartition(".")[2] for t in (contact.a, contact.b)]
    inner = any(e.startswith("(") for e in ends)
    return name if inner or not name else f"{name} ({ends[0]} to {ends[1]})"


def mover_name(right: Circuit, mover: Mover) -> str:
    """The switch or the relay that moves a contact."""
    if isinstance(mover, ByPosition):
        return mover.input
    return next((r.name for r in right.relays.values() if r.coil == mover.coil), mover.coil)


def does_not_close(right: Circuit, contact: Contact) -> str:
    """A contact that stays open, in words."""
    name = named(right, contact)
    if right.devices[contact.device].fuse:
        return f"{contact.device} has blown"
    if isinstance(contact.mover, ByPosition):
        switch = right.inputs[contact.mover.input]
        if switch.opened_only_by_name:
            return f"{name}, the inner overload, is open"
        if switch.tripped is not None:
            return f"{name} is open: tripped, or its contact does not close"
    return f"{name}: the contact does not close"


def does_not_open(right: Circuit, contact: Contact) -> str:
    """A contact that stays closed, in words."""
    why = "has welded" if isinstance(contact.mover, ByCoil) else "does not open"
    return f"{named(right, contact)}: the contact {why}"


def stuck(right: Circuit) -> Iterator[Fault]:
    """Each relay, and each switch of several contacts, that stays in one position."""
    for relay in right.relays.values():
        for position, words in ((True, "stays in, whatever its coil does"), (False, "does not pull in")):
            put = _at([right.contacts[i] for i in relay.contacts], position)
            if put:
                text = f"{relay.name} {words}"
                shows = {relay.name: frozenset({"in" if position else "out"})}
                yield Fault(text, "stuck", relay.name, text, made(right, frozen(right, put)), shows)
    for name, switch in right.inputs.items():
        own = [c for c in right.contacts.values() if c.mover == ByPosition(name)]
        for moved in (False, True) if len(own) > 1 and not switch.by_motor else ():
            put = _at(own, moved)
            text = f"{name} stays {switch.word(moved)}, whatever moves it"
            yield Fault(text, "stuck", name, text, made(right, frozen(right, put)))


def _at(own: list[Contact], moved: bool) -> dict[str, Element]:
    return {c.id: closed(c) if c.rests_closed != moved else opened(c) for c in own}


# --- loads and sources --------------------------------------------------------------------------------


def open_parts(right: Circuit) -> Iterator[Fault]:
    """Each winding, coil, heating element and capacitor that is open."""
    for z in parts(right):
        match z:
            case Winding():
                yield open_winding(right, z)
            case Coil():
                yield _open(right, z, "open coil", f"the coil of {_of(right, z)} is open")
            case Resistor():
                yield _open(right, z, "open element", f"{_of(right, z)} is open: it conducts no more")
            case Capacitor():
                yield _open(right, z, "open capacitor", f"{_of(right, z)} is open: it has failed")


def parts(right: Circuit) -> list[Impedance]:
    """The impedances both of whose terminals are wired, or lie inside a device."""
    there = used(right)
    own = {t for d in right.devices.values() for t in d.terminals}
    kinds = (Winding, Coil, Resistor, Capacitor)
    return [
        e
        for e in right.elements.values()
        if isinstance(e, kinds) and all(t in there or t not in own for t in (e.a, e.b))
    ]


def _of(right: Circuit, z: Impedance) -> str:
    """A load's or relay's name where it is all of it, else the element's."""
    for name, thing in (*right.relays.items(), *right.loads.items()):
        if z.id in (getattr(thing, "coil", None), getattr(thing, "element", None)):
            return name
    return z.device if len(right.devices[z.device].elements) == 1 else z.id


def _open(right: Circuit, z: Impedance, kind: Kind, words: str) -> Fault:
    put = Put(elements={z.id: replace(z, b=z.a)})
    return Fault(f"{z.id} open", kind, z.id, words, made(right, put))


def open_winding(right: Circuit, w: Winding) -> Fault:
    """A broken winding. A three-phase motor is judged at the inner side of the break: two lines are left."""
    text = f"the winding {w.id} is open"
    motor = next((m for m in right.loads.values() if isinstance(m, Motor) and w.id in m.main), None)
    if motor is None or motor.kind != "3ph":
        return _open(right, w, "open winding", text)
    outer = w.a if w.a in motor.terminals else w.b
    broken = f"{w.id}:(broken)"
    winding = replace(w, a=broken) if outer == w.a else replace(w, b=broken)
    ends = tuple(broken if t == outer else t for t in motor.terminals)
    put = Put(elements={w.id: winding}, loads={motor.name: replace(motor, terminals=ends)})
    circuit = made(right, put)
    circuit = replace(circuit, terminals=(*circuit.terminals, broken))
    return Fault(f"{w.id} open", "open winding", w.id, text, circuit)


def shorted_parts(right: Circuit) -> Iterator[Fault]:
    """Each coil, heating element and capacitor that is shorted; a fuse in the way of the short has blown."""
    for z in parts(right):
        if isinstance(z, Winding) or not {z.a, z.b} <= set(right.terminals):
            continue
        jumper = Conductor(f"short in {z.id}", z.a, z.b)
        circuit = made(right, Put(more=(jumper,)))
        what = f"the coil of {_of(right, z)}" if isinstance(z, Coil) else _of(right, z)
        words, fuse = f"{what} is shorted", _fuse_in_the_way(circuit)
        if fuse is not None:
            words += f", and {fuse.device} blown by it"
            circuit = made(right, replace(frozen(right, {fuse.id: opened(fuse)}), more=(jumper,)))
        yield Fault(f"{z.id} shorted", "shorted part", z.id, words, circuit)


def _fuse_in_the_way(circuit: Circuit) -> Contact | None:
    """The fuse through which a short of the unit flows in the first state that has one."""
    from wirecheck.checks.source import Source
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.question import Shorted
    from wirecheck.engine.world import World

    source = Source(World(replace(circuit, expects=())), Plain(circuit), None)
    joint = next(iter(source.where(Shorted("after"))), None)
    if joint is None or joint.after.short is None:
        return None
    way = set(joint.after.short.path)
    fuses = (c for c in circuit.contacts.values() if circuit.devices[c.device].fuse)
    return next((c for c in fuses if {c.a, c.b} <= way), None)


def open_transformers(right: Circuit) -> Iterator[Fault]:
    """Each winding of a transformer that is wired, open."""
    there = used(right)
    for x in right.elements.values():
        if not isinstance(x, Transformer):
            continue
        for k, (a, b, turns) in enumerate(x.windings):
            if {a, b} <= there:
                side = "secondary" if k == len(x.windings) - 1 else "primary"
                broken = f"{x.id}:(broken)"
                windings = tuple((broken, b, turns) if j == k else w for j, w in enumerate(x.windings))
                circuit = made(right, Put(elements={x.id: replace(x, windings=windings)}))
                circuit = replace(circuit, terminals=(*circuit.terminals, broken))
                words = f"the {side} winding of {x.device} ({a} to {b}) is open"
                yield Fault(f"{x.id} {side} open", "open transformer", x.id, words, circuit)
