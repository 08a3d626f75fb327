"""Whole texts at 80 columns, without colour. WRITE_GOLDEN=1 writes them anew, to be read."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.cli.conftest import Result

HERE = Path(__file__).parent
GOLDEN = HERE / "golden"
ROOT = HERE.parents[1]
UNIT, CHANGE = "tests/cli/data/unit.yaml", "tests/cli/data/change.yaml"
PLAYHOUSE, LOCKOUT = "examples/tidewater-playhouse", "examples/lockout"

TEXTS = {
    "verify-pass": (0, ["verify", UNIT, CHANGE]),
    "verify-fail": (1, ["verify", f"{PLAYHOUSE}/unit.yaml", f"{PLAYHOUSE}/change-main-lead.yaml"]),
    "verify-unknown": (3, ["verify", f"{LOCKOUT}/unit.yaml", f"{LOCKOUT}/change-borderline-relay.yaml"]),
    "verify-stays": (1, ["verify", f"{LOCKOUT}/unit.yaml", f"{LOCKOUT}/change-forgets-power.yaml"]),
    "states": (0, ["states", UNIT, CHANGE, "--when", "DS closed"]),
    "states-folded": (
        0,
        ["states", f"{PLAYHOUSE}/unit.yaml", f"{PLAYHOUSE}/change.yaml", "--when", "F1 closed"],
    ),
    "lift": (0, ["lift", UNIT, "FAN"]),
    "lift-look-alike": (0, ["lift", "tests/cli/data/look-alike.yaml", "FAN"]),
    "lift-none": (0, ["lift", "tests/cli/data/none-clean.yaml", "FAN"]),
    "meter": (0, ["meter", UNIT, "K1.T1", "K1.T2"]),
    "meter-floating": (0, ["meter", UNIT, CHANGE, "PS.1", "K1.T1", "--when", "DS open"]),
    "meter-live": (0, ["meter", UNIT]),
    "meter-at-step": (0, ["meter", UNIT, CHANGE, "W7", "K1.T1", "--at-step", "2"]),
    "ohms": (0, ["meter", UNIT, "FAN.common", "FAN.main", "--ohms", "--when", "DS open"]),
    "device": (0, ["devices", "pressure-switch"]),
    "bad-input": (2, ["verify", UNIT, "tests/cli/data/ambiguous.yaml"]),
}


@pytest.mark.parametrize("name", TEXTS)
def test_text(name: str, here: Callable[..., Result], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    code, args = TEXTS[name]
    done = here(*args)
    assert done.code == code
    path = GOLDEN / f"{name}.txt"
    if os.environ.get("WRITE_GOLDEN"):
        path.write_text(done.out + done.err, encoding="utf-8")
    assert done.out + done.err == path.read_text(encoding="utf-8")


def test_every_text_has_its_command() -> None:
    assert {path.stem for path in GOLDEN.iterdir()} == set(TEXTS)
