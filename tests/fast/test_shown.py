"""What anyone is shown has been walked to on the plain evaluator; where that does not arrive, nothing is."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from wirecheck import api, cli
from wirecheck.circuit.apply import load_change_pair
from wirecheck.engine.fast import replay
from wirecheck.engine.fast.replay import Disagreement
from wirecheck.questions.leaving import leaving
from wirecheck.questions.lift import lift
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from collections.abc import Callable

    from wirecheck.circuit.graph import Circuit

FOLDER = Path(__file__).parents[2] / "examples" / "tidewater-playhouse"
UNIT, WRONG = str(FOLDER / "unit.yaml"), str(FOLDER / "change-compressor-lifted.yaml")


@pytest.fixture
def lost(monkeypatch: pytest.MonkeyPatch) -> None:
    """No walk arrives."""
    monkeypatch.setattr(replay, "alike", lambda *_: False)


def the_state_of_lift(circuit: Circuit) -> object:
    return leaving(circuit, "FAN", lift(circuit, "FAN").conductors[0])


@pytest.mark.usefixtures("lost")
@pytest.mark.parametrize("ask", [the_state_of_lift, lambda c: api.ground(UNIT).cases], ids=["lift", "drill"])
def test_a_state_of_a_unit(ask: Callable[[Circuit], object]) -> None:
    with pytest.raises(Disagreement):
        ask(api.unit_of(UNIT))


@pytest.mark.usefixtures("lost")
def test_a_counterexample() -> None:
    with pytest.raises(Disagreement):
        verify(load_change_pair(Path(UNIT), Path(WRONG)))


@pytest.mark.usefixtures("lost")
def test_the_command_gives_no_verdict(capfd: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["verify", UNIT, WRONG]) == 70
    out, err = capfd.readouterr()
    assert "fail" not in out
    assert "disagree" in err
