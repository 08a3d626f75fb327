"""What flows through a conductor: the sum of what lies beyond it is what the engine finds in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.units import PLANT
from wirecheck.checks.pair import Pair
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
