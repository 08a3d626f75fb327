"""Start capacitors and PTC devices: out of circuit at speed, and worth having at the start."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from wirecheck.checks.ratings.marks import Mark
from wirecheck.checks.ratings.rated import motors
from wirecheck.circuit.elements import ByPosition, Coil
from wirecheck.engine import figures, judge
from wirecheck.engine.answers import OFF
from wirecheck.engine.delays import pending

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.checks.ratings.moments import Look, Moment
    from wirecheck.checks.ratings.scene import Scene
    from wirecheck.circuit.elements import Device, Motor
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.plain.evaluator import Plain

# A start device that lifts the torque by less than this does nothing. Project rule.
RAISES = 1.02


def marks(scene: Scene) -> Iterator[Mark]:
    """What is to be said of each start device after the change."""
    starters = scene.pair.after.starters
    for element in starters:
        yield from left_in(scene, element)
        yield from raises(scene, Start(scene.after.elements[element].device, element))
    for contacts in speed_contacts(scene.after).values():
        device = scene.after.devices[scene.after.contacts[contacts[0]].device]
        if scene.brought(device.tag) and not set(device.elements) & set(starters):
            yield from raises(scene, Start(device.tag, None, contacts))
        yield from senses(scene, device)


class Start(NamedTuple):
    """A start device: an element that can be taken out, or contacts that can be opened."""

    tag: str
    element: str | None
    contacts: tuple[str, ...] = ()

    def stands_in(self, circuit: Circuit) -> bool:
        """Has this circuit all of it?"""
        ids = (*self.contacts, *([self.element] if self.element else ()))
        return all(i in circuit.elements for i in ids)


def speed_contacts(circuit: Circuit) -> dict[str, tuple[str, ...]]:
    """Input moved by speed or heat -> its contacts."""
    found: dict[str, tuple[str, ...]] = {}
    for c in circuit.contacts.values():
        if isinstance(c.mover, ByPosition) and circuit.by_motor(c):
            found[c.mover.input] = (*found.get(c.mover.input, ()), c.id)
    return found


def stands(scene: Scene, moment: Moment) -> set[bool]:
    """Where the potential relays and PTC devices stand: False as before the start, True as at speed.

    Those whose contact has anything on it: another takes nothing out.
    """
    names = [n for n, i in scene.after.inputs.items() if i.by_motor and i.listed]
    return {scene.pair.world.position(scene.after, n, moment.case.setting) for n in names}


def at_speed(scene: Scene, moment: Moment) -> bool:
    """Do all of them stand as they do at speed, and is no delay still to run out?"""
    return False not in stands(scene, moment) and not pending(scene.pair.after, moment.now.state)


def carries(look: Look, element: str) -> bool:
    """Does an element carry current here?"""
    known = element in look.plain.impedances
    return known and abs(look.view.amps(element, look.plain.scenario)) > figures.SLACK


def senses(scene: Scene, device: Device) -> Iterator[Mark]:
    """A potential relay's coil has to lie across a start winding, or its contact does not open."""
    for coil in (e for e in device.elements if isinstance(scene.after.elements[e], Coil)):
        if across_a_start_winding(scene.pair.after, coil):
            continue
        if not scene.brought(device.tag) and not across_a_start_winding(scene.pair.before, coil):
            continue
        if hangs_loose(scene.pair.after, coil):
            yield Mark(
                device.tag, "fail", "never opens its contact: one end of its coil is joined to nothing"
            )
        else:
            says = "may never open its contact: its coil lies across no start winding"
            yield Mark(device.tag, "unknown", f"{says}, and what volts it gets at speed is not in this model")


def across_a_start_winding(plain: Plain, coil: str) -> bool:
    """With every contact closed, are a coil's ends one with the two ends of some auxiliary winding?"""
    node, of = plain.superposed().network.node, plain.nets.of
    if coil not in plain.impedances:
        return False
    windings = (plain.impedances[m.aux] for m in motors(plain.circuit) if m.aux is not None)
    z = plain.impedances[coil]
    ends = [{node[of[w.a]], node[of[w.b]]} for w in windings]
    return {node[of[z.a]], node[of[z.b]]} in ends


def hangs_loose(plain: Plain, coil: str) -> bool:
    """With every contact closed, is an end of a coil one with terminals of its own device alone?"""
    node, of = plain.superposed().network.node, plain.nets.of
    z = plain.impedances[coil]
    device = plain.circuit.elements[coil].device
    others = {node[of[t]] for t in plain.circuit.terminals if t.rpartition(".")[0] != device}
    return not {node[of[z.a]], node[of[z.b]]} <= others


def left_in(scene: Scene, element: str) -> Iterator[Mark]:
    """It must carry nothing once the motor is at speed."""
    device = scene.after.elements[element].device
    own = scene.brought(device)
    stays = [m for m in scene.seen if at_speed(scene, m) and carries(m.now, element)]
    if stays:
        says = "is left in circuit at speed: nothing takes it out, and it is made for seconds"
        newly = [m for m in stays if own or not any(carries(w, element) for w in m.was)]
        if newly:
            yield Mark(device, "fail", says, newly[0].case)
        else:
            yield Mark(device, "note", f"{says}; as before the change")
    elif own and any(carries(m.now, element) for m in scene.seen):
        yield Mark(device, "pass", "is out of circuit at speed")


def raises(scene: Scene, start: Start) -> Iterator[Mark]:
    """Standstill torque with the device against without it."""
    own = scene.brought(start.tag)
    resting = [m for m in scene.seen if True not in stands(scene, m) and set(start.contacts) <= m.now.shut]
    name, now, without = best_of((m.now for m in resting), start)
    if lifts(now, without):
        if own:
            ratio = f"from {without:.2g} to {now:.2g} times the designed one"
            yield Mark(start.tag, "pass", f"raises the starting torque of {name} {ratio}")
    elif own or raised_before(scene, start):
        fields = tuple(f for m in motors(scene.after) if m.kind == "psc" for f in judge.missing(m))
        if fields:
            says = f"may not raise a motor's starting torque: not given are {', '.join(fields)}"
            yield Mark(start.tag, "note", says, fields=fields)
        else:
            says = "does not raise the starting torque of any motor"
            yield Mark(start.tag, "fail", says, resting[0].case if resting else None)


def best_of(looks: Iterable[Look], start: Start) -> tuple[str, float, float]:
    """The motor whose torque gains most: its name, its torque over the designed with the device, without."""
    found = []
    without: dict[int, Plain] = {}
    for look in looks:
        bare = without.setdefault(id(look.plain), bereft(look.plain, start))
        found += [(m.name, *torques(look, bare, m, start)) for m in motors(look.plain.circuit)]
    return max(found, key=lambda row: row[1] - row[2], default=("", 0.0, 0.0))


def bereft(plain: Plain, start: Start) -> Plain:
    """The evaluator of the same unit without the element."""
    elements = {i: e for i, e in plain.circuit.elements.items() if i != start.element}
    return type(plain)(replace(plain.circuit, elements=elements), plain.scenario)


def lifts(now: float, without: float) -> bool:
    """Is this more torque than without?"""
    return now > RAISES * max(without, 0.0) + figures.SLACK


def raised_before(scene: Scene, start: Start) -> bool:
    """Did it raise some motor's torque in the unit before?"""
    if not start.stands_in(scene.before):
        return False
    _, now, without = best_of(scene.old, start)
    return lifts(now, without)


def torques(look: Look, bare: Plain, motor: Motor, start: Start) -> tuple[float, float]:
    """Torque with and without, over the designed one; 0 where the motor has none or a figure is missing."""
    plain = look.plain
    if motor.kind != "psc" or judge.missing(motor) or plain.load_word(motor, look.view) == OFF:
        return 0.0, 0.0
    shut = zip(plain.circuit.contacts, look.closed, strict=True)
    without = bare.view(tuple(c and i not in start.contacts for i, c in shut), plain.coils_in(look.state[0]))
    here = judge.torque_ratio(motor, look.view, plain.scenario)
    return here, 0.0 if without.short else judge.torque_ratio(motor, without, plain.scenario)
