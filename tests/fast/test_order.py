"""Which coils need to be moved one at a time: engine.md section 4, Settling, worked by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.build import load_circuit
from wirecheck.engine.answers import Potential
from wirecheck.engine.network import unlike
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.order import needs_order

if TYPE_CHECKING:
    from pathlib import Path

TAPS = """\
unit: {name: a coil beside two voltages}
supplies:
  A: {kind: single-phase, volts: 24}
  B: {kind: single-phase, volts: %s, same_source_as: A}
devices:
  K: {type: relay-no, coil: {volts: 24, va: 8, drop_out: 58}}
wires:
  - {id: W1, from: A.L, to: K.A1}
  - {id: W2, from: K.A2, to: A.N}
"""

RING = """\
unit: {name: a ring over a transformer}
supplies: {MAINS: {kind: split-phase, volts: 240}}
devices:
  X1: {type: transformer, volts: [240, 24], va: 40}
  K1: {type: relay-changeover, coil: {volts: 240, va: 10, inrush: 40, drop_out: 60}}
  K2: {type: relay-changeover, coil: {volts: 24, va: 8, inrush: 33}}
rungs:
  - {id: A, path: [MAINS.L1, K2.C-NC, K1.coil, MAINS.L2]}
  - {id: B, path: [MAINS.L1, K1.C-NO, X1.H1]}
  - {id: C, path: [X1.H2, MAINS.L2]}
  - {id: D, path: [X1.R, K2.coil, X1.C]}
"""


def order(folder: Path, text: str) -> frozenset[int]:
    (folder / "unit.yaml").write_text(text, encoding="utf-8")
    return needs_order(Plain(load_circuit(folder / "unit.yaml")), (), frozenset())


@pytest.mark.parametrize(("volts", "keeps"), [(13.8, True), (13.5, False)])
def test_volts_that_a_coil_may_stay_in_at(tmp_path: Path, volts: float, keeps: bool) -> None:
    """Drop-out is 58 %, or 95 % of a pick-up that may be 60 %: 57 %. 13.8 of 24 V are 57.5 %, 13.5 are 56 %.

    The 24 V pull it in, and what lies between both supplies, 10.2 or 10.5 V, lets it drop.
    """
    assert order(tmp_path, TAPS % volts) == (frozenset({0}) if keeps else frozenset())


def test_a_ring_that_leads_over_a_transformer(tmp_path: Path) -> None:
    """K1 puts X1 on the line, X1 feeds K2, and K2 cuts K1 off, which keeps nothing by itself."""
    assert order(tmp_path, RING) == {0, 1}


@pytest.mark.parametrize(
    ("one", "other", "differ"),
    [
        (Potential("", 24, "A"), Potential("", 24, "A"), False),
        (Potential("", 24, "A"), Potential("", 12, "A"), True),
        (Potential("", 24, "A"), Potential("", 24, "B"), True),
        (Potential("", 24, "A"), Potential("~X1.core", 24, "A"), True),
    ],
)
def test_potentials_that_are_not_known_to_be_the_same(one: Potential, other: Potential, differ: bool) -> None:
    assert unlike(one, other) is differ
