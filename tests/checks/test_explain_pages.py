"""The page of each check: its wrong change fails that check, its right one passes the whole of `verify`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from wirecheck.checks.every import CHECKS
from wirecheck.circuit.apply import load_change_pair
from wirecheck.design.explain import codes, explain
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.questions.verify import Verified

NAMES = [name for name, _ in CHECKS]
FAILING = [name for name in NAMES if name != "live-parts"]


def example(page: str, word: str) -> str:
    """The one example of a page under a word."""
    (found,) = re.findall(rf"^{word}:\n\n```yaml\n(.*?)```", explain(page), re.DOTALL | re.MULTILINE)
    return str(found)


def answer(folder: Path, page: str, word: str) -> Verified:
    (folder / "unit.yaml").write_text(example(page, "Unit"), encoding="utf-8")
    (folder / "change.yaml").write_text(example(page, word), encoding="utf-8")
    return verify(load_change_pair(folder / "unit.yaml", folder / "change.yaml"))


def test_every_check_has_a_page() -> None:
    assert set(NAMES) - set(codes()) == set()


@pytest.mark.parametrize("name", FAILING)
def test_the_wrong_change_fails_it(name: str, tmp_path: Path) -> None:
    found = answer(tmp_path, name, "Wrong")
    assert name in {f.check for f in found.findings if f.verdict == "fail"}, found.findings


@pytest.mark.parametrize("name", NAMES)
def test_the_right_change_passes(name: str, tmp_path: Path) -> None:
    found = answer(tmp_path, name, "Right")
    assert found.verdict == "pass", found.findings


def live(found: Verified) -> set[str]:
    return {f.subject for f in found.findings if f.check == "live-parts" and "not dead" in f.says}


def test_live_parts_is_a_note(tmp_path: Path) -> None:
    """One line switched leaves the other on the fan; a contactor of two poles neither."""
    assert live(answer(tmp_path, "live-parts", "Wrong")) == {"FAN"}
    assert live(answer(tmp_path, "live-parts", "Right")) == set()


def test_earth_faults_are_told(tmp_path: Path) -> None:
    """Between valve and C the float switch is bypassed; on the hot side F1 opens."""
    wrong = " ".join(f.says for f in answer(tmp_path, "earth-faults", "Wrong").findings)
    assert "SV on with FS open, which keeps it off otherwise" in wrong
    right = " ".join(f.says for f in answer(tmp_path, "earth-faults", "Right").findings)
    assert "touching earth: X1 is shorted with TH closed: F1 opens" in right
    assert "SV on" not in right
