"""Invented units that the tests of `ratings` and `set-points` change."""

from __future__ import annotations

# A two-pole contactor, compressor 14.1 and 73 A locked, fan 1.4 and 2.9 A, 240 V.
PLANT = """\
unit: {name: bench cooler of the greenhouse}
supplies:
  MAINS: {kind: split-phase, volts: 240}
devices:
  S1: {type: switch, contact: {volts: 240, va: 125}}
  X1: {type: transformer, volts: [240, 24], va: 40}
  K1: {type: contactor-2p, coil: {volts: 24, va: 8, inrush: 33}, contact: {volts: 240, fla: 30, lra: 150}}
  COMP:
    {type: psc-compressor, volts: 240, rla: 14.1, lra: 73,
     main: {r: 1.1, x: 3.1}, aux: {r: 2.4, x: 4.6}, needs: 45 uF}
  CR: {type: run-capacitor, capacitance: 45 uF, volts: 440}
  FAN:
    {type: psc-motor, volts: 240, fla: 1.4, lra: 2.9, main: {r: 38, x: 75}, aux: {r: 62, x: 95}, needs: 5 uF}
  CF: {type: run-capacitor, capacitance: 5 uF, volts: 440}
  GND: {type: earth-bar, terminals: 3}
wires:
  - {id: W1, from: MAINS.L1, to: K1.L1, gauge: 10 AWG, insulation: {volts: 600, degC: 90}, route: roof}
  - {id: W2, from: MAINS.L2, to: K1.L2, gauge: 10 AWG, insulation: {volts: 600, degC: 90}, route: roof}
  - {id: W3, from: K1.T1, to: COMP.C, gauge: 10 AWG, insulation: {volts: 600, degC: 105}, route: harness}
  - {id: W4, from: K1.T2, to: COMP.R, gauge: 10 AWG, insulation: {volts: 600, degC: 105}, route: harness}
  - {id: W5, from: K1.T2, to: CR.1, gauge: 14 AWG}
  - {id: W6, from: CR.2, to: COMP.S, gauge: 14 AWG}
  - {id: W7, from: K1.T1, to: FAN.common, gauge: 18 AWG, insulation: {volts: 600, degC: 105}, route: harness}
  - {id: W8, from: K1.T2, to: FAN.main, gauge: 18 AWG}
  - {id: W9, from: K1.T2, to: CF.1, gauge: 18 AWG}
  - {id: W10, from: CF.2, to: FAN.aux, gauge: 18 AWG}
  - {id: W11, from: MAINS.L1, to: X1.H1, gauge: 18 AWG}
  - {id: W12, from: MAINS.L2, to: X1.H2, gauge: 18 AWG}
  - {id: W13, from: X1.R, to: S1.1, gauge: 18 AWG, insulation: {volts: 150, degC: 75}, route: bench tray}
  - {id: W14, from: S1.2, to: K1.A1, gauge: 18 AWG, insulation: {volts: 150, degC: 75}, route: bench tray}
  - {id: W15, from: K1.A2, to: X1.C, gauge: 18 AWG}
  - {id: W16, from: X1.C, to: GND.1}
  - {id: W17, from: MAINS.PE, to: GND.2}
"""


def in_lead(wire: str, end: str, device: str, run: str = "gauge: 10 AWG") -> str:
    """A change that puts a device of two terminals, tag PS, into a lead."""
    return f"""\
change: {{name: a switch in the lead, affects: {{FAN: either, COMP: either}}}}
devices:
  PS: {device}
steps:
  - lift: {{wire: {wire}, end: {end}}}
  - land: {{wire: {wire}, on: PS.1}}
  - run: {{id: W30, from: PS.2, to: {end}, {run}}}
"""


def across(tag: str, device: str, a: str, b: str) -> str:
    """A change that puts a device of two terminals across two others."""
    return f"""\
change: {{name: a device across, affects: {{COMP: either, FAN: either}}}}
devices:
  {tag}: {device}
steps:
  - across: {{device: {tag}, terminals: [{a}, {b}]}}
"""


def valves(*va: tuple[float, float]) -> str:
    """Valves of (sealed, inrush) VA beside K1's coil."""
    devices = "".join(
        f"  V{k}: {{type: solenoid-valve, volts: 24, va: {s}, inrush: {i}}}\n" for k, (s, i) in enumerate(va)
    )
    steps = "".join(f"  - across: {{device: V{k}, terminals: [K1.A1, K1.A2]}}\n" for k in range(len(va)))
    return f"change: {{name: valves}}\ndevices:\n{devices}steps:\n{steps}"


def moved(wire: str, end: str, on: str) -> str:
    return f"""\
change: {{name: moved, affects: {{COMP: either, FAN: either}}}}
steps:
  - lift: {{wire: {wire}, end: {end}}}
  - land: {{wire: {wire}, on: {on}}}
"""
