"""Ways that a list goes, and what comes first in it, on units of which each move is worked out by hand."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, cast

import pytest

from tests.mistakes.sweep import change_of
from wirecheck.circuit.build import load_circuit
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer
from wirecheck.questions.mistakes import going
from wirecheck.questions.mistakes.driven import ordinary_setting
from wirecheck.questions.mistakes.going import straight
from wirecheck.questions.mistakes.hunting import Hunt, Observation
from wirecheck.questions.mistakes.ordering import gone_to, in_order
from wirecheck.questions.mistakes.scene import Act, scene_of
from wirecheck.questions.mistakes.walk import easiest, walked

if TYPE_CHECKING:
    from wirecheck.engine.world import Setting
    from wirecheck.questions.mistakes.scene import Scene

DATA = Path(__file__).parent / "data"


def scene_in(name: str) -> tuple[Scene, Setting]:
    """The right unit of an example, and ordinary operation."""
    scene = scene_of(Plain(change_of(name).after), ())
    return scene, ordinary_setting(scene.world, scene.driven.homes)


def turned(scene: Scene, setting: Setting, name: str) -> Setting:
    """A setting with one switch the other way."""
    bits = tuple(b != (k == scene.world.index[name]) for k, b in enumerate(setting.bits))
    return setting._replace(bits=bits)


@pytest.mark.parametrize(
    ("one", "other", "running", "how"),
    [
        (0, 1, set(), "back"),
        (1, 2, {"COMP"}, "back"),  # home, above 30 psig: the compressor has not pulled it down yet
        (2, 1, {"COMP"}, "driven"),
        (2, 1, {"EVF"}, "forced"),
    ],
)
def test_suction_pressure_is_pulled_down_and_comes_back(
    one: int, other: int, running: set[str], how: str
) -> None:
    """By hand: LP is closed in operation, above 30 psig, so home is its highest range; COMP pulls it down."""
    scene, usual = scene_in("walk-in-pump-down")
    assert scene.world.quantities[-1] == "suction_pressure"
    before, to = (usual._replace(ranges=(*usual.ranges[:-1], k)) for k in (one, other))
    moved = scene.driven.moved(before, to, frozenset(running))
    assert moved is not None
    assert (moved.quantity, moved.up, moved.how) == ("suction_pressure", other > one, how)


def test_what_drives_a_pressure_back_keeps_it_from_going_away() -> None:
    """The evaporator's fan alone raises suction; not while COMP pulls it down. Common practice, no source."""
    scene, _ = scene_in("walk-in-pump-down")
    q = scene.world.quantities.index("suction_pressure")
    assert scene.driven.comes_about(q, True, frozenset({"EVF"}))
    assert not scene.driven.comes_about(q, True, frozenset({"EVF", "COMP"}))


def test_where_no_move_leads_on_there_is_no_way() -> None:
    """Either lever moved alone is impossible, so no single move leads from both open to both closed."""
    scene = scene_of(Plain(load_circuit(DATA / "coupled.yaml")), ())
    opened, closed = (next(s for s in scene.world.settings() if all(s.bits) is at) for at in (False, True))
    assert straight(scene, (Act(opened),), closed) is None


def test_a_fuse_that_is_live_now_and_then_is_live() -> None:
    """K opens its own coil, and feeds F2 while it is in: 120 V by turns, none where the turn begins."""
    scene = scene_of(Plain(load_circuit(DATA / "buzzer.yaml")), ())
    usual = ordinary_setting(scene.world, scene.driven.homes)
    ((bits, chatters),) = scene.ends(scene.right, (Act(usual),))
    assert chatters.kind == "chatter"
    assert scene.hard.is_live("F2", bits, chatters)


def test_a_disconnect_that_leaves_a_lamp_live_by_turns_does_not_cut_the_power() -> None:
    """DA open leaves LB live whenever K is in, DB open leaves LA live: both are opened, DA closed last."""
    scene = scene_of(Plain(load_circuit(DATA / "ahead.yaml")), ())
    usual = ordinary_setting(scene.world, scene.driven.homes)
    without = turned(scene, usual, "DA")
    both = turned(scene, without, "DB")
    assert next(going.ways(scene, (), (Act(usual),))) == ((Act(both), Act(without), Act(usual)), True)


def test_the_disconnect_nearest_to_the_unit_comes_first() -> None:
    """Either alone leaves nothing live but terminals of disconnects: FAR one of them, NEAR three."""
    scene = scene_of(Plain(load_circuit(DATA / "in-line.yaml")), ())
    usual = ordinary_setting(scene.world, scene.driven.homes)
    opened = [way[0].setting for way, _ in going.ways(scene, (), (Act(usual),)) if len(way) == 2]
    assert list(dict.fromkeys(opened)) == [turned(scene, usual, "NEAR"), turned(scene, usual, "FAR")]


def test_straight_on_the_easier_move_comes_first() -> None:
    """First the call for cooling, by hand; then the pressure, which the compressor brings."""
    scene, usual = scene_in("lockout")
    called = turned(scene, usual, "TH.cool")
    goal = called._replace(ranges=(1,))
    assert straight(scene, (Act(usual),), goal) == (Act(called), Act(goal))


def hunt_of(scene: Scene | None, observations: list[Observation], cost: dict[int, int]) -> Hunt:
    """Observations of no strain and of this cost, each of which shows a mistake of its own."""
    hunt = SimpleNamespace(
        scene=scene,
        found={k: (o, {}) for k, o in enumerate(observations)},
        mask=lambda k: 1 << k,
        cost=cost.get,
        strain=lambda _: 0,
        doubted=set(),
        hidden=lambda _: set(),
        shown=lambda _: [],
    )
    return cast("Hunt", hunt)


def test_ohms_are_measured_before_power_comes_on() -> None:
    """An ohmmeter is for a dead circuit (common practice, no source), so it comes first."""
    hunt = hunt_of(None, [Observation("look", ()), Observation("ohms", ())], {0: 0, 1: 9})
    assert next(in_order(hunt, [0, 1])).observation.kind == "ohms"


def test_a_strain_that_is_past_is_no_reason_to_begin_anew() -> None:
    """Power came on with the pressure still up, a strain of 1; that it then falls back by itself is none."""
    scene, usual = scene_in("lockout")
    at = (Act(usual._replace(ranges=(1,))),)
    step = gone_to(Hunt(scene, []), at, Observation("look", (Act(usual),)), [])
    assert scene.strain(at) == 1
    assert (step.way, step.again) == ((Act(usual),), False)


def test_a_protection_to_trip_lies_far_off() -> None:
    """To trip LP is as much doing as seven switches: the call, one switch, comes first at a cost of ten."""
    scene, usual = scene_in("lockout")
    tripped, called = turned(scene, usual, "LP"), turned(scene, usual, "TH.cool")
    looks = [Observation("look", (Act(setting),)) for setting in (usual, tripped, called)]
    steps = in_order(hunt_of(scene, looks, {0: 0, 1: 1, 2: 11}), [0, 1, 2])
    assert [s.observation.probe[-1].setting for s in steps] == [usual, called, tripped]


def test_what_no_hand_brings_about_counts_as_strain() -> None:
    """A pressure left from a run is 1, a tripped protection is 1, and a meter put to the unit then 1 more."""
    scene, usual = scene_in("lockout")
    left, tripped = (Act(usual._replace(ranges=(1,))),), (Act(turned(scene, usual, "LP")),)
    kinds = [("look", left), ("look", tripped), ("volts", tripped), ("volts", (Act(usual),))]
    hunt = Hunt(scene, [], found={k: (Observation(*o), {}) for k, o in enumerate(kinds)})
    assert [hunt.strain(k) for k in hunt.found] == [1, 1, 2, 0]


def test_every_way_begins_at_power_up_and_goes_by_single_moves() -> None:
    """The lockout holds once HP has tripped: power-up alone does not lead there."""
    scene, _ = scene_in("lockout")
    explorer = Explorer(scene.world, scene.right).run()
    ways = walked(explorer, scene.hard)
    assert ways.keys() == explorer.came.keys() > explorer.power_up
    for end, way in ways.items():
        places = [joint for _, joint in way]
        assert places[0] in explorer.power_up and places[-1] == end
        for one, move in zip(places, way[1:], strict=False):
            assert move in explorer.successors(one)


def test_a_protection_is_tripped_after_power_up() -> None:
    """To power up with both tripped is a strain more; to trip the other by its test with power on is none."""
    scene = scene_of(Plain(load_circuit(DATA / "tripped.yaml")), ())
    ways = walked(Explorer(scene.world, scene.right).run(), scene.hard)
    assert sorted(len(way) for way in ways.values()) == [1, 1, 2]


def test_a_dear_beginning_is_no_way_to_what_a_cheap_one_leads_to() -> None:
    """By hand: to begin at 2 costs 9, to begin at 1 nothing, and 1 more from there to 2."""

    def onward(place: int, _: object) -> list[tuple[int, int, int]]:
        return [(2, 2, 1)] if place == 1 else []

    assert easiest([(2, (2,), 9), (1, (1,), 0)], onward) == {1: (1,), 2: (1, 2)}
