"""A pair made beside another with the same unit before answers as one that is made alone."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import TYPE_CHECKING

from tests.fast.built import build
from tests.fast.circuits import Maker
from tests.fast.compare import by_fast
from wirecheck.engine.fast.limits import NotHere
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit


def faulty(circuit: Circuit, rng: random.Random) -> Circuit:
    """One or two conductors open, or one moved to another terminal."""
    wires = dict(circuit.conductors)
    for name in rng.sample(sorted(wires), rng.randint(1, 2)):
        if rng.random() < 0.5:
            del wires[name]
        else:
            wires[name] = replace(wires[name], a=rng.choice(sorted(circuit.terminals)))
    return replace(circuit, conductors=wires)


def beside_each_other(seed: int) -> tuple[int, int]:
    """Ten faults of a circuit, each beside the last: how often values, and all reached, were shared."""
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    circuit = build(Maker(rng, rich=seed % 2 == 0).make())
    before, last, shared, reached = Plain(circuit), None, 0, 0
    for _ in range(10):
        after = faulty(circuit, rng)
        world = World(after, circuit)
        try:
            alone = FastPair(after, circuit, world)
            beside = FastPair.of(Plain(after), before, world, last)
        except NotHere:
            continue
        assert beside.count == alone.count
        assert by_fast(beside) == by_fast(alone)
        if last is not None:
            shared += beside.settlers["after"].values is last.settlers["after"].values
            reached += beside.reached is last.reached
        last = beside
    return shared, reached


def test_the_same_as_alone() -> None:
    found = [beside_each_other(seed) for seed in range(12)]
    assert sum(shared for shared, _ in found) > 40
    assert sum(reached for _, reached in found) > 20
