"""Drawn realistic units: what impedances and history decide, in one cabinet of 13 inputs.

Split-phase mains, two transformer secondaries, three motors with capacitors, set points on two pressures,
an on-delay, an off-delay, a lockout relay in series with a contactor, lamps in series, a crankcase heater
that may lie in series with the compressor. All invented; the figures lie in the usual range of such machines.
"""

from __future__ import annotations

import random
from typing import TYPE_CHECKING, Literal

from tests.benchmark.generator import Job

if TYPE_CHECKING:
    from pathlib import Path

Kind = Literal["cycling", "drain", "wrong lead"]
KINDS: tuple[Kind, ...] = ("cycling", "drain", "wrong lead")
INPUTS = ("DS", "TH.cool", "TH.fan", "TH.heat", "HP", "LP", "FZ", "FL", "DR", "CCT", "LIM", "AL", "SM")


def job(folder: Path, seed: int, kind: Kind) -> Job:
    """The unit of this seed with one of the three changes.

    cycling: a pressure switch in the fan's common; drain: a second float switch in the call for cooling;
    wrong lead: the pressure switch in the fan's main lead.
    """
    stem = f"realistic-{seed}-{kind.replace(' ', '-')}"
    unit, change = folder / f"{stem}.yaml", folder / f"{stem}-change.yaml"
    unit.write_text(_unit(random.Random(seed)), encoding="utf-8")  # noqa: S311 - drawn again from its seed
    change.write_text(_change(kind), encoding="utf-8")
    return Job(unit, change)


def _unit(rng: random.Random) -> str:
    devices = {**_power(rng), **_control(rng)}
    one_pole = rng.random() < 0.5
    devices["K1"] = f"{{type: contactor-{1 if one_pole else 2}p, {_coil(24, 8, 33)}}}"
    wires = [*_line(), *_motors(), *_heaters(rng, one_pole)]
    if rng.random() < 0.5:
        wires.append(("X2.C", "GND.3"))
    rows = [
        "unit:",
        "  name: drawn cabinet",
        "supplies:",
        "  MAINS: {kind: split-phase, volts: 240}",
        "conditions:",
        "  liquid_pressure: {unit: psig}",
        "  suction_pressure: {unit: psig}",
        "devices:",
        *(f"  {tag}: {row}" for tag, row in devices.items()),
        "wires:",
        *(f"  - {{id: W{k + 1}, from: {a}, to: {b}}}" for k, (a, b) in enumerate(wires)),
        "rungs:",
        *(f"  - {{id: C{k}, path: [{', '.join(path)}]}}" for k, path in enumerate(RUNGS)),
        "expects:",
        "  - COMP runs only when K1 in",
        "  - never COMP runs and HP open",
        "  - HB on only when LIM closed",
    ]
    return "\n".join(rows) + "\n"


# The lockout relay K3 lies beside the string of safeties: where one opens, its coil is in series with K1's.
RUNGS = (
    ("X1.R", "SM", "TH.R"),
    ("TH.Y", "FL", "FZ", "TD.coil", "X1.C"),
    ("TD.A1", "TD.C-NO", "HP", "LP", "K3.C-NC", "K1.coil", "X1.C"),
    ("TD.NO", "K3.coil", "K1.A1"),
    ("TH.G", "K2.coil", "X1.C"),
    ("TH.W", "LIM", "K4.coil", "X1.C"),
    ("K3.NO", "AL", "LK", "X1.C"),
    ("X2.R", "DR", "V1", "X2.C"),
    ("DR.2", "LA", "LB", "X2.C"),
)


def _coil(volts: float, va: float, inrush: float, pick_up: int = 85, drop_out: int = 60) -> str:
    return f"coil: {{volts: {volts}, va: {va}, inrush: {inrush}, pick_up: {pick_up}, drop_out: {drop_out}}}"


def _psc(rng: random.Random, kind: str, r: float, needs: int, figures: str) -> str:
    """A motor whose auxiliary leads enough with its capacitor to be designed so."""
    r = round(r * rng.uniform(0.9, 1.1), 2)
    main, aux = (
        f"main: {{r: {r}, x: {round(2 * r, 2)}}}",
        f"aux: {{r: {round(1.7 * r, 2)}, x: {round(2.5 * r, 2)}}}",
    )
    return f"{{type: {kind}, volts: 240, {figures}, {main}, {aux}, needs: {needs} uF}}"


def _power(rng: random.Random) -> dict[str, str]:
    trip = rng.randrange(560, 640, 10)
    return {
        "DS": "{type: disconnect-2p}",
        "COMP": _psc(rng, "psc-compressor", 1.6, 45, "rla: 14, lra: 73"),
        "FAN": _psc(rng, "psc-motor", 38, 5, "fla: 1.4, lra: 2.9"),
        "BLW": _psc(rng, "psc-motor", 22, 10, "fla: 2.6, lra: 5.5"),
        "CAP": "{type: dual-run-capacitor, herm: 45 uF, fan: 5 uF, volts: 440}",
        "CB": "{type: run-capacitor, capacitance: 10 uF, volts: 440}",
        "HTR": f"{{type: crankcase-heater, volts: 240, watts: {rng.choice((40, 60, 80))}}}",
        "CCT": "{type: temperature-switch, rests: closed}",
        "HB": f"{{type: heater, volts: 240, watts: {rng.choice((3000, 5000))}}}",
        "HP": (
            f"{{type: pressure-switch, senses: liquid_pressure, opens_above: {trip} psig,"
            f" closes_below: 420 psig, trips: above}}"
        ),
        "LP": (
            "{type: pressure-switch, senses: suction_pressure, opens_below: 50 psig, closes_above: 95 psig,"
            " trips: below, normal: closed}"
        ),
        "GND": "{type: earth-bar, terminals: 4}",
    }


def _control(rng: random.Random) -> dict[str, str]:
    return {
        "X1": "{type: transformer, volts: [240, 24], va: 60}",
        "X2": "{type: transformer, volts: [240, 24], va: 40}",
        "TH": "{type: thermostat}",
        "SM": "{type: switch, rests: closed}",
        "FL": "{type: float-switch, rests: closed, trips: open}",
        "FZ": "{type: temperature-switch, rests: closed, trips: open}",
        "LIM": "{type: temperature-switch, rests: closed, trips: open}",
        "DR": f"{{type: door-switch, rests: {rng.choice(('open', 'closed'))}}}",
        "AL": f"{{type: switch, rests: {rng.choice(('open', 'closed'))}}}",
        "TD": f"{{type: delay-on-relay, {_coil(24, 4, 8)}}}",
        "K2": f"{{type: delay-off-relay, {_coil(24, 5, 15)}}}",
        "K3": f"{{type: relay-changeover, {_coil(24, rng.choice((1.0, 1.2)), 2.4, 75, 40)}}}",
        "K4": f"{{type: contactor-2p, {_coil(24, 9, 36)}}}",
        "V1": "{type: solenoid-valve, coil: {volts: 24, va: 10, inrush: 25, pick_up: 85, drop_out: 60}}",
        "LK": "{type: lamp, volts: 24, watts: 3}",
        "LA": "{type: lamp, volts: 12, watts: 3}",
        "LB": "{type: lamp, volts: 12, watts: 3}",
    }


def _line() -> list[tuple[str, str]]:
    found = [("MAINS.L1", "DS.L1"), ("MAINS.L2", "DS.L2"), ("DS.T1", "K1.L1"), ("DS.T2", "K1.L2")]
    found += [("K1.L1", "X1.H1"), ("K1.L2", "X1.H2"), ("X1.H1", "X2.H1"), ("X1.H2", "X2.H2")]
    found += [("K1.L1", "K4.L1"), ("K1.L2", "K4.L2"), ("K4.T1", "HB.1"), ("K4.T2", "HB.2")]
    return [*found, ("MAINS.PE", "GND.1"), ("X1.C", "GND.2")]


def _motors() -> list[tuple[str, str]]:
    found = [("K1.T1", "COMP.R"), ("K1.T2", "COMP.C"), ("COMP.S", "CAP.HERM"), ("K1.T1", "CAP.C")]
    found += [("CAP.C", "FAN.main"), ("K1.T2", "FAN.common"), ("FAN.aux", "CAP.FAN")]
    found += [("K4.L1", "K2.C"), ("K2.NO", "BLW.common"), ("K4.L2", "BLW.main")]
    return [*found, ("BLW.main", "CB.1"), ("CB.2", "BLW.aux")]


def _heaters(rng: random.Random, one_pole: bool) -> list[tuple[str, str]]:
    """The crankcase heater across the line, or across a one-pole contactor, in series with the windings."""
    across_contact = one_pole and rng.random() < 0.7
    return [("K1.L1", "CCT.1"), ("CCT.2", "HTR.1"), ("HTR.2", "K1.T1" if across_contact else "K1.L2")]


def _change(kind: Kind) -> str:
    if kind == "drain":
        devices = "  FL2: {type: float-switch, rests: closed, trips: open}"
        steps = ["in-series: {device: FL2, in: C1.1, at: FL.1}"]
        affects = "[COMP, FAN, LK]"
    else:
        lead, terminal = ("FAN.common", "K1.T2") if kind == "cycling" else ("FAN.main", "CAP.C")
        points = "closes_above: 375 psig, opens_below: 275 psig"
        devices = f"  PS: {{type: pressure-switch, senses: liquid_pressure, {points}}}"
        steps = [f"in-series: {{device: PS, in: {{at: {terminal}, to: {lead}}}, at: {terminal}}}"]
        affects = "[FAN]"
    rows = ["change:", f"  name: {kind}", f"  affects: {affects}", "devices:", devices, "steps:"]
    return "\n".join([*rows, *(f"  - {s}" for s in steps)]) + "\n"
