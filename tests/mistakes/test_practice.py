"""What the list asks for can be done on a roof: pressures that something brings, power that is really off."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, cast

import pytest
from msgspec.structs import replace

from tests.mistakes.sweep import EXAMPLES, change_of
from tests.mistakes.test_acceptance import whole_way, words_after
from wirecheck.circuit.apply import load_change_pair
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.questions.mistakes.acceptance import admitted
from wirecheck.questions.mistakes.answer import Mistakes, mistakes
from wirecheck.questions.mistakes.driven import Moved
from wirecheck.questions.mistakes.scene import Act, scene_of
from wirecheck.questions.mistakes.walk import easiest
from wirecheck.report.caution import LIVE, PROOF
from wirecheck.report.doing import do
from wirecheck.report.mistaken import method, page

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.engine.world import Setting
    from wirecheck.questions.mistakes.hunting import Hunt

DATA = Path(__file__).parent / "data"
LISTS = ("playhouse", "lockout", "pump_down", "pumps", "delayed")


@cache
def alarm() -> Mistakes:
    return mistakes(load_change_pair(DATA / "alarm.yaml", DATA / "alarm-change.yaml"))


def texts(answer: Mistakes) -> list[str]:
    return [do(answer, n) for n in range(1, len(answer.acceptance.steps) + 1)]


def test_a_safety_tripped_by_its_pressure_bears_its_caution(lockout: Mistakes, playhouse: Mistakes) -> None:
    tripping = [t for t in texts(lockout) if "as for a proof of it" in t]
    assert tripping
    assert all(PROOF in t for t in tripping)
    assert not any(PROOF in t for t in texts(playhouse))  # PS is moved by the running unit, HP is not tripped


def test_a_list_with_volts_says_that_it_is_live_work(playhouse: Mistakes) -> None:
    assert any(s.observation.kind == "volts" for s in playhouse.acceptance.steps)
    assert LIVE in " ".join(" ".join(line.text for line in page(playhouse, 80)).split())


# --- what drives a pressure ---


@pytest.mark.parametrize(
    ("name", "quantity", "up", "loads"),
    [
        # HP and LP lie in K1's coil circuit; K1 feeds compressor and fan
        ("lockout", "liquid_pressure", True, {"COMP", "FAN"}),
        ("lockout", "liquid_pressure", False, set()),
        # the same, but at home PS keeps the fan off
        ("tidewater-playhouse", "liquid_pressure", True, {"COMP"}),
        # K1 comes in only once the delay has run out
        ("anti-short-cycle", "liquid_pressure", True, {"COMP", "FAN"}),
        # HP and LP of the pump-down unit; the evaporator's fan runs on
        ("walk-in-pump-down", "suction_pressure", False, {"COMP", "FAN"}),
    ],
)
def test_a_load_that_a_switch_stops_drives_its_pressure(
    name: str, quantity: str, up: bool, loads: set[str]
) -> None:
    scene = scene_of(Plain(change_of(name).after), ())
    assert scene.driven.drivers[scene.world.quantities.index(quantity), up] == loads


def test_a_level_and_a_temperature_are_no_pressure() -> None:
    scene = scene_of(Plain(change_of("bakery-proofer").after), ())
    pressures = {scene.world.quantities[q] for q in scene.driven.pressures}
    assert pressures == {"head_pressure"}


def test_a_pressure_that_rises_with_nothing_running_is_a_strain() -> None:
    """HP's first range above home: with the call for cooling the compressor brings it, without it nothing."""
    scene = scene_of(Plain(change_of("lockout").after), ())
    usual = [v.normal for v in scene.world.variables]
    called = list(usual)
    called[scene.world.index["TH.cool"]] = True
    for bits, strain in ((called, 0), (usual, 4)):
        at = next(s for s in scene.world.settings() if list(s.bits) == bits and s.ranges == (0,))
        to = at._replace(ranges=(1,))
        assert scene.strain((Act(at), Act(to))) == strain
        assert scene.strain((Act(to),)) == 1  # left from a run before


# --- the lists ---


def acts(answer: Mistakes) -> Iterator[tuple[int, Setting, Setting]]:
    """(acts made since power-up, setting before, setting after) of every move of a list."""
    way: list[Setting] = []
    for step in answer.acceptance.steps:
        way = [] if step.again else way
        way += [a.setting for a in step.way]
        first = len(way) - len(step.way)
        yield from ((k, way[k - 1], way[k]) for k in range(max(first, 1), len(way)))


@pytest.mark.parametrize("which", LISTS)
def test_pressures_leave_home_only_while_the_compressor_runs(
    which: str, request: pytest.FixtureRequest
) -> None:
    answer: Mistakes = request.getfixturevalue(which)
    circuit = answer.changed.after
    for number, step in enumerate(answer.acceptance.steps, 1):
        whole = whole_way(answer, number)
        for k, moved in enumerate(step.moved):
            if moved is not None and moved.how not in ("by hand", "back"):
                ran = words_after(circuit, whole[: len(whole) - len(step.way) + k])
                assert all(w["COMP"] == "runs" for w in ran), do(answer, number)


@pytest.mark.parametrize("which", LISTS)
def test_each_act_is_one_move(which: str, request: pytest.FixtureRequest) -> None:
    answer: Mistakes = request.getfixturevalue(which)
    for _, one, other in acts(answer):
        assert one == other or other in [to for _, to in answer.scene.world.moves(one)]


@pytest.mark.parametrize("which", LISTS)
def test_a_fuse_is_pulled_with_the_disconnect_open(which: str, request: pytest.FixtureRequest) -> None:
    answer: Mistakes = request.getfixturevalue(which)
    index = answer.scene.world.index
    for _, one, other in acts(answer):
        if "F1" in index and one.bits[index["F1"]] != other.bits[index["F1"]]:
            assert other.bits[index["DS"]] != answer.scene.world.variables[index["DS"]].normal


@pytest.mark.parametrize("which", LISTS)
def test_power_is_not_said_to_be_off_behind_a_closed_disconnect(
    which: str, request: pytest.FixtureRequest
) -> None:
    answer: Mistakes = request.getfixturevalue(which)
    for text in texts(answer):
        off, _, _ = text.partition("; then power on")
        if "power on" in text:
            assert "DS open" in off or "off ahead of the unit, locked and tagged" in off, text


def test_a_cutout_is_tripped_while_the_compressor_runs(lockout: Mistakes) -> None:
    """The lockout is reset at the disconnect first: a locked-out compressor makes no pressure."""
    trip = (
        "trip HP as for a proof of it, with COMP and FAN running, until liquid_pressure rises to above "
        "610 psig: HP open; then wait until liquid_pressure falls to below 420 psig: HP closed"
    )
    resets = ("DS open; then DS closed; then ", "TH.cool open; then TH.cool closed; then ")
    assert any(text.startswith(tuple(r + trip for r in resets)) for text in texts(lockout))


def test_a_protection_that_no_hand_sets_is_told(lockout: Mistakes) -> None:
    said = "LP is a protection: trip it by its own test or by what it senses; where neither can be done"
    assert [said in text for text in texts(lockout)].count(True) == 1
    powered = [text.partition("; then power on") for text in texts(lockout)]
    assert not any("LP open" in before for before, on, _ in powered if on)


def test_where_nothing_drives_a_pressure_it_is_said_how_it_comes() -> None:
    first, second = texts(alarm())
    assert first.startswith("Before power, supply off ahead of the unit, locked and tagged: header_pressure")
    assert "header_pressure above 300 psig (by a test pressure at its switches, as nothing here" in second
    assert "Read at once" not in second


def test_without_a_disconnect_the_supply_is_away(tmp_path: Path) -> None:
    """The unit of the lockout with bars for its disconnect: the call for cooling resets it there."""
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    text = (EXAMPLES / "lockout/unit.yaml").read_text(encoding="utf-8")
    text = text.replace("disconnect-2p", "bars").replace("  - HTR on exactly when DS closed\n", "")
    unit.write_text(text + (DATA / "bars.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    steps = (EXAMPLES / "lockout/change.yaml").read_text(encoding="utf-8")
    change.write_text(steps.replace(" or DS open", ""), encoding="utf-8")
    said = texts(mistakes(load_change_pair(unit, change)))
    assert said[0].startswith("Before power, supply off ahead of the unit, locked and tagged: ")
    assert any(text.startswith("TH.cool open; then TH.cool closed; then trip HP") for text in said)


def test_what_is_left_of_a_run_is_told(lockout: Mistakes) -> None:
    """A step that powers up with the pressure still up, after one that ends with it at home."""
    step = lockout.acceptance.steps[0]
    left = Moved("liquid_pressure", True, "driven", ("COMP", "FAN"))
    up = step.way[0].setting._replace(ranges=(1,))
    later = replace(step, way=(Act(up),), moved=(None,), carried=(left,))
    answer = replace(lockout, acceptance=replace(lockout.acceptance, steps=(step, later)))
    assert do(answer, 2).startswith(
        "Supply off ahead of the unit, locked and tagged: liquid_pressure between 420 psig and 610 psig "
        "(still, from a run with COMP and FAN running just before), DS"
    )


def test_a_temperature_is_waited_for_or_made_at_its_sensor(pump_down: Mistakes) -> None:
    said = "wait until box_temperature falls to below 34 degF, or make it so at its sensor: TS open"
    assert [said in text for text in texts(pump_down)].count(True) == 1


def test_what_does_not_stay_is_read_at_once(pump_down: Mistakes) -> None:
    tripped = [t for t in texts(pump_down) if "trip HP" in t]
    assert [t.endswith("Read at once: head_pressure does not stay there.") for t in tripped] == [True]


def test_easier_observations_come_first(playhouse: Mistakes, lockout: Mistakes, pumps: Mistakes) -> None:
    """The playhouse needs no more than hands and the running unit; what needs more is left out, and said."""
    assert all(playhouse.scene.strain(s.observation.probe) == 0 for s in playhouse.acceptance.steps)
    assert "; harder ones, with a pressure where nothing brings it," in method(playhouse)
    assert method(pumps).endswith("observations tried show as much")
    assert all(lockout.scene.strain(s.observation.probe) == 0 for s in lockout.acceptance.steps)


def test_the_harder_are_chosen_from_only_where_no_easier_one_shows_a_mistake() -> None:
    """Mistake 0 shows with ease (a), mistake 1 does not: b, which shows both, is let in, c is not."""
    masks, strains = {0: 0b01, 1: 0b11, 2: 0b01}, {0: 0, 1: 1, 2: 1}
    hunt = SimpleNamespace(found=masks, mask=masks.get, strain=strains.get)
    assert admitted(cast("Hunt", hunt)) == {0: 0b01, 1: 0b11}


def test_easiest_way() -> None:
    """By hand: 1-2-4 costs 2, 1-3-4 costs 5; a bound that is no more than what is left changes nothing."""
    costs = {1: {2: 1, 3: 1}, 2: {4: 1}, 3: {4: 4}, 4: {}}

    def onward(place: int, _: object) -> Iterator[tuple[int, int, int]]:
        yield from ((to, to, cost) for to, cost in costs[place].items())

    for least in (lambda _: 0, lambda place: place < 4):
        found = easiest([(1, (1,), 0)], onward, lambda p: p == 4, least)
        assert list(found.items())[-1] == (4, (1, 2, 4))
    assert easiest([(3, (3,), 0), (1, (1,), 9)], onward) == {3: (3,), 4: (3, 4), 1: (1,), 2: (1, 2)}
