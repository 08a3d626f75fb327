"""Start capacitors and PTC devices: out of circuit at speed, and worth having at the start."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ratings.carried import motors
from wirecheck.checks.ratings.marks import Mark
from wirecheck.circuit.elements import ByPosition, Motor
from wirecheck.engine import figures
from wirecheck.engine.answers import OFF
from wirecheck.engine.plain import judge
from wirecheck.engine.plain.explore import pending

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.checks.ratings.moments import Look, Moment
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.plain.evaluator import View

SPEED = (".atspeed", ".warm")
# A start device that lifts the torque by less than this does nothing. Project rule.
RAISES = 1.02


def marks(pair: Pair, seen: list[Moment]) -> Iterator[Mark]:
    """What is to be said of each start device after the change."""
    for element in pair.after.starters:
        yield from left_in(pair, element, seen)
        yield from raises(pair, element, (), seen)
    for contacts in speed_contacts(pair.changed.after).values():
        device = pair.changed.after.contacts[contacts[0]].device
        if device in pair.changed.brought and not set(pair.changed.after.devices[device].elements) & set(pair.after.starters):
            yield from raises(pair, "", contacts, seen)


def speed_contacts(circuit: Circuit) -> dict[str, tuple[str, ...]]:
    """Input moved by speed or heat -> its contacts."""
    found: dict[str, tuple[str, ...]] = {}
    for c in circuit.contacts.values():
        if isinstance(c.mover, ByPosition) and c.mover.input.endswith(SPEED):
            found[c.mover.input] = (*found.get(c.mover.input, ()), c.id)
    return found


def at_speed(pair: Pair, moment: Moment) -> bool:
    """Do all potential relays and PTC devices stand as they do at speed, and no delay still run?"""
    world, circuit = pair.world, pair.changed.after
    moved = all(
        world.position(circuit, n, moment.case.setting) for n in circuit.inputs if n.endswith(SPEED)
    )
    return moved and not pending(pair.after, moment.now.state)


def carries(look: Look, element: str) -> bool:
    return element in look.plain.impedances and (
        abs(look.view.amps(element, look.plain.scenario)) > figures.SLACK
    )


def left_in(pair: Pair, element: str, seen: list[Moment]) -> Iterator[Mark]:
    """It must carry nothing once the motor is at speed."""
    device = pair.after.impedances[element].device
    own = device in pair.changed.brought
    stays = [m for m in seen if at_speed(pair, m) and carries(m.now, element)]
    if not stays:
        if own and any(carries(m.now, element) for m in seen):
            yield Mark(device, "pass", "is out of circuit at speed")
        return
    fresh = [m for m in stays if own or not any(carries(w, element) for w in m.was)]
    says = "is left in circuit at speed: nothing takes it out, and it is made for seconds"
    if fresh:
        yield Mark(device, "fail", says, fresh[0].case)
    else:
        yield Mark(device, "note", f"{says}; as before the change")


def raises(pair: Pair, element: str, contacts: tuple[str, ...], seen: list[Moment]) -> Iterator[Mark]:
    """Standstill torque with the device against without it: its element taken out, or its contacts open."""
    tag = pair.after.impedances[element].device if element else pair.changed.after.contacts[contacts[0]].device
    own = tag in pair.changed.brought
    with_it = [m for m in seen if at_standstill(pair, m, contacts)]
    best: tuple[float, float, str] = (0.0, 0.0, "")
    for m in with_it:
        for motor in motors(pair.changed.after):
            now, without = torques(m.now, motor, element, contacts)
            if now - without > best[0] - best[1]:
                best = now, without, motor.name
    if best[0] > RAISES * max(best[1], 0.0) + figures.SLACK:
        if own:
            ratio = f" from {best[1]:.2g} to {best[0]:.2g} of the designed one"
            yield Mark(tag, "pass", f"raises the starting torque of {best[2]}{ratio}")
        return
    if own or raised_before(pair, element, contacts, seen):
        fields = tuple(f for m in motors(pair.changed.after) if m.kind == "psc" for f in judge.missing(m))
        says = "does not raise the starting torque of any motor"
        if fields:
            yield Mark(tag, "note", f"may not raise a motor's starting torque: {', '.join(fields)} not given", fields=fields)
        else:
            yield Mark(tag, "fail", says, with_it[0].case if with_it else None)


def at_standstill(pair: Pair, m: Moment, contacts: tuple[str, ...]) -> bool:
    """Do all potential relays and PTC devices stand as they do before the start, and are these contacts closed?"""
    world, circuit = pair.world, pair.changed.after
    rest = not any(world.position(circuit, n, m.case.setting) for n in circuit.inputs if n.endswith(SPEED))
    return rest and set(contacts) <= m.now.shut


def torques(look: Look, motor: Motor, element: str, contacts: tuple[str, ...]) -> tuple[float, float]:
    """(with, without) over the designed torque; 0 where the motor has none or a figure is missing."""
    if motor.kind != "psc" or judge.missing(motor) or look.plain.load_word(motor, look.view) == OFF:
        return 0.0, 0.0
    plain = look.plain
    closed = tuple(
        c and i not in contacts for i, c in zip(plain.circuit.contacts, look.closed, strict=True)
    )
    opened = frozenset({element}) if element else frozenset()
    without = plain.view(closed, plain.coils_in(look.state[0]), opened)
    return ratio(motor, look.view), 0.0 if without.short else ratio(motor, without)


def ratio(motor: Motor, view: View) -> float:
    return judge.torque_ratio(motor, view, view.plain.scenario)


def raised_before(pair: Pair, element: str, contacts: tuple[str, ...], seen: list[Moment]) -> bool:
    """Did it raise some motor's torque in the unit before?"""
    for look in {w.key: w for m in seen for w in m.was}.values():
        known = look.plain.circuit.elements
        if (element and element not in known) or any(c not in known for c in contacts):
            continue
        for motor in motors(look.plain.circuit):
            now, without = torques(look, motor, element, contacts)
            if now > RAISES * max(without, 0.0) + figures.SLACK:
                return True
    return False
