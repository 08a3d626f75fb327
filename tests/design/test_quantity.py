"""Figures with units against published conversions, and what is no figure."""

from __future__ import annotations

import pytest

from wirecheck import quantity
from wirecheck.quantity import QuantityError, gauge, length_m, read, show


# Factors of NIST SP 811 (2008) appendix B.8, from memory; temperatures by definition.
@pytest.mark.parametrize(
    ("text", "bare", "si"),
    [
        ("400 psig", "V", None),
        ("100 psig", "psig", 689_475.7),
        ("28 bar", "psig", 2_800_000.0),
        ("14.696 psia", "psig", 0.0),
        ("1 bara", "psig", -1_325.0),
        ("10 inHg", "psig", -33_863.89),
        ("10 inHg vacuum", "psig", -33_863.89),
        ("1 inWC", "Pa", 249.0889),
        ("250 kPa", "psig", 250_000.0),
        ("4.2 MPa", "psig", 4_200_000.0),
        ("95 degF", "degC", 308.15),
        ("35 degC", "degF", 308.15),
        ("308.15 K", "degF", 308.15),
        ("-40 degF", "degC", 233.15),
        ("1.5 in", "in", 0.0381),
        ("1 1/2 in", "in", 0.0381),
        ("4 ft", "in", 1.2192),
        ("100 cfm", "cfm", 0.04719474),
        ("10 gpm", "gpm", 6.309020e-4),
        ("6 L/min", "gpm", 1e-4),
        ("3.6 m3/h", "gpm", 1e-3),
        ("100 fpm", "fpm", 0.508),
        ("3 min", "s", 180.0),
        ("1 fc", "lux", 10.76391),
        ("40", "VA", 40.0),
        ("5 uF", "uF", 5e-6),
        ("45 mfd", "uF", 45e-6),
        ("5 \N{MICRO SIGN}F", "uF", 5e-6),
        ("2.2 kohm", "ohm", 2200.0),
        ("5 k\N{OHM SIGN}", "ohm", 5000.0),
        ("85 %", "%", 85.0),
        ("55 % RH", "%", 55.0),
        ("240v", "V", 240.0),
        ("1e3", "V", 1000.0),
    ],
)
def test_si(text: str, bare: str, si: float | None) -> None:
    if si is None:
        with pytest.raises(QuantityError) as error:
            read(text, bare)
        assert error.value.code == "wrong-unit"
    else:
        assert read(text, bare).si == pytest.approx(si, rel=1e-5, abs=10.0 if "psia" in text else 1e-12)


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("nan", "not-a-number", "nan is not a number"),
        ("inf", "not-a-number", "inf is not"),
        (".inf", "not-a-number", ".inf is not"),
        ("1_000", "not-a-number", "1_000"),
        ("0x10", "unknown-unit", "no unit is called x10"),
        ("1/0 psig", "not-a-number", "1/0"),
        ("208-240", "not-a-number", "208-240"),
        ("208/230", "not-a-number", "two figures"),
        ("350/250 psig", "not-a-number", "two figures"),
        ("2,5 psig", "not-a-number", "decimal point"),
        ("1,000 psig", "not-a-number", "thousands"),
        ("", "not-a-number", ""),
        ("400 psgi", "unknown-unit", "Meant psig or psia?"),
        ("400 V", "wrong-unit", "V is a unit of voltage, not of pressure"),
        ("-15 psig", "impossible-figure", "perfect vacuum"),
        ("1e12", "figure-too-great", "beyond"),
        ("4 mpa", "unknown-unit", "Meant MPa"),
    ],
)
def test_no_pressure(text: str, code: str, words: str) -> None:
    with pytest.raises(QuantityError) as error:
        read(text, "psig")
    assert error.value.code == code
    assert words in error.value.message


def test_bare_number_takes_the_unit_and_shows_it() -> None:
    measure = read(" 375 ", "psig")
    assert measure.text == "375 psig"
    assert measure.figure == pytest.approx(375)
    assert show(measure.si, "psig") == "375 psig"
    assert show(measure.si, "bar") == "25.86 bar"
    assert show(0.0, "V") == "0 V"


def test_level_may_lie_below_its_mark_and_flow_not() -> None:
    assert read("-2 in", "in").si == pytest.approx(-0.0508)
    with pytest.raises(QuantityError):
        read("-2 gpm", "gpm")


def test_units_that_a_switch_senses() -> None:
    assert quantity.unit("F").name == "degF"
    with pytest.raises(QuantityError) as error:
        quantity.unit("ohm")
    assert error.value.code == "wrong-unit"


# Diameter and area: ASTM B258 as tabulated in facts.md 2.1; 2/0 AWG 67.43 mm2 from memory of the same.
@pytest.mark.parametrize(
    ("text", "canonical", "awg", "area"),
    [
        ("18 AWG", "18 AWG", 18, 0.823),
        ("18", "18 AWG", 18, 0.823),
        ("#12", "12 AWG", 12, 3.309),
        ("10awg", "10 AWG", 10, 5.261),
        ("2/0", "2/0 AWG", -1, 67.43),
        ("1.5 mm2", "1.5 mm2", None, 1.5),
        ("2.5mm\N{SUPERSCRIPT TWO}", "2.5 mm2", None, 2.5),
    ],
)
def test_gauge(text: str, canonical: str, awg: int | None, area: float) -> None:
    found = gauge(text)
    assert (found.text, found.awg) == (canonical, awg)
    assert found.area_mm2 == pytest.approx(area, rel=1e-3)


@pytest.mark.parametrize("text", ["1.5", "thick", "4 ft", "0 mm2", "-1 mm2", "60 AWG", "5/0"])
def test_no_gauge(text: str) -> None:
    with pytest.raises(QuantityError):
        gauge(text)


def test_length_of_a_conductor_is_in_feet() -> None:
    assert length_m("4") == length_m("4 ft") == pytest.approx(1.2192)
    assert length_m("1 m") == 1.0
