"""What a meter reads, all states at once, against `questions/meter.py` asked of one network after another."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

from tests.battery.reader import cases
from tests.fast.built import build
from tests.fast.circuits import Maker
from wirecheck.checks.vectors import ones
from wirecheck.circuit.build import load_circuit
from wirecheck.engine.fast.limits import NotHere, TooLarge
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.world import World
from wirecheck.questions.meter import of_outcomes
from wirecheck.questions.shown.points import Pair
from wirecheck.questions.shown.readings import Readings, bare

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.circuit.graph import Circuit

PAIRS = 6  # of terminals, of each circuit
EACH = 12  # states of each class


def differing(circuit: Circuit, rng: random.Random, kinds: dict[str, int]) -> list[str]:
    fast = FastPair(circuit, None, World(circuit))
    unit = fast.units["after"]
    pairs = [Pair(*rng.sample(circuit.terminals, 2), ("before",)) for _ in range(PAIRS)]
    readings, found = Readings(pairs), []
    for c in fast.classes:
        values = [readings.of_class(c, "after", k, "before") for k in range(PAIRS)]
        settings = list(ones(c.reached))
        for at in settings[:: max(1, len(settings) // EACH)]:
            joint = c.joint(c.first + at)
            inputs = fast.world.inputs(True, joint.setting)
            for pair, told in zip(pairs, values, strict=True):
                if told is None:
                    kinds["left"] = kinds.get("left", 0) + 1
                    continue
                wanted = of_outcomes(unit.plain, inputs, (joint.after,), pair.a, pair.b)
                (number,) = [n for n, where in told.items() if where >> at & 1]
                said = readings.nominal(number)
                kinds[wanted.reads] = kinds.get(wanted.reads, 0) + 1
                if not same(said, bare(wanted)):
                    found.append(f"{pair.a} to {pair.b}, {joint.setting}: {said}, not {bare(wanted)}")
    return found


def same(said: tuple[object, ...], wanted: tuple[object, ...]) -> bool:
    """Alike, volts to a millivolt."""
    one, other = (float(r[1] or 0.0) for r in (said, wanted))  # type: ignore[arg-type]
    return (said[0], said[2:]) == (wanted[0], wanted[2:]) and abs(one - other) < 1e-3


def test_readings_of_random_circuits() -> None:
    kinds: dict[str, int] = {}
    for seed in range(120):
        rng = random.Random(seed)  # noqa: S311 - drawn again from its seed
        try:
            assert differing(build(Maker(rng, rich=seed % 3 != 0).make()), rng, kinds) == [], seed
        except (NotHere, TooLarge):
            continue
    assert kinds.keys() >= {"value", "floating", "short", "chatters"}
    assert kinds["value"] > 1000
    assert kinds.get("left", 0) < 100, kinds


def test_readings_of_the_battery(tmp_path: Path) -> None:
    kinds: dict[str, int] = {}
    for case in cases():
        if case.error or case.change:
            continue
        (tmp_path / "unit.yaml").write_text(case.unit, encoding="utf-8")
        circuit = load_circuit(tmp_path / "unit.yaml")
        if len(circuit.terminals) < 2:
            continue
        try:
            assert differing(circuit, random.Random(1), kinds) == [], case.name  # noqa: S311
        except (NotHere, TooLarge):
            continue
    assert kinds["unknown"] > 0
