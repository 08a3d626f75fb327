"""What is said does not hang on the order in which Python's sets come, which is another in each process."""

from __future__ import annotations

import pytest

from tests.cli.conftest import ROOT, wirecheck

UNITS = ROOT / "wirecheck" / "library" / "units"
# A valve of which two figures are not given; motors on three phases.
CHANGES = (
    "cold-store/changes/pump-down.yaml",
    "rooftop-three-phase/changes/blower-interlock.yaml",
)


@pytest.mark.parametrize("change", CHANGES)
def test_the_same_in_every_process(change: str) -> None:
    path = UNITS / change
    said = {
        wirecheck("verify", path.parents[1] / "unit.yaml", path, PYTHONHASHSEED=seed).out for seed in "1234"
    }
    assert len(said) == 1
    assert "pass" in said.pop()
