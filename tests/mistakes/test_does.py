"""What mistakes do, worked out by hand for the Playhouse's fan switch; and that fewer states tell as much."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.mistakes.sweep import change_of
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.questions.mistakes.answer import Work
from wirecheck.questions.mistakes.generate import generate
from wirecheck.questions.mistakes.judge import beside, does
from wirecheck.questions.mistakes.same import signature
from wirecheck.questions.mistakes.scene import scene_of
from wirecheck.questions.mistakes.trial import Trial, by_position, tried
from wirecheck.questions.mistakes.verdict import Judge

if TYPE_CHECKING:
    from collections.abc import Hashable

    from wirecheck.questions.mistakes.answer import Judged, Mistakes
    from wirecheck.questions.mistakes.mistake import Mistake


def row(answer: Mistakes, mistake: str) -> Judged:
    return next(r for r in answer.rows if r.mistake.id == mistake)


@pytest.mark.parametrize(
    ("mistake", "severity", "load", "right", "wrong"),
    [
        # PS opens the compressor's common: it stops, and the fan has both its lines.
        ("look-alike lifted: W6 for W7", "seen at once", "COMP", "runs", "off"),
        ("look-alike lifted: W6 for W7", "seen at once", "FAN", "off", "runs"),
        # The auxiliary stays across the line through its capacitor, the main has no current.
        ("in the wrong motor lead: W9 for W7", "destroys something", "FAN", "off", "stalls"),
        # The main stays across the line by itself.
        ("in the wrong motor lead: W10 for W7", "destroys something", "FAN", "off", "stalls"),
        ("bridged: PS.1 to PS.2", "seen at once", "FAN", "off", "runs"),
        ("other sense: PS", "seen at once", "FAN", "runs", "off"),
        # Both leads of the fan on T1.
        ("wrong terminal: W21 on K1.T1 for K1.T2", "does not do its job", "FAN", "runs", "off"),
        # The fan's common on L1: across the line while the contactor is out, HP tripped or not.
        ("wrong terminal: W21 on K1.L1 for K1.T2", "protection lost", "FAN", "off", "runs"),
        # A hot conductor hangs in the panel.
        ("end forgotten: W7 off S1", "hurts someone", "FAN", "runs", "off"),
        # L2 to earth, ahead of the switch.
        ("touches earth: W21", "destroys something", "COMP", "runs", "short"),
    ],
)
def test_what_it_does(
    playhouse: Mistakes, mistake: str, severity: str, load: str, right: str, wrong: str
) -> None:
    found = row(playhouse, mistake).does
    assert found.severity == severity
    assert (load, right, wrong) in {(d.name, d.right, d.wrong) for d in found.differs}


def test_t2_and_l2_are_one_bar(playhouse: Mistakes) -> None:
    found = row(playhouse, "wrong terminal: W21 on K1.L2 for K1.T2")
    assert found.does.severity == "never seen"
    assert found.verify.verdict == "pass"


def test_on_the_line_side_of_the_disconnect(playhouse: Mistakes) -> None:
    """Nothing runs otherwise; but with the disconnect open the fan's common is live."""
    found = row(playhouse, "wrong side of the string: W21 on DS.L2 for K1.T2").does
    assert found.severity == "hurts someone"
    assert "with DS open" in found.says[0]


def test_current_in_the_protective_earth_is_not_equal() -> None:
    """The return landed on PE, not on C: C is bonded to PE, so every terminal is joined as it should be."""
    changed = change_of("anti-short-cycle")
    name = "wrong terminal: W31 on MAINS.PE for X1.C"
    wrong = next(m for m in generate(changed, everywhere=True) if m.id == name).after
    assert signature(wrong) != signature(changed.after)
    found = does(tried(beside(changed.after, wrong), Plain(changed.after), Plain(wrong)))
    assert found.severity == "hurts someone"
    assert "protective earth" in found.says[0]


def test_fed_through_another_load_is_not_equal() -> None:
    """The fan hangs on the compressor's start winding, where it runs all the same."""
    changed = change_of("tidewater-playhouse")
    name = "wrong terminal: W21 on COMP.S for K1.T2"
    wrong = next(m for m in generate(changed, everywhere=True) if m.id == name).after
    found = does(tried(beside(changed.after, wrong), Plain(changed.after), Plain(wrong)))
    assert found.severity == "does not do its job"
    assert "through COMP" in found.says[0]


def test_what_a_device_feels_is_not_in_this_model() -> None:
    changed = change_of("greenhouse-fan")
    wrong = next(m for m in generate(changed) if m.id == "conductor forgotten: W30").after
    found = does(tried(beside(changed.after, wrong), Plain(changed.after), Plain(wrong)))
    assert found.severity == "not in this model"
    assert found.matters


@pytest.mark.parametrize(
    "mistake",
    [
        "look-alike lifted: W6 for W7",
        "in the wrong motor lead: W9 for W7",
        "wrong terminal: W21 on K1.L1 for K1.T2",
        "wrong terminal: W21 on K1.L2 for K1.T2",
        "on the wrong port: PS on suction_pressure",
    ],
)
def test_fewer_states_tell_as_much(mistake: str) -> None:
    changed = change_of("tidewater-playhouse")
    wrong = next(m for m in generate(changed) if m.id == mistake).after
    pair = beside(changed.after, wrong)
    few = tried(pair, Plain(changed.after), Plain(wrong))
    every = Trial(pair, Plain(changed.after), Plain(wrong))
    one, other = does(few), does(every)
    assert one.severity == other.severity
    assert {(d.name, d.right, d.wrong) for d in one.differs} == {
        (d.name, d.right, d.wrong) for d in other.differs
    }
    assert few.count <= every.count


def test_a_switch_that_feels_another_quantity_needs_every_state() -> None:
    changed = change_of("tidewater-playhouse")
    mistakes = {m.id: m for m in generate(changed)}
    felt = mistakes["on the wrong port: PS on suction_pressure"].after
    assert by_position(beside(changed.after, felt)) is None
    assert by_position(beside(changed.after, mistakes["other sense: PS"].after)) is not None


def test_every_loose_end_that_is_live_is_told() -> None:
    # Two mistakes may join the same terminals and leave different ends hanging: both may be live.
    changed = change_of("hard-start")
    work = Work(changed, scene_of(Plain(changed.after), ()), Judge(changed), signature(changed.after))
    joined: dict[Hashable, dict[frozenset[str], Mistake]] = {}
    for m in generate(changed):
        if m.after.loose:
            joined.setdefault(signature(m.after), {})[m.after.loose] = m
    alike = next(list(found.values()) for found in joined.values() if len(found) > 1)
    told = {next(s for s in work.of(m)[0].says if "hangs loose and is live" in s) for m in alike}
    assert len(told) == len(alike)  # one end is on the line, the other behind the relay: other volts
