"""What is said does not hang on the order in which Python's sets come, which is another in each process."""

from __future__ import annotations

from tests.cli.conftest import ROOT, wirecheck

# A valve of which two figures are not given, which a note names together.
UNIT = ROOT / "wirecheck" / "library" / "units" / "cold-store"


def test_the_same_in_every_process() -> None:
    files = UNIT / "unit.yaml", UNIT / "changes" / "pump-down.yaml"
    said = {wirecheck("verify", *files, PYTHONHASHSEED=seed).out for seed in "123"}
    assert len(said) == 1
    assert "SV.coil.pick_up" in said.pop()
