"""The acceptance list: made anew on the right unit and on each mistaken one, it shows what it says."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.mistakes.sweep import change_of
from wirecheck.engine.delays import run_out
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.questions.meter import meter
from wirecheck.questions.mistakes.looks import looks
from wirecheck.questions.mistakes.scene import effort, probes, scene_of

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Bits, Outcome
    from wirecheck.questions.mistakes.answer import Mistakes
    from wirecheck.questions.mistakes.ordering import Step


def whole_way(answer: Mistakes, number: int) -> list[tuple[tuple[bool, ...], str | None]]:
    """The positions of the inputs, act by act, from the last power-up to a step."""
    acts: list[tuple[tuple[bool, ...], str | None]] = []
    for step in answer.acceptance.steps[:number]:
        if step.again:
            acts = []
        acts += [(answer.scene.world.inputs(True, act.setting), act.delay) for act in step.way]
    return acts


def words_after(circuit: Circuit, acts: list[tuple[tuple[bool, ...], str | None]]) -> list[dict[str, str]]:
    """The words where these acts may end, one settling after the other from power-up."""
    plain = Plain(circuit)
    states = {plain.cold()}
    ends = []
    for bits, delay in acts:
        starts = {run_out(plain, s, delay) for s in states} if delay else states
        ends = [(bits, o) for s in starts for o in plain.settle(bits, s)]
        states = {s for _, o in ends for s in o.onward}
    found = [plain.words(b, o) for b, o in ends]
    return [{**w.loads, **w.relays} for w in found]


@pytest.mark.parametrize("which", ["playhouse", "pumps"])
def test_each_look_shows_what_it_says(which: str, request: pytest.FixtureRequest) -> None:
    answer: Mistakes = request.getfixturevalue(which)
    for number, step in enumerate(answer.acceptance.steps, 1):
        if step.observation.kind != "look":
            continue
        acts = whole_way(answer, number)
        right = words_after(answer.changed.after, acts)
        assert all(w == right[0] for w in right)
        for row in answer.rows:
            wrong = words_after(row.mistake.after, acts)
            names = step.observation.look
            if number in row.shown_by and "port" not in row.mistake.kind:
                assert all(any(w[n] != right[0][n] for n in names) for w in wrong), row.mistake.id


@pytest.mark.parametrize("which", ["playhouse", "pumps"])
def test_what_is_expected_is_what_the_right_unit_does(which: str, request: pytest.FixtureRequest) -> None:
    answer: Mistakes = request.getfixturevalue(which)
    circuit = answer.changed.after
    for number, step in enumerate(answer.acceptance.steps, 1):
        if step.observation.kind == "look":
            words = words_after(circuit, whole_way(answer, number))[0]
            for name, look in step.observation.look.items():
                assert look <= {words[name], "runs" if words[name] == "runs" else words[name]}


@pytest.mark.parametrize("which", ["playhouse", "pumps"])
def test_every_mistake_that_matters_is_shown_or_named(which: str, request: pytest.FixtureRequest) -> None:
    answer: Mistakes = request.getfixturevalue(which)
    named = {row.mistake.id for row in answer.not_shown}
    for row in answer.rows:
        assert bool(row.shown_by) != (row.mistake.id in named) or not row.does.matters
        assert row.does.matters or not row.shown_by
    assert not named


def test_one_observation_is_not_enough(pumps: Mistakes) -> None:
    """Which pump stands out is seen only with that pump called second: two steps, and no single one."""
    assert len(pumps.acceptance.steps) == 2
    assert pumps.acceptance.cover.exact
    assert all(len(step.shows) < len(pumps.rows) for step in pumps.acceptance.steps)


def test_a_meter_step_reads_what_meter_reads(playhouse: Mistakes) -> None:
    step = metered(playhouse)
    setting = step.observation.probe[-1].setting
    held = {
        v.name: moved
        for v, moved in zip(playhouse.scene.world.variables, setting.bits, strict=True)
        if v.name in playhouse.changed.after.inputs
    }
    a, b = step.observation.points or ("", "")
    right = meter(playhouse.changed.after, a, b, held)
    wrong = next(
        r for r in playhouse.rows if r.mistake.id.startswith("wrong side of the string: W21 on DS.L2 for K1")
    )
    assert (right.volts or 0.0) == pytest.approx(step.observation.value)
    assert meter(wrong.mistake.after, a, b, held).volts == pytest.approx(120)


def metered(answer: Mistakes) -> Step:
    return next(s for s in answer.acceptance.steps if s.observation.kind == "volts")


def test_a_turning_motor_is_not_taken_to_hum() -> None:
    """From standstill a motor without its main hums; one that turns may turn on, so it tells nothing."""
    circuit = change_of("tidewater-playhouse").after
    plain = Plain(circuit)
    words = plain.words(*_called(plain))
    hums = type(words)({**words.loads, "FAN": "stalls"}, words.relays)
    assert looks(circuit, hums)["FAN"] == {"hums"}
    assert looks(circuit, hums, frozenset({"FAN"}))["FAN"] == {"hums", "runs"}


def _called(plain: Plain) -> tuple[Bits, Outcome]:
    bits = tuple(i.normal or i.name in ("TH.cool", "PS") for i in plain.circuit.inputs.values())
    return bits, plain.settle(bits, plain.cold())[0]


def test_impossible_combinations_are_not_asked_for() -> None:
    after = change_of("bakery-proofer").after
    scene = scene_of(Plain(after), ())
    barred = [c for c, _ in after.impossible]
    ways = probes(scene, wide=False)
    assert barred
    assert ways
    for way in ways:
        assert not any(scene.world.holds(c, scene.world.after, act.setting) for act in way for c in barred)


def test_what_takes_least_doing_comes_first() -> None:
    scene = scene_of(Plain(change_of("off-delay-fan").after), ())
    efforts = [effort(scene, way) for way in probes(scene, wide=False)]
    assert efforts == sorted(efforts)
    assert efforts[0] < efforts[-1]
