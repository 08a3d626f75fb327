"""Impedances and estimates, against engine.md section 2 worked by hand."""

from __future__ import annotations

import cmath
import math

import pytest

from wirecheck.circuit.elements import Estimate
from wirecheck.problem import BadInput


def angle(z: complex) -> float:
    """The power factor of an impedance."""
    return math.cos(cmath.phase(z))


def test_coil_as_given_and_estimated(unit) -> None:
    circuit = unit("""
        devices:
          K1: {type: relay-no, coil: {volts: 24, va: 8, inrush: 33, pick_up: 18 V, drop_out: 50}}
          K2: {type: relay-no}
    """)
    given, lacking = circuit.elements["K1.coil"], circuit.elements["K2.coil"]
    assert (given.volts, given.va, given.inrush, given.pick_up, given.drop_out) == (24, 8, 33, 0.75, 0.5)
    assert lacking.volts == Estimate("K2.coil.volts", 24, 6, 1000)
    assert lacking.va == Estimate("K2.coil.va", 8, 2, 20)
    assert lacking.inrush is None
    assert lacking.inrush_ratio == Estimate("K2.coil.inrush", 4, 1, 8)
    assert lacking.pick_up == Estimate("K2.coil.pick_up", 0.85, 0.60, 0.85)
    assert lacking.drop_out == Estimate("K2.coil.drop_out", 0.60, 0.20, 0.75)


def test_resistors(unit) -> None:
    """Crankcase heater 240 V 40 W: 1440 ohm (facts.md 2.2, computed)."""
    elements = unit("""
        devices:
          H1: {type: crankcase-heater, volts: 240, watts: 40}
          H2: {type: heater, volts: 240}
          H3: {type: heater}
          R: {type: resistor, ohms: 15 kohm}
          P: {type: ptc-start}
    """).elements
    only = {tag: e for tag in ("H1", "H2", "H3", "R", "P") for e in elements.values() if e.device == tag}
    assert only["H1"].ohms == 1440
    assert only["H2"].ohms == Estimate("H2.watts", 576, 576 / 30, 576 * 30)
    assert isinstance(only["H3"].ohms, Estimate)
    assert only["R"].ohms == 15_000 and only["R"].volts is None
    assert only["P"].ohms == 25 and only["P"].starts


def test_psc_motor_from_locked_rotor_amps(unit) -> None:
    elements = unit("devices: {F: {type: psc-motor, volts: 240, lra: 3, fla: 1}}").elements
    main, aux = elements["F.main"], elements["F.aux"]
    assert abs(main.ohms) == pytest.approx(80) and angle(main.ohms) == pytest.approx(0.6)
    assert abs(aux.ohms) == pytest.approx(128) and angle(aux.ohms) == pytest.approx(0.7)
    assert main.ohms.imag > 0 and aux.ohms.imag > 0
    assert main.scale == Estimate("F.main", 1, 0.75, 1.25)
    assert aux.scale == Estimate("F.aux", 1, 0.75, 1.25)


@pytest.mark.parametrize(
    ("device", "lra"),
    [
        ("type: psc-motor, volts: 240, fla: 1.5", 3.0),  # a fan or pump: twice
        ("type: psc-compressor, volts: 240, rla: 10", 60.0),
        ("type: psc-compressor, volts: 240, fla: 10", 60.0),
        ("type: motor-1ph, volts: 120, fla: 2", 12.0),
        ("type: motor-3ph, volts: 208, fla: 5", 30.0),
        ("type: psc-motor, volts: 240, fla: 1.5, lra: 7", 7.0),
        ("type: psc-motor, volts: 240", None),
    ],
)
def test_locked_rotor_amps(unit, device: str, lra: float | None) -> None:
    circuit = unit(f"devices: {{M: {{{device}}}}}")
    assert circuit.loads["M"].lra == lra
    assert circuit.loads["M"].lra_given is ("lra" in device)
    assert bool(circuit.notes) is (lra is not None and "lra" not in device)


def test_three_phase_windings(unit) -> None:
    """208 V, 30 A locked: 208 / (sqrt 3 * 30) = 4.003 ohm in star; in delta 3 times for the same current."""
    text = """
        types:
          delta: {terminals: [A, B, C], reads: 3ph, elements: {u: {kind: winding, across: [A, B]},
                  v: {kind: winding, across: [B, C]}, w: {kind: winding, across: [C, A]}}}
        devices: {M: {type: motor-3ph, volts: 208, lra: 30}, D: {type: delta, volts: 208, lra: 30}}
    """
    circuit = unit(text)
    motor, delta = circuit.loads["M"], circuit.loads["D"]
    windings = [circuit.elements[i] for i in motor.main]
    assert [abs(w.ohms) for w in windings] == pytest.approx([4.003] * 3, abs=1e-3)
    assert {w.scale for w in windings} == {Estimate("M.r", 1, 0.75, 1.25)}
    assert motor.terminals == ("M.T1", "M.T2", "M.T3")
    assert delta.terminals == ("D.A", "D.B", "D.C")
    assert abs(circuit.elements["D.u"].ohms) == pytest.approx(12.01, abs=0.01)


def test_windings_as_given_and_taps(unit) -> None:
    elements = unit("""
        devices:
          F: {type: psc-motor, volts: 240, fla: 1, main: {r: 38, x: 75}}
          B: {type: psc-motor-3-speed, volts: 240, fla: 2, main: {r: 30, x: 40}}
          N: {type: psc-motor}
    """).elements
    assert (elements["F.main"].ohms, elements["F.main"].scale) == (38 + 75j, 1.0)
    assert elements["F.aux"].scale == Estimate("F.aux", 1, 0.75, 1.25)
    assert [elements[f"B.{t}"].ohms for t in ("high", "medium", "low")] == [30 + 40j, 37.5 + 50j, 48 + 64j]
    assert elements["N.main"].scale == elements["N.aux"].scale == Estimate("N.lra", 1, 0.1, 10)


def test_half_an_impedance_is_a_problem(unit) -> None:
    with pytest.raises(BadInput) as bad:
        unit("devices: {F: {type: psc-motor, volts: 240, fla: 1, main: {r: 38}}}")
    assert [p.code for p in bad.value.problems] == ["half-impedance"]


def test_transformers(unit) -> None:
    circuit = unit("""
        types:
          turned: {terminals: [A, B, C, D],
                   elements: {t: {kind: transformer, primary: [A, B], secondary: [C, D], reversed: true}}}
        devices:
          X: {type: transformer-2-tap, volts: [208, 240, 24], va: 40}
          Y: {type: turned, volts: [120, 24]}
    """)
    tapped = next(e for e in circuit.elements.values() if e.device == "X")
    assert tapped.windings == (("X.H1", "X.H2", 208), ("X.H1", "X.H3", 240), ("X.R", "X.C", 24))
    assert tapped.secondary == ("X.R", "X.C") and tapped.va == 40
    assert circuit.elements["Y.t"].windings == (("Y.A", "Y.B", 120), ("Y.C", "Y.D", -24))
    with pytest.raises(BadInput) as bad:
        unit("devices: {X: {type: transformer}, Y: {type: transformer-2-tap, volts: [240, 24]}}")
    assert [p.code for p in bad.value.problems] == ["transformer-volts"] * 2


def test_capacitors(unit) -> None:
    elements = unit("""
        devices:
          C1: {type: run-capacitor}
          C2: {type: start-capacitor, capacitance: 88 uF}
          C3: {type: dual-run-capacitor, herm: 45 uF, volts: 440}
    """).elements
    assert elements["C1.capacitor"].farads == Estimate("C1.capacitance", 10e-6, 1e-6, 100e-6)
    assert elements["C2.capacitor"].farads == pytest.approx(88e-6) and elements["C2.capacitor"].starts
    assert elements["C3.herm"].farads == pytest.approx(45e-6) and elements["C3.herm"].volts == 440
    assert elements["C3.fan"].farads == Estimate("C3.fan", 10e-6, 1e-6, 100e-6)
