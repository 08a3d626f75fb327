"""Each specimen has one fault, told by its name; the exact problem lines stand beside it.

A specimen that is a change is read with `_unit.yaml`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit
from wirecheck.problem import BadInput

INVALID = Path(__file__).parent.parent / "specimens" / "invalid"
SOUND = INVALID / "_unit.yaml"
SPECIMENS = sorted(p for p in INVALID.glob("*.yaml") if p != SOUND)


def concise(path: Path) -> str:
    """The problem lines of a specimen, read as the commands read it, file names without folder."""
    is_change = path.read_bytes().startswith(b"change:")
    try:
        _ = load_change_pair(SOUND, path) if is_change else load_circuit(path)
    except BadInput as bad:
        return "".join(
            f"{Path(p.place.file).name}:{p.place.line}:{p.place.column}: {p.code}: {p.message}\n"
            for p in bad.problems
        )
    return ""


@pytest.mark.parametrize("path", SPECIMENS, ids=lambda p: p.stem)
def test_specimen(path: Path) -> None:
    assert concise(path) == path.with_suffix(".txt").read_text(encoding="utf-8")


def test_the_unit_beside_them_is_sound() -> None:
    assert concise(SOUND) == ""


def test_every_text_has_its_specimen() -> None:
    assert {p.stem for p in INVALID.glob("*.txt")} == {p.stem for p in SPECIMENS}
