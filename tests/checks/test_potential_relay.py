"""The coil of a potential relay lies across the start winding, or its contact is not known to open at speed.

Common practice, no source: 5 to the common of the compressor, 2 to the start winding. The model has no
voltage of a turning rotor (engine.md section 3), so only where the coil lies can be told.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.apply import load_change_pair
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from wirecheck.checks.finding import Finding

JOB = Path(__file__).parents[2] / "examples/hard-start"
W33 = "from: PR.5,  to: K1.T1"


def of_relay(tmp_path: Path, wired: str) -> list[Finding]:
    """What `ratings` says of PR with W33 run as said."""
    text = (JOB / "change.yaml").read_text(encoding="utf-8")
    assert W33 in text
    change = tmp_path / "change.yaml"
    change.write_text(text.replace(W33, wired), encoding="utf-8")
    answer = verify(load_change_pair(JOB / "unit.yaml", change), noted=False)
    return [f for f in answer.findings if f.check == "ratings" and f.subject == "PR"]


@pytest.mark.parametrize(
    ("wired", "verdict"),
    [
        (W33, None),  # across the start winding
        ("from: RB.1, to: K1.T1", "fail"),  # PR.5 joined to nothing
        ("from: PR.5, to: CR1.2", "unknown"),  # across the run capacitor
    ],
)
def test_where_its_coil_lies(tmp_path: Path, wired: str, verdict: str | None) -> None:
    found = of_relay(tmp_path, wired)
    assert [f.verdict for f in found if f.verdict in ("fail", "unknown")] == ([verdict] if verdict else [])
    assert verdict is None or any("its contact" in f.says for f in found)
