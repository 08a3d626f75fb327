"""Symmetrical components and the two-winding motor, against examples of textbooks, all from memory."""

from __future__ import annotations

import cmath
import math

import pytest

from wirecheck.engine.judge import sequence_volts, sequence_word, torque


def polar(size: float, degrees: float) -> complex:
    return cmath.rect(size, math.radians(degrees))


@pytest.mark.parametrize(
    ("phasors", "positive", "negative"),
    [
        # From memory: Grainger, Stevenson, Power System Analysis (1994), example 11.1: one conductor open,
        # 10 A at 0 and 180 deg: I1 = 5.78 at -30, I2 = 5.78 at 30 deg (10/√3).
        ((polar(10, 0), polar(10, 180), 0j), 5.774, 5.774),
        # From memory: Glover, Sarma, Overbye, Power System Analysis and Design, example 8.1: 277 V
        # balanced, abc.
        ((polar(277, 0), polar(277, -120), polar(277, 120)), 277, 0),
        # The same, example 8.2: Y load with reverse sequence acb: 10 A: I2 = 10.
        ((polar(10, 0), polar(10, 120), polar(10, -120)), 0, 10),
        # The same, example 8.3: Ia 10 at 0, Ib 0, Ic 10 at 120: I0 = 3.333 at 60, I1 = 6.667 at 0, I2 =
        # 3.333 at -60.
        ((polar(10, 0), 0j, polar(10, 120)), 6.667, 3.333),
    ],
)
def test_sequence_components(
    phasors: tuple[complex, complex, complex], positive: float, negative: float
) -> None:
    assert sequence_volts(*phasors) == pytest.approx((positive, negative), abs=0.001)


def test_voltage_unbalance() -> None:
    """236, 240, 229 V between lines: V2/V1 2.73 %.

    Source: from memory: CIGRÉ's formula, β = Σ V⁴ / (Σ V²)², V2/V1 = √((1 - √(3 - 6β)) / (1 + √(3 - 6β))).
    The greatest deviation over the mean is 2.55 %: NEMA MG 1 14.36, from memory.
    """
    ab, bc, ca = 236.0, 240.0, 229.0
    beta = (ab**4 + bc**4 + ca**4) / (ab**2 + bc**2 + ca**2) ** 2
    root = math.sqrt(3 - 6 * beta)
    expected = math.sqrt((1 - root) / (1 + root))
    positive, negative = sequence_volts(*triangle(ab, bc, ca))
    assert expected == pytest.approx(0.0273, abs=5e-5)
    assert negative / positive == pytest.approx(expected, rel=1e-6)
    mean = (ab + bc + ca) / 3
    assert max(abs(v - mean) for v in (ab, bc, ca)) / mean == pytest.approx(0.0255, abs=5e-5)
    assert sequence_word(positive / (230 / math.sqrt(3)), negative / (230 / math.sqrt(3))) == "runs"


def triangle(ab: float, bc: float, ca: float) -> tuple[complex, complex, complex]:
    """Three terminals with these volts between them, in the order a-b-c of falling angle."""
    b = complex(0, 0)
    a = complex(ab, 0)
    x = (ab**2 + bc**2 - ca**2) / (2 * ab)
    return a, b, complex(x, math.sqrt(bc**2 - x**2))


def test_terminals_of_the_triangle_turn_as_the_supply_does() -> None:
    """Positive sequence: a leads b leads c by 120 degrees."""
    positive, negative = sequence_volts(*triangle(208, 208, 208))
    assert positive == pytest.approx(208 / math.sqrt(3))
    assert negative == pytest.approx(0, abs=1e-9)


def test_capacitor_that_puts_the_currents_in_quadrature() -> None:
    """Main 4.5 + j3.7, auxiliary 9.5 + j3.5 ohm at 60 Hz: 177 uF puts the currents 90 degrees apart.

    Source: from memory: Fitzgerald, Kingsley, Umans, Electric Machinery (6th ed.), example 9.1, a 2.5
    kW 120 V
    capacitor-start motor.
    """
    capacitor = -1j / (2 * math.pi * 60 * 177e-6)
    main, aux = 120 / (4.5 + 3.7j), 120 / (9.5 + 3.5j + capacitor)
    assert torque(main, aux) == pytest.approx(abs(main) * abs(aux), rel=1e-4)


def test_torque_of_a_split_phase_motor() -> None:
    """|Im| |Ia| sin(angle between), and the other way round with the leads of one winding exchanged.

    Source: from memory: Chapman, Electric Machinery Fundamentals, split-phase windings: the auxiliary
    current leads.
    """
    main, aux = polar(8, -40), polar(4, -15)
    assert torque(main, aux) == pytest.approx(8 * 4 * math.sin(math.radians(25)))
    assert torque(main, -aux) == pytest.approx(-torque(main, aux))
    assert torque(main, polar(4, -40)) == pytest.approx(0, abs=1e-12)
