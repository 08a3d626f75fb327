"""A wiring mistake as a value, and the circuit with it, every flag of the right circuit made anew."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from wirecheck.circuit.assemble import cuts_of
from wirecheck.circuit.bound import DelayIs, atoms
from wirecheck.circuit.elements import ByCoil, ByPosition, Contact, Delay
from wirecheck.circuit.nets import wired

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.circuit.bound import BoundSentence
    from wirecheck.circuit.elements import Conductor, Element, Input, Load, Relay
    from wirecheck.circuit.graph import Changed, Circuit

Ends = dict[tuple[str, str], str]  # (conductor, its side a or b) -> the node it is put on


class Mistake(Struct, frozen=True):
    """One thing done wrong while the change is made, and the unit as it then is.

    step: the number of the plain step that it belongs to, 0 for what none of them does.
    """

    id: str
    kind: str
    step: int
    words: str
    after: Circuit


class Put(Struct, frozen=True):
    """What a mistake does to the right circuit: ends put elsewhere, other conductors and devices."""

    ends: Ends = field(default_factory=dict)
    loose: tuple[tuple[str, str], ...] = ()  # ends left hanging: conductor, side
    more: tuple[Conductor, ...] = ()
    gone: frozenset[str] = frozenset()
    elements: Mapping[str, Element] = field(default_factory=dict)
    inputs: Mapping[str, Input] = field(default_factory=dict)
    loads: Mapping[str, Load] = field(default_factory=dict)
    relays: Mapping[str, Relay] = field(default_factory=dict)
    expects: tuple[BoundSentence, ...] | None = None


def made(right: Circuit, put: Put) -> Circuit:
    """The right circuit with a mistake in it, what follows from conductors and elements made anew."""
    ends, loose = dict(put.ends), set(right.loose)
    for wire, side in put.loose:
        ends[wire, side] = _hanging(right, wire, side)
        loose.add(ends[wire, side])
    conductors = {i: _moved(w, ends) for i, w in right.conductors.items() if i not in put.gone}
    conductors |= {w.id: w for w in put.more}
    elements = {**right.elements, **put.elements}
    nodes = [n for w in conductors.values() for n in (w.a, w.b)]
    fixed = _fixed(right)
    found = replace(
        right,
        terminals=tuple(dict.fromkeys((*fixed, *nodes))),
        conductors=conductors,
        elements=elements,
        inputs=_listed({**right.inputs, **put.inputs}, conductors.values(), elements, right),
        loads={**right.loads, **put.loads},
        relays={**right.relays, **put.relays},
        splices=frozenset(n for n in nodes if n not in fixed and n not in loose),
        loose=frozenset(n for n in nodes if n in loose),
        capped=frozenset(n for n in nodes if n not in fixed and n not in loose and nodes.count(n) == 1),
        expects=right.expects if put.expects is None else put.expects,
    )
    return replace(found, delays=_delays(found))


def with_mistake(changed: Changed, after: Circuit) -> Changed:
    """The change with this unit after it: what `verify` is asked of a mistake."""
    cuts = cuts_of(changed.before, after)
    return replace(changed, before=replace(changed.before, cuts=cuts), after=replace(after, cuts=cuts))


def _hanging(right: Circuit, wire: str, side: str) -> str:
    node = f"{wire}:{getattr(right.conductors[wire], side)}"
    while node in right.terminals:
        node += "'"
    return node


def _moved(wire: Conductor, ends: Ends) -> Conductor:
    a, b = ends.get((wire.id, "a"), wire.a), ends.get((wire.id, "b"), wire.b)
    return wire if (a, b) == (wire.a, wire.b) else replace(wire, a=a, b=b)


def _fixed(circuit: Circuit) -> dict[str, None]:
    """Poles, terminals and inner points: every node that is there without conductors."""
    wires = {n for w in circuit.conductors.values() for n in (w.a, w.b)}
    bare = circuit.splices | circuit.loose
    of_devices = {t for d in circuit.devices.values() for t in d.terminals}
    held = {*circuit.poles, *of_devices}
    return {t: None for t in circuit.terminals if t in held or (t not in bare and t not in wires)}


def _listed(
    inputs: Mapping[str, Input],
    wires: Iterable[Conductor],
    elements: Mapping[str, Element],
    right: Circuit,
) -> dict[str, Input]:
    """Inputs are listed where one of their contacts has something on both its ends."""
    used = wired(wires, elements, right.poles.values())
    live = {
        e.mover.input
        for e in elements.values()
        if isinstance(e, Contact) and e.id in used and isinstance(e.mover, ByPosition)
    }
    return {n: replace(i, listed=n in live and not i.opened_only_by_name) for n, i in inputs.items()}


def _delays(circuit: Circuit) -> dict[str, Delay]:
    """The delays whose contacts switch something now, and those that a sentence names."""
    used = wired(circuit.conductors.values(), circuit.elements, circuit.poles.values())
    said = [c for s in circuit.expects for c in (s.condition, s.until) if c is not None]
    named = {a.delay for c in said for a in atoms(c) if isinstance(a, DelayIs)}
    found = {n: d for n, d in circuit.delays.items() if n in named}
    for c in circuit.contacts.values():
        if c.id in used and isinstance(c.mover, ByCoil) and c.mover.late is not None:
            several = sum(r.device == c.device for r in circuit.relays.values()) > 1
            stem = c.mover.coil if several else c.device
            name = f"{stem}.{'elapsed' if c.mover.late == 'on' else 'held'}"
            found.setdefault(name, Delay(name, c.mover.coil, c.mover.late))
    return found
