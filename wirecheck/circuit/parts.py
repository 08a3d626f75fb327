"""One resolved device as parts of the circuit: elements, inputs, delays, relays and loads."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, assert_never

from msgspec import Struct, field

from wirecheck.circuit import figures
from wirecheck.circuit.elements import (
    ByCoil,
    ByPosition,
    Coil,
    Contact,
    Delay,
    Device,
    Element,
    Input,
    Link,
    Load,
    Motor,
    Mover,
    Relay,
    Resistor,
    VoltLoad,
    Winding,
)
from wirecheck.circuit.switches import input_name, inputs_of
from wirecheck.design import models
from wirecheck.design.fieldset import moved_by_motor

if TYPE_CHECKING:
    from wirecheck.design.resolved import ResolvedDevice
    from wirecheck.problem import Problem


class Parts(Struct, frozen=True):
    """What one device brings to the circuit."""

    device: Device
    inner: tuple[str, ...] = ()
    elements: dict[str, Element] = field(default_factory=dict)
    inputs: dict[str, Input] = field(default_factory=dict)
    delays: dict[str, Delay] = field(default_factory=dict)
    relays: dict[str, Relay] = field(default_factory=dict)
    loads: dict[str, Load] = field(default_factory=dict)


def parts_of(resolved: ResolvedDevice, problems: list[Problem]) -> Parts:
    """The device's parts, named by its tag; problems are added to."""
    full = full_names(resolved)
    elements = _elements(resolved, full, problems)
    relays, loads = _judged(resolved, elements)
    inputs = inputs_of(resolved, elements, problems)
    tag = resolved.tag
    device = Device(
        tag=tag,
        type=resolved.type_name,
        terminals=tuple(f"{tag}.{t}" for t in resolved.terminals),
        elements=tuple(elements),
        inputs=tuple(inputs),
        isolates=resolved.isolates,
        external=resolved.external,
        earth=resolved.type.at_earth,
        fuse=resolved.type.fuse,
        stacks={f"{tag}.{t}": most for t, most in resolved.stacks.items()},
        leads=resolved.leads,
        volts=resolved.type.volts,
        symbol=resolved.type.symbol,
        about=resolved.type.about or "",
        place=resolved.device.place(),
    )
    inner = tuple(full[i] for i in resolved.type.inside)
    return Parts(device, inner, elements, inputs, _delays(resolved, elements, relays), relays, loads)


def full_names(resolved: ResolvedDevice) -> dict[str, str]:
    """Short name of each terminal and inner point -> node: T2 -> K1.T2, m -> COMP.(m)."""
    tag = resolved.tag
    return {i: f"{tag}.({i})" for i in resolved.type.inside} | {t: f"{tag}.{t}" for t in resolved.terminals}


def _elements(device: ResolvedDevice, full: dict[str, str], problems: list[Problem]) -> dict[str, Element]:
    made: dict[str, Element] = {}
    for name, spec in device.elements.items():
        element = _element(device, name, spec, full, problems)
        if element is not None:
            made[element.id] = element
    if device.type.joined:
        ends = [full[t] for t in device.terminals]
        for number, (a, b) in enumerate(pairwise(ends), 1):
            made[f"{device.tag}.bar.{number}"] = Link(f"{device.tag}.bar.{number}", device.tag, a, b)
    return made


def _element(
    device: ResolvedDevice, name: str, spec: models.Element, full: dict[str, str], problems: list[Problem]
) -> Element | None:
    tag = device.tag
    if isinstance(spec, models.Transformer):
        return figures.transformer(device, name, spec, full, problems)
    ends = full[spec.across[0]], full[spec.across[1]]
    alone = sum(type(other) is type(spec) for other in device.elements.values()) == 1
    match spec:
        case models.Link():
            return Link(f"{tag}.{name}", tag, *ends)
        case models.Contact():
            return figures.contact(tag, name, spec, ends, _mover(device, spec))
        case models.Coil():
            return figures.coil(tag, name, spec, ends, _stateless(device, name))
        case models.Resistor():
            return figures.resistor(tag, name, spec, ends, alone)
        case models.Capacitor():
            return figures.capacitor(tag, name, spec, ends, alone)
        case models.Winding():
            return figures.winding(device, name, spec, ends, problems)
        case _:
            assert_never(spec)


def _mover(device: ResolvedDevice, spec: models.Contact) -> Mover:
    by = spec.moved_by
    if by is not None and isinstance(device.elements.get(by), models.Coil):
        return ByCoil(f"{device.tag}.{by}", spec.late)
    return ByPosition(input_name(device, spec))


def _moves_contacts(device: ResolvedDevice, coil: str) -> bool:
    return any(isinstance(e, models.Contact) and e.moved_by == coil for e in device.elements.values())


def _stateless(device: ResolvedDevice, coil: str) -> bool:
    """A potential relay's coil: its contact is moved by `atspeed`, so it is an impedance only."""
    contacts = [e for e in device.elements.values() if isinstance(e, models.Contact)]
    at_speed = any(c.moved_by == "atspeed" and moved_by_motor(device.type, c) for c in contacts)
    return at_speed and not _moves_contacts(device, coil)


def _judged(device: ResolvedDevice, elements: dict[str, Element]) -> tuple[dict[str, Relay], dict[str, Load]]:
    """The relays and loads of a device: named by its tag, or TAG.element where there are several."""
    tag = device.tag
    found: list[tuple[str, Element]] = [
        (name, elements[f"{tag}.{name}"])
        for name, spec in device.elements.items()
        if f"{tag}.{name}" in elements and _is_judged(device, name, spec)
    ]
    motors = motor_of(device, elements)
    several = len(found) + len(motors) > 1
    relays: dict[str, Relay] = {}
    loads: dict[str, Load] = dict(motors)
    for name, element in found:
        called = f"{tag}.{name}" if several else tag
        moved = tuple(
            c.id for c in elements.values()
            if isinstance(c, Contact) and isinstance(c.mover, ByCoil) and c.mover.coil == element.id
        )  # fmt: skip
        if moved:
            relays[called] = Relay(called, tag, element.id, moved, device.external)
        elif isinstance(element, Coil | Resistor):
            loads[called] = VoltLoad(called, tag, element.id, element.volts)
    return relays, loads


def _is_judged(device: ResolvedDevice, name: str, spec: models.Element) -> bool:
    match spec:
        case models.Coil():
            return not _stateless(device, name)
        case models.Resistor():
            return spec.duty is None and (spec.volts is not None or spec.load)
        case _:
            return False


def motor_of(device: ResolvedDevice, elements: dict[str, Element]) -> dict[str, Load]:
    """The one motor that a device's windings are, by its tag; none where the type reads no motor."""
    reads, tag = device.type.reads, device.tag
    windings = {
        name: element
        for name in device.elements
        if isinstance(element := elements.get(f"{tag}.{name}"), Winding)
    }
    if reads is None or not windings:
        return {}
    aux = windings.pop(figures.auxiliary(device) or "", None)
    taps = tuple(t for name in windings if (t := _tap(device, name)) is not None)
    lra = figures.locked_rotor(device)
    motor = Motor(
        name=tag, device=tag, kind=reads, volts=device.volts,
        main=tuple(w.id for w in windings.values()), aux=aux.id if aux else None,
        needs=device.needs, taps=taps,
        terminals=_phases(device, list(windings.values())) if reads == "3ph" else (),
        compressor=figures.is_compressor(device),
        fla=device.fla, rla=device.rla, lra=lra, lra_given=device.lra is not None,
    )  # fmt: skip
    return {tag: motor}


def _tap(device: ResolvedDevice, name: str) -> str | None:
    spec = device.elements[name]
    return spec.tap if isinstance(spec, models.Winding) else None


def _phases(device: ResolvedDevice, windings: list[Winding]) -> tuple[str, ...]:
    """The outer end of each winding, in order: of a star the end that is no inner point."""
    outer = {f"{device.tag}.{t}" for t in device.terminals}
    ends: list[str] = []
    for winding in windings:
        ends.extend([e for e in (winding.a, winding.b) if e in outer and e not in ends][:1])
    return tuple(ends)


def _delays(
    device: ResolvedDevice, elements: dict[str, Element], relays: dict[str, Relay]
) -> dict[str, Delay]:
    """TAG.elapsed of on-delays, TAG.held of off-delays; TAG.coil.elapsed where there are several relays."""
    found: dict[str, Delay] = {}
    for element in elements.values():
        if isinstance(element, Contact) and isinstance(element.mover, ByCoil) and element.mover.late:
            coil, late = element.mover.coil, element.mover.late
            stem = coil if len(relays) > 1 else device.tag
            name = f"{stem}.{'elapsed' if late == 'on' else 'held'}"
            found[name] = Delay(name, coil, late)
    return found
