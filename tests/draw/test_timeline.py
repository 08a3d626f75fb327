"""The ramp's picture: where bars begin and end, reckoned from the set points by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.cli.conftest import PLAYHOUSE, wirecheck
from wirecheck import api
from wirecheck.draw.pieces import Bar, Label
from wirecheck.draw.timeline import Stand, Track, Turn, sheet
from wirecheck.report.ramping import placed

if TYPE_CHECKING:
    from pathlib import Path

UNIT, CHANGE = str(PLAYHOUSE / "unit.yaml"), str(PLAYHOUSE / "change.yaml")


def test_happenings_lie_where_their_values_do() -> None:
    """250 to 450 and back to 250 is a way of 400 psi; 375 comes after 125 of them, 275 after 375."""
    _, answer = api.ramp(UNIT, CHANGE, "liquid_pressure", ("250", "450", "250"), "TH.cool closed")
    places, path = placed(answer)
    changing = [at for (at, _), h in zip(places, answer.happenings, strict=True) if h.changes]
    assert changing == pytest.approx([0.0, 125 / 400, 375 / 400])
    assert [at for at, _, is_end in path if is_end] == pytest.approx([0.0, 0.5, 1.0])


def test_bars_stand_where_something_works() -> None:
    stands = (
        Stand(0.0, 0.25, "off", "rests"),
        Stand(0.25, 0.75, "runs", "works"),
        Stand(0.75, 1.0, "?", "other"),
    )
    path = (Turn(0.0, 0.0, "250 psig"), Turn(1.0, 1.0, "450 psig"))
    drawn = sheet("x", path, (), (Track("FAN", stands),), "")
    bars = [p for panel in drawn.panels for p in panel.pieces if isinstance(p, Bar)]
    long = bars[1].right - bars[0].left
    assert [b.hatched for b in bars] == [False, True]
    assert (bars[0].right - bars[0].left) / long == pytest.approx(0.5 / 0.75)


def test_values_do_not_lie_on_each_other() -> None:
    marks = [Turn(0.5 + k / 100, 0.5, f"{370 + k} psig") for k in range(6)]
    drawn = sheet("x", (Turn(0.0, 0.0), Turn(1.0, 1.0)), marks, (), "")
    boxes = [p.box for panel in drawn.panels for p in panel.pieces if isinstance(p, Label)]
    assert not [(a, b) for k, a in enumerate(boxes) for b in boxes[k + 1 :] if a.overlaps(b)]


def test_the_command_draws(tmp_path: Path) -> None:
    file = tmp_path / "ramp.svg"
    done = wirecheck("ramp", UNIT, CHANGE, "liquid_pressure", "250", "450", "250", "-o", file)
    assert done.code == 0, done.err
    text = file.read_text(encoding="utf-8")
    assert text.startswith("<svg ")
    assert "rises past 375 psig: PS closed" in text  # told in words too
    assert (
        wirecheck("ramp", UNIT, CHANGE, "liquid_pressure", "250", "450", "-o", tmp_path / "a.png").code == 2
    )
