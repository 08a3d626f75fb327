"""AC volts of linear networks with windings, capacitors, coils and transformers, against lcapy.

Source: lcapy (registry), a general-purpose symbolic circuit-analysis library: Hayes, PeerJ Computer Science 8
(2022) e875; phasor analysis of an `ac` source. The netlists are written by hand beside each unit, with the
impedances of engine.md section 2 worked out from its figures. Tolerance 1e-5: the engine's transformers
have a
relative series share of 1e-9 and 1e-7 VA of magnetising, and decimals are cut in the netlists.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import pytest

from tests.outside.looked import look

W = 2 * math.pi * 60  # rad/s


class Case(NamedTuple):
    unit: str
    netlist: str
    volts: dict[tuple[str, str], int]  # terminals -> node of the netlist whose volts to node 0 they have


def rl(name: str, a: int, b: int, inner: int, r: float, x: float) -> str:
    """A winding as a resistor and an inductor in line."""
    return f"R{name} {a} {inner} {r!r}\nL{name} {inner} {b} {x / W!r}\n"


def coil(name: str, a: int, b: int, inner: int, volts: float, va: float) -> str:
    """|Z| = volts² / VA at power factor 0.3."""
    z = volts**2 / va
    return rl(name, a, b, inner, 0.3 * z, math.sqrt(1 - 0.3**2) * z)


FAN = (
    "{type: psc-motor, volts: 240, fla: 1.4, lra: 3.3, "
    "main: {r: 38, x: 75}, aux: {r: 62, x: 95}, needs: 5 uF}"
)
COMP = (
    "{type: psc-compressor, volts: 240, rla: 14.1, lra: 73, main: {r: 1.1, x: 3.1}, "
    "aux: {r: 2.4, x: 4.6}, needs: 45 uF}"
)

CASES = {
    "a heater ahead of a primary, a winding and a capacitor behind the secondary": Case(
        """
unit: {name: reflected}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  X1: {type: transformer, volts: [120, 24], va: 40}
  HP: {type: heater, volts: 120, watts: 100}
  V: {type: solenoid-valve, volts: 24, va: 16, inrush: 16, pick_up: 80, drop_out: 50}
  C: {type: run-capacitor, capacitance: 40 uF}
rungs:
  - {id: A, path: [MAINS.L, HP, X1.H1]}
  - {id: B, path: [MAINS.N, X1.H2]}
  - {id: D, path: [X1.R, V, X1.C]}
  - {id: E, path: [X1.R, C, X1.C]}
""",
        f"V1 1 0 ac 120 0 {W!r}\nRHP 1 2 144\nTF1 3 0 2 0 0.2\nCC 3 0 40e-6\n" + coil("Q", 3, 0, 4, 24, 16),
        {("X1.H1", "X1.H2"): 2, ("X1.R", "X1.C"): 3},
    ),
    "a fan between L1 and T1 of one pole, through the compressor": Case(
        f"""
unit: {{name: twin}}
supplies: {{MAINS: {{kind: split-phase, volts: 240}}}}
devices:
  K1: {{type: contactor-1p, coil: {{volts: 24, va: 8}}}}
  FAN: {FAN}
  COMP: {COMP}
  CF: {{type: run-capacitor, capacitance: 5 uF}}
  CC: {{type: run-capacitor, capacitance: 45 uF}}
rungs:
  - {{id: A, path: [MAINS.L1, K1.L1]}}
  - {{id: B, path: [MAINS.L2, K1.L2]}}
  - {{id: C, path: [K1.L1, FAN.common]}}
  - {{id: D, path: [FAN.main, K1.T1]}}
  - {{id: E, path: [FAN.aux, CF, K1.T1]}}
  - {{id: F, path: [K1.T1, COMP.C]}}
  - {{id: G, path: [COMP.R, K1.T2]}}
  - {{id: H, path: [COMP.S, CC, K1.T2]}}
""",
        f"V1 1 0 ac 240 0 {W!r}\nCF 3 2 5e-6\nCC 4 0 45e-6\n"
        + rl("A", 1, 2, 5, 38, 75) + rl("B", 1, 3, 6, 62, 95)
        + rl("D", 2, 0, 7, 1.1, 3.1) + rl("E", 2, 4, 8, 2.4, 4.6),
        {("K1.T1", "MAINS.L2"): 2, ("FAN.aux", "MAINS.L2"): 3, ("COMP.S", "MAINS.L2"): 4},
    ),
    "two transformers on one another, the middle one reversed": Case(
        """
unit: {name: chain}
supplies: {MAINS: {kind: single-phase, volts: 240}}
types:
  crossed:
    terminals: [H1, H2, R, C]
    elements: {core: {kind: transformer, primary: [H1, H2], secondary: [R, C], reversed: true}}
devices:
  X1: {type: transformer, volts: [240, 120], va: 400}
  X2: {type: crossed, volts: [120, 24], va: 40}
  HA: {type: heater, volts: 240, watts: 500}
  HB: {type: heater, volts: 120, watts: 50}
  HC: {type: heater, volts: 24, watts: 30}
  M: {type: motor-1ph, volts: 24, fla: 1, lra: 4}
rungs:
  - {id: A, path: [MAINS.L, HA, X1.H1]}
  - {id: B, path: [MAINS.N, X1.H2]}
  - {id: C, path: [X1.R, HB, X2.H1]}
  - {id: D, path: [X1.C, X2.H2]}
  - {id: E, path: [X2.R, HC, M, MAINS.N]}
  - {id: F, path: [X2.C, MAINS.N]}
""",
        # motor-1ph as a winding: |Z| = volts / lra at power factor 0.6
        f"V1 1 0 ac 240 0 {W!r}\nRHA 1 2 115.2\nTF1 3 0 2 0 0.5\nRHB 3 4 288\n"
         "TF2 5 0 4 0 -0.2\nRHC 5 6 19.2\n"
        + rl("M", 6, 0, 7, 3.6, 4.8),
        {("X1.H1", "X1.H2"): 2, ("X1.R", "X1.C"): 3, ("X2.H1", "X2.H2"): 4, ("X2.R", "X2.C"): 5,
         ("M.1", "M.2"): 6},
    ),
    "an unearthed secondary that floats between two heaters on the line": Case(
        """
unit: {name: floats}
supplies: {MAINS: {kind: split-phase, volts: 240}}
devices:
  X1: {type: transformer, volts: [240, 24], va: 400}
  HA: {type: heater, volts: 120, watts: 100}
  HB: {type: heater, volts: 120, watts: 40}
  HC: {type: heater, volts: 24, watts: 10}
rungs:
  - {id: A, path: [MAINS.L1, X1.H1]}
  - {id: B, path: [MAINS.L2, X1.H2]}
  - {id: C, path: [MAINS.L1, HA, X1.R]}
  - {id: D, path: [X1.C, HB, MAINS.N]}
  - {id: E, path: [X1.R, HC, X1.C]}
""",
        f"V1 1 0 ac 120 0 {W!r}\nV2 0 2 ac 120 0 {W!r}\nTF1 3 4 1 2 0.1\n"
         "RHA 1 3 144\nRHB 4 0 360\nRHC 3 4 57.6\n",
        {("X1.R", "MAINS.N"): 3, ("X1.C", "MAINS.N"): 4},
    ),
}  # fmt: skip


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", CASES)
def test_volts(name: str) -> None:
    from lcapy import Circuit

    case = CASES[name]
    theirs, ours = Circuit(case.netlist), look(case.unit)
    found = {ends: abs(ours.volts(*ends)) for ends in case.volts}
    expected = {
        ends: abs(complex(theirs[node].V.phasor().evalf(12).expr)) for ends, node in case.volts.items()
    }
    assert found == {ends: pytest.approx(volts, rel=1e-5) for ends, volts in expected.items()}
    assert min(expected.values()) > 0.1
