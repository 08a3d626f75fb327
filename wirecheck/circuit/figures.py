"""Elements from a device's figures; what the file does not give is an `Estimate` (engine.md section 2)."""

from __future__ import annotations

from cmath import rect
from math import acos, sqrt
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import (
    Capacitor,
    Coil,
    Contact,
    ContactRating,
    Estimate,
    Figure,
    Mover,
    Resistor,
    Transformer,
    Winding,
)
from wirecheck.design import models
from wirecheck.problem import Problem

if TYPE_CHECKING:
    from wirecheck.design.resolved import ResolvedDevice

# Ranges of engine.md section 2. Pick-up and drop-out: IEC 60947-4-1 8.2.1.2 (from memory); inrush over
# sealed current 4.1 to 13 in published coil data, 4 taken (facts.md 2.3); coil volts, watts and farads
# without a figure: project rule, wide enough to hold what is met on such equipment.
COIL_VOLTS = (24.0, 6.0, 1000.0)
COIL_VA = (8.0, 2.0, 20.0)
INRUSH_RATIO = (4.0, 1.0, 8.0)
PICK_UP = (0.85, 0.60, 0.85)
DROP_OUT = (0.60, 0.20, 0.75)
RESISTOR_WATTS = 100.0
RESISTOR_OHMS = 100.0
RESISTOR_SPREAD = 30.0
FARADS = (10e-6, 1e-6, 100e-6)
WINDING_SCALE = (1.0, 0.75, 1.25)
MAIN_FACTOR, AUX_FACTOR, AUX_RATIO = 0.6, 0.7, 1.6
UNKNOWN_LRA, UNKNOWN_VOLTS, UNKNOWN_SCALE = 10.0, 240.0, (1.0, 0.1, 10.0)


def estimate(field: str, figures: tuple[float, float, float]) -> Estimate:
    """figures: nominal, low, high."""
    return Estimate(field, *figures)


def contact(tag: str, name: str, spec: models.Contact, ends: tuple[str, str], mover: Mover) -> Contact:
    """A contact with its rating."""
    rating = ContactRating(spec.volts, spec.fla, spec.lra, spec.va)
    return Contact(f"{tag}.{name}", tag, *ends, spec.rests == "closed", mover, rating)


def coil(tag: str, name: str, spec: models.Coil, ends: tuple[str, str], stateless: bool) -> Coil:
    """A coil; `pick_up` and `drop_out` as fractions of rated volts."""
    field = f"{tag}.{name}"
    volts: Figure = spec.volts if spec.volts is not None else estimate(f"{field}.volts", COIL_VOLTS)
    va: Figure = spec.va if spec.va is not None else estimate(f"{field}.va", COIL_VA)
    if spec.ohms is not None:  # `va` decides nothing then; it is kept in step with `ohms`
        va = (COIL_VOLTS[0] if isinstance(volts, Estimate) else volts) ** 2 / spec.ohms
    ratio: Figure = 1.0 if spec.inrush is not None else estimate(f"{field}.inrush", INRUSH_RATIO)
    return Coil(
        field, tag, *ends, volts, va, spec.inrush, ratio,
        _fraction(spec.pick_up, f"{field}.pick_up", PICK_UP),
        _fraction(spec.drop_out, f"{field}.drop_out", DROP_OUT),
        spec.ohms, stateless, spec.dc_ohms,
    )  # fmt: skip


def _fraction(given: float | None, field: str, figures: tuple[float, float, float]) -> Figure:
    return given if given is not None else estimate(field, figures)


def resistor(tag: str, name: str, spec: models.Resistor, ends: tuple[str, str], alone: bool) -> Resistor:
    """A resistor of `ohms`, or volts² / watts. alone: the only one, whose fields the device itself has."""
    ohms: Figure
    if spec.ohms is not None:
        ohms = spec.ohms
    elif spec.volts is not None and spec.watts is not None:
        ohms = spec.volts**2 / spec.watts
    else:
        nominal = RESISTOR_OHMS if spec.volts is None else spec.volts**2 / RESISTOR_WATTS
        figure = "ohms" if spec.volts is None else "watts"  # watts without volts say nothing of it
        field = f"{tag}.{figure}" if alone else f"{tag}.{name}.{figure}"
        ohms = Estimate(field, nominal, nominal / RESISTOR_SPREAD, nominal * RESISTOR_SPREAD)
    return Resistor(f"{tag}.{name}", tag, *ends, ohms, spec.volts, spec.watts, spec.duty == "start")


def capacitor(tag: str, name: str, spec: models.Capacitor, ends: tuple[str, str], alone: bool) -> Capacitor:
    """A capacitor as marked."""
    field = f"{tag}.capacitance" if alone else f"{tag}.{name}"
    farads = spec.capacitance if spec.capacitance is not None else estimate(field, FARADS)
    return Capacitor(f"{tag}.{name}", tag, *ends, farads, spec.volts, spec.duty == "start")


def transformer(
    device: ResolvedDevice,
    name: str,
    spec: models.Transformer,
    full: dict[str, str],
    problems: list[Problem],
) -> Transformer | None:
    """An ideal transformer: one winding for each primary tap, the secondary last, reversed by its sign."""
    tag = device.tag
    common, *taps = spec.primary
    if spec.volts is None or len(spec.volts) != len(taps) + 1:
        found = "no volts" if spec.volts is None else f"{len(spec.volts)} figures of volts"
        message = f"{tag} has {found}; it needs {len(taps) + 1}: one for each primary, then the secondary's."
        problems.append(Problem("transformer-volts", message, device.device.place("volts")))
        return None
    start, end = spec.secondary
    turns = -spec.volts[-1] if spec.reversed else spec.volts[-1]
    windings = [(full[common], full[tap], v) for tap, v in zip(taps, spec.volts, strict=False)]
    return Transformer(f"{tag}.{name}", tag, (*windings, (full[start], full[end], turns)), spec.va)


def locked_rotor(device: ResolvedDevice) -> float | None:
    """Locked-rotor amps: given, else 2 times `fla` (PSC fan or pump) or 6 times `rla` or `fla`."""
    if device.lra is not None:
        return device.lra
    if device.type.reads == "psc" and not is_compressor(device) and device.fla is not None:
        return 2 * device.fla
    running = device.rla if device.rla is not None else device.fla
    return None if running is None else 6 * running


def is_compressor(device: ResolvedDevice) -> bool:
    """Whether the motor is judged by a compressor's starting torque."""
    return device.type.hermetic or device.rla is not None


def winding(
    device: ResolvedDevice, name: str, spec: models.Winding, ends: tuple[str, str], problems: list[Problem]
) -> Winding:
    """A winding at standstill: `r` + j`x`, else from volts and locked-rotor amps; a tap by its factor."""
    tag = device.tag
    if (spec.r is None) != (spec.x is None):
        lacks = "x" if spec.x is None else "r"
        message = f"winding {name} of {tag} lacks {lacks}; give r and x both, or neither."
        problems.append(
            Problem("half-impedance", message, device.device.place(name if spec.tap is None else "main"))
        )
    factor = 1.0 if spec.tap is None else device.taps.get(spec.tap, 1.0)
    if spec.r is not None and spec.x is not None:
        return Winding(f"{tag}.{name}", tag, *ends, complex(spec.r, spec.x) * factor)
    aux = name == auxiliary(device)
    ohms = _standstill(device, aux) * factor
    return Winding(f"{tag}.{name}", tag, *ends, ohms, _winding_scale(device, _field(device, name, spec)))


def auxiliary(device: ResolvedDevice) -> str | None:
    """The name of a PSC motor's auxiliary winding: `aux`, else the last that is no tap."""
    plain = [n for n, e in device.elements.items() if isinstance(e, models.Winding) and e.tap is None]
    if device.type.reads != "psc" or not plain:
        return None
    return "aux" if "aux" in plain else plain[-1]


def _standstill(device: ResolvedDevice, aux: bool) -> complex:
    """The impedance of a winding that the file does not state, ohms (engine.md section 2).

    Windings in delta take three times the impedance of a star for the same line current.
    """
    volts = UNKNOWN_VOLTS if device.volts is None else device.volts
    ohms = volts / (locked_rotor(device) or UNKNOWN_LRA)
    if device.type.reads == "3ph":
        return rect(ohms / sqrt(3) * (1 if _in_star(device) else 3), acos(MAIN_FACTOR))
    return rect(ohms * AUX_RATIO, acos(AUX_FACTOR)) if aux else rect(ohms, acos(MAIN_FACTOR))


def _in_star(device: ResolvedDevice) -> bool:
    windings = [set(e.across) for e in device.elements.values() if isinstance(e, models.Winding)]
    return bool(windings) and bool(set.intersection(*windings))


def _field(device: ResolvedDevice, name: str, spec: models.Winding) -> str:
    """What a file gives the impedance of a winding under: those of a three-phase motor are alike."""
    if device.type.reads == "3ph":
        return "r"
    return name if spec.tap is None else "main"


def _winding_scale(device: ResolvedDevice, name: str) -> Estimate:
    if locked_rotor(device) is None:
        return estimate(f"{device.tag}.lra", UNKNOWN_SCALE)
    if device.volts is None:
        return estimate(f"{device.tag}.volts", UNKNOWN_SCALE)
    return estimate(f"{device.tag}.{name}", WINDING_SCALE)
