"""What flows through a conductor: the sum of what lies beyond it is what the engine finds in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.units import PLANT
from wirecheck.checks.pair import Pair
from wirecheck.checks.ratings.moments import live
from wirecheck.checks.ratings.scene import Scene
from wirecheck.circuit.apply import load_change_pair

if TYPE_CHECKING:
    from pathlib import Path

NOTHING = "change: {name: nothing}\nsteps:\n  - run: {id: W99, from: MAINS.PE, to: GND.3}\n"


def scene(folder: Path, unit: str) -> Scene:
    (folder / "unit.yaml").write_text(unit, encoding="utf-8")
    (folder / "change.yaml").write_text(NOTHING, encoding="utf-8")
    return Scene(Pair(load_change_pair(folder / "unit.yaml", folder / "change.yaml")))


def beyond(folder: Path, wire: str) -> float:
    """The most amps of what lies beyond a conductor, in any state."""
    found = scene(folder, PLANT)
    each = [found.now.items(look).get(wire, ()) for look in found.new]
    return max(abs(sum(i.amps for i in items)) for items in each)


def in_its_place(folder: Path, wire: str) -> float:
    """The same by the engine, a milliohm in the conductor's place."""
    line = next(text for text in PLANT.splitlines() if f"id: {wire}," in text)
    a, b = (line.partition(f"{key}: ")[2].partition(",")[0].rstrip("}") for key in ("from", "to"))
    shunt = f"  - {{id: Z1, from: {a}, to: SHUNT.1}}\n  - {{id: Z2, from: SHUNT.2, to: {b}}}"
    unit = PLANT.replace(line, shunt).replace("  GND:", "  SHUNT: {type: resistor, ohms: 0.001}\n  GND:")
    found = scene(folder, unit)
    return max(abs(look.view.amps("SHUNT.resistor", {})) for look in found.new)


# Standstill: main 240/|1.1 + j3.1| = 73.0 A, auxiliary 240/|2.4 - j54.3| = 4.41 A, and so on.
@pytest.mark.parametrize("wire", ["W3", "W4", "W5", "W6", "W7", "W8", "W9", "W10", "W13", "W14", "W15"])
def test_sum_of_what_lies_beyond(tmp_path: Path, wire: str) -> None:
    assert beyond(tmp_path, wire) == pytest.approx(in_its_place(tmp_path, wire), rel=2e-3)


def test_bonds_and_earth_carry_nothing(tmp_path: Path) -> None:
    found = scene(tmp_path, PLANT)
    for look in found.new:
        assert not {"W16", "W17"} & set(found.now.items(look))


def test_nothing_is_said_of_conductors_side_by_side(tmp_path: Path) -> None:
    """How two in parallel share a current is not known; what leads to both carries it all."""
    found = scene(tmp_path, PLANT + "  - {id: W18, from: K1.T1, to: COMP.C, gauge: 10 AWG}\n")
    each = [found.now.items(look) for look in found.new]
    assert not any({"W3", "W18"} & set(items) for items in each)
    assert any("COMP.main" in {i.element for i in items.get("W1", ())} for items in each)


# 40 VA at the volts of the line; a winding counts as fed above 10 V.
@pytest.mark.parametrize(("volts", "amps"), [(120, 40 / 120), (11, 40 / 11), (10, 0)])
def test_a_transformer_between_the_only_two_potentials(tmp_path: Path, volts: int, amps: float) -> None:
    """The neutral is bonded to earth, so no third potential is known beside those that feed it."""
    unit = f"""\
unit: {{name: one transformer}}
supplies: {{MAINS: {{kind: single-phase, volts: {volts}}}}}
devices:
  X1: {{type: transformer, volts: [{volts}, 24], va: 40}}
  GND: {{type: earth-bar, terminals: 3}}
wires:
  - {{id: W1, from: MAINS.L, to: X1.H1}}
  - {{id: W2, from: X1.H2, to: MAINS.N}}
  - {{id: W3, from: MAINS.N, to: GND.1}}
  - {{id: W4, from: MAINS.PE, to: GND.2}}
"""
    found = scene(tmp_path, unit)
    (look,) = found.new
    assert abs(sum(i.amps for i in found.now.items(look).get("W1", ()))) == pytest.approx(amps)


def test_what_is_live_in_a_network(tmp_path: Path) -> None:
    """HA and HB halve 120 V between them; HD hangs on their joint, live and without current."""
    unit = """\
unit: {name: two in series}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  HA: {type: heater, volts: 120, watts: 60}
  HB: {type: heater, volts: 120, watts: 60}
  HD: {type: heater, volts: 120, watts: 60}
  GND: {type: earth-bar, terminals: 3}
wires:
  - {id: W1, from: MAINS.L, to: HA.1}
  - {id: W2, from: HA.2, to: HB.1}
  - {id: W3, from: HB.2, to: MAINS.N}
  - {id: W4, from: HB.1, to: HD.1}
"""
    (look,) = scene(tmp_path, unit).new
    volts, _, carry = live(look)
    assert [round(v.real, 3) for ref, v in volts if ref == ""].count(60) == 2  # the joint, and HD's far end
    assert len(carry) == 1
    off = scene(tmp_path, unit.replace("  - {id: W3, from: HB.2, to: MAINS.N}\n", ""))
    assert [live(look)[2] for look in off.new] == [()]


def test_the_part_of_a_single_load_carries(tmp_path: Path) -> None:
    unit = """\
unit: {name: one heater}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  HA: {type: heater, volts: 120, watts: 60}
  GND: {type: earth-bar, terminals: 3}
wires:
  - {id: W1, from: MAINS.L, to: HA.1}
  - {id: W2, from: HA.2, to: MAINS.N}
"""
    (look,) = scene(tmp_path, unit).new
    assert len(live(look)[2]) == 1
