"""Phasors of supplies, against symmetrical components and the geometry of the triangle."""

from __future__ import annotations

import cmath
import math

import pytest

from wirecheck.circuit.poles import phasors
from wirecheck.problem import BadInput

TURN = cmath.rect(1, math.radians(120))


def positive_and_negative(a: complex, b: complex, c: complex) -> tuple[float, float]:
    """|V1| and |V2|. Source: Fortescue's symmetrical components, any power systems textbook."""
    return abs(a + TURN * b + TURN**2 * c) / 3, abs(a + TURN**2 * b + TURN * c) / 3


@pytest.mark.parametrize("kind", ["three-phase", "delta-high-leg"])
def test_three_poles_turn_l1_l2_l3(kind: str) -> None:
    v = phasors(kind, 240)
    forward, backward = positive_and_negative(v["L1"], v["L2"], v["L3"])
    assert forward == pytest.approx(240 / math.sqrt(3))
    assert backward == pytest.approx(0, abs=1e-9)
    for a, b in (("L1", "L2"), ("L2", "L3"), ("L3", "L1")):
        assert abs(v[a] - v[b]) == pytest.approx(240)


def test_high_leg_stands_above_the_middle_of_l1_l3() -> None:
    v = phasors("delta-high-leg", 240)
    assert (v["L1"] + v["L3"]) / 2 == v["N"] == 0
    assert abs(v["L1"]) == 120
    assert abs(v["L2"]) == pytest.approx(207.85, abs=0.01)  # 240 * sqrt(3) / 2


def test_two_legs_of_a_wye() -> None:
    """120 V to N, 207.8 V between (facts.md 2.3, computed)."""
    v = phasors("two-legs-of-wye", 208)
    assert abs(v["L1"] - v["L2"]) == pytest.approx(208)
    assert abs(v["L1"]) == abs(v["L2"]) == pytest.approx(120.09, abs=0.01)
    assert "L3" not in v


def test_split_phase_and_single_phase() -> None:
    assert phasors("split-phase", 240) == {"L1": 120, "L2": -120, "N": 0, "PE": 0}
    assert phasors("single-phase", 120) == {"L": 120, "N": 0, "PE": 0}


def test_sources_follow_the_chain(unit) -> None:
    poles = unit("""
        supplies:
          A: {kind: split-phase, volts: 240}
          B: {kind: single-phase, volts: 120, same_source_as: A}
          C: {kind: single-phase, volts: 120, same_source_as: B}
          D: {kind: single-phase, volts: 120}
    """).poles
    assert {t: p.source for t, p in poles.items() if t.endswith((".L", ".L1"))} == {
        "A.L1": "A", "B.L": "A", "C.L": "A", "D.L": "D",
    }  # fmt: skip
    assert {p.source for t, p in poles.items() if t.endswith((".N", ".PE"))} == {""}


def test_a_ring_of_sources_is_said_of_each_in_it(unit) -> None:
    with pytest.raises(BadInput) as bad:
        unit("""
            supplies:
              A: {kind: single-phase, volts: 120, same_source_as: B}
              B: {kind: single-phase, volts: 120, same_source_as: A}
              C: {kind: single-phase, volts: 120, same_source_as: Bx}
        """)
    assert [p.code for p in bad.value.problems] == ["source-loop", "source-loop", "unknown-supply"]
    assert "Meant B" in bad.value.problems[2].message


def test_one_frequency(unit) -> None:
    supplies = (
        "supplies:\n  A: {kind: single-phase, volts: 230, hertz: 50}\n  B: {kind: single-phase, volts: 120%s}"
    )
    assert unit(supplies % "").hertz == 50
    assert unit("supplies: {}").hertz == 60
    with pytest.raises(BadInput) as bad:
        unit(supplies % ", hertz: 60")
    assert [p.code for p in bad.value.problems] == ["hertz-differ"]
