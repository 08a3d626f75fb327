"""What the devices that a change brings are marked with, and the set points of a unit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.checks.saturation import degrees, refrigerant
from wirecheck.circuit.elements import Capacitor, Coil, Contact, Estimate, Motor, Resistor, Transformer
from wirecheck.quantity import show

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.saturation import Refrigerant
    from wirecheck.circuit.elements import ContactRating, Device, Figure, Input
    from wirecheck.circuit.graph import Circuit

NOT_GIVEN = "not given: as its label says"
NO_GLIDE = 0.3  # K; project rule


class SetPoint(Struct, frozen=True):
    """A switch with set points. words: as written. at: the refrigerant's temperatures, "" where none."""

    name: str
    quantity: str
    words: str
    at: str
    trips: str


def ratings(circuit: Circuit, device: Device) -> tuple[str, ...]:
    """What a device has to be marked with, as the file states it."""
    parts = [circuit.elements[i] for i in device.elements]
    texts = [circuit.inputs[i].set_points for i in device.inputs]
    found = [p.text for p in texts if p is not None and p.text]
    found += dict.fromkeys(t for p in parts if isinstance(p, Contact) for t in [_contact(p.rating)] if t)
    if any(isinstance(p, Contact) for p in parts) and not any(t.startswith("contact") for t in found):
        found.append(f"contact rating {NOT_GIVEN}")
    for part in parts:
        match part:
            case Coil():
                found.append(_coil(part))
            case Capacitor():
                found.append(f"capacitor {_figure(part.farads, 'uF', 1e6)}, {_volts(part.volts)}")
            case Resistor():
                watts = f", {part.watts:g} W" if part.watts is not None else ""
                found.append(f"{_figure(part.ohms, 'ohm')}{watts}, {_volts(part.volts)}")
            case Transformer():
                volts = " to ".join(f"{abs(t):g} V" for *_, t in part.windings)
                found.append(f"{volts}, {part.va:g} VA" if part.va else f"{volts}, VA {NOT_GIVEN}")
    found += [_motor(m) for m in circuit.loads.values() if isinstance(m, Motor) and m.device == device.tag]
    return tuple(found)


def _contact(rating: ContactRating) -> str:
    figures = (
        ("V", rating.volts),
        ("A running", rating.fla),
        ("A locked rotor", rating.lra),
        ("VA", rating.va),
    )
    said = ", ".join(f"{v:g} {n}" for n, v in figures if v is not None)
    return f"contact {said}" if said else ""


def _coil(coil: Coil) -> str:
    va = f"{coil.ohms:g} ohm" if coil.ohms is not None else _figure(coil.va, "VA")
    return f"coil {_figure(coil.volts, 'V')}, {va}"


def _motor(motor: Motor) -> str:
    figures = (("V", motor.volts), ("A full load", motor.fla), ("A rated load", motor.rla))
    return f"motor {', '.join(f'{v:g} {n}' for n, v in figures if v is not None) or NOT_GIVEN}"


def _volts(volts: float | None) -> str:
    return f"{volts:g} V" if volts is not None else f"volts {NOT_GIVEN}"


def _figure(figure: Figure, unit: str, times: float = 1.0) -> str:
    return f"{unit} {NOT_GIVEN}" if isinstance(figure, Estimate) else f"{figure * times:g} {unit}"


def set_points(circuit: Circuit) -> tuple[SetPoint, ...]:
    """Every switch with set points, in the order of the file."""
    return tuple(_set_points(circuit))


def _set_points(circuit: Circuit) -> Iterator[SetPoint]:
    for switch in circuit.inputs.values():
        points = switch.set_points
        if points is None:
            continue
        unit = circuit.quantities[points.quantity].unit
        words = points.text or f"{show(points.low, unit)} and {show(points.high, unit)}"
        reset = "; reset by hand" if switch.hand_reset else ""
        trips = f"protection, trips {switch.word(switch.tripped)}" if switch.tripped is not None else ""
        yield SetPoint(switch.name, points.quantity, words + reset, _saturated(circuit, switch), trips)


def _saturated(circuit: Circuit, switch: Input) -> str:
    """The refrigerant's temperatures at the set points of a pressure switch, in the order of its words."""
    points = switch.set_points
    table = refrigerant(circuit.refrigerant) if circuit.refrigerant else None
    if points is None or table is None or not _is_pressure(circuit.quantities[points.quantity].unit):
        return ""
    above, below = (points.text.find(word) for word in ("above", "below"))
    order = (points.high, points.low) if above < below else (points.low, points.high)
    found = [_temperature(table, v) for v in order]
    return f"{found[0]} and {found[1]}, {table.name}" if all(found) else ""


def _temperature(table: Refrigerant, pascal: float) -> str:
    """One temperature where bubble and dew are closer than a gauge shows, else both."""
    bubble, dew = table.temperature(pascal), table.temperature(pascal, dew=True)
    if bubble is not None and dew is not None and abs(dew - bubble) < NO_GLIDE:
        return f"{degrees(bubble, 'degF')} degF"
    return table.words(pascal, "degF")


def _is_pressure(name: str) -> bool:
    from wirecheck.quantity import unit

    return unit(name).kind == "pressure"
