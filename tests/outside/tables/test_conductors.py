"""The table of conductors, and resistances by formula, against published figures.

NEC table 310.16 (two reprints of the 2023 edition; 18 and 16 AWG from memory), 240.4(D) (reprint), chapter 9
table 8 (text copy; an annotated page for 10 and 8 AWG): uncoated copper, solid, ohm per 1000 ft at 75 degC.
"""

from __future__ import annotations

import pytest

from wirecheck import quantity
from wirecheck.checks.ratings import conductors as rule
from wirecheck.checks.ratings.drops import ohms
from wirecheck.checks.tables import conductors
from wirecheck.circuit.elements import Conductor

# AWG: amperes at 60, 90 degC; greatest overcurrent device.
NEC = {
    18: (None, 14, 7), 16: (None, 18, 10), 14: (15, 25, 15), 12: (20, 30, 20), 10: (30, 40, 30),
    8: (40, 55, None), 6: (55, 75, None), 4: (70, 95, None), 3: (85, 115, None), 2: (95, 130, None),
}  # fmt: skip


@pytest.mark.parametrize("awg", NEC)
def test_ampacity(awg: int) -> None:
    size = conductors().size(f"{awg} AWG")
    assert size is not None
    assert (size.amps_60c, size.amps_90c, size.overcurrent) == NEC[awg]
    assert size.awg == awg


@pytest.mark.parametrize(
    ("gauge", "awg"), [("1.5 mm2", 16), ("2.5 mm2", 14), ("6 mm2", 10), ("16 mm2", 6), ("1/0 AWG", 2)]
)
def test_other_sizes_take_the_next_smaller_row(gauge: str, awg: int) -> None:
    size = conductors().size(gauge)
    assert size is not None
    assert size.awg == awg


def test_finer_than_the_table() -> None:
    assert conductors().size("20 AWG") is None
    # The law that is used there gives the table's own 90 degC column, within a fifth, one and two sizes up.
    for awg in (16, 14):
        size = conductors().size(f"{awg} AWG")
        assert size is not None
        assert rule.amps_by_area(f"{awg} AWG") == pytest.approx(size.amps_90c, rel=0.2)


# Chapter 9 table 8, ohm/kft at 75 degC, solid; facts.md W2: within 0.4 %.
TABLE_8 = {18: 7.77, 16: 4.89, 14: 3.07, 12: 1.93, 10: 1.21, 8: 0.764}
KFT = 304.8


@pytest.mark.parametrize("awg", TABLE_8)
def test_resistance(awg: int) -> None:
    wire = Conductor("W", "a", "b", gauge=f"{awg} AWG", length_m=KFT)
    assert ohms(wire, warm=True) == pytest.approx(TABLE_8[awg], rel=0.005)


def test_resistance_cold() -> None:
    """18 AWG at 20 degC: 6.385 ohm/kft (ASTM B258 and IEC 60028; facts.md 2.1)."""
    wire = Conductor("W", "a", "b", gauge="18 AWG", length_m=KFT)
    assert ohms(wire, warm=False) == pytest.approx(6.385, rel=1e-3)


@pytest.mark.parametrize(
    "wire", [Conductor("W", "a", "b", gauge="18 AWG"), Conductor("W", "a", "b", length_m=1.0)]
)
def test_nothing_is_lost_where_length_or_gauge_is_not_given(wire: Conductor) -> None:
    assert ohms(wire, warm=False) == 0.0


# ASTM B258: 0.0403 in, 0.823 mm2 at 18 AWG (facts.md W1).
def test_area() -> None:
    assert quantity.gauge("18 AWG").area_mm2 == pytest.approx(0.823, abs=5e-4)
