"""A pair made beside another with the same unit before answers as one that is made alone."""

from __future__ import annotations

import random
from copy import deepcopy
from typing import TYPE_CHECKING
from unittest.mock import patch

import pytest
from msgspec.structs import replace

from tests.fast.built import build
from tests.fast.circuits import Maker
from tests.fast.compare import by_fast
from wirecheck.circuit.elements import Resistor
from wirecheck.engine.fast.limits import NotHere, TooLarge
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from tests.fast.plan import Plan
    from wirecheck.circuit.graph import Circuit

    Faulty = Callable[[Plan, random.Random], Circuit]


def rewired(plan: Plan, rng: random.Random) -> Circuit:
    """One or two conductors open, or one moved to another terminal."""
    circuit = build(plan)
    wires = dict(circuit.conductors)
    for name in rng.sample(sorted(wires), rng.randint(1, 2)):
        if rng.random() < 0.5:
            del wires[name]
        else:
            wires[name] = replace(wires[name], a=rng.choice(sorted(circuit.terminals)))
    return replace(circuit, conductors=wires)


def reordered(plan: Plan, rng: random.Random) -> Circuit:
    """The coils in another order, or one of them on other nets: numbers of coils mean others."""
    other = deepcopy(plan)
    places = [k for k, thing in enumerate(other.things) if thing.kind == "coil"]
    coils = [other.things[k] for k in places]
    rng.shuffle(coils)
    for k, coil in zip(places, coils, strict=True):
        other.things[k] = coil
    if coils and rng.random() < 0.5:
        rng.choice(coils).nets[rng.randrange(2)] = rng.randrange(other.nets)
    return build(other)


def resized(plan: Plan, rng: random.Random) -> Circuit:
    """Resistors of other ohms: the program is the same, the numbers are not."""
    circuit = build(plan)
    return replace(
        circuit,
        elements={
            i: replace(e, ohms=e.ohms * rng.choice((0.05, 1, 20)))
            if isinstance(e, Resistor) and isinstance(e.ohms, float)
            else e
            for i, e in circuit.elements.items()
        },
    )


def made(seed: int, faulty: Faulty, rich: bool) -> Iterator[tuple[FastPair, FastPair, FastPair | None]]:
    """Ten faults of a circuit: each made alone, beside the last, and that last."""
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    plan = Maker(rng, rich=rich).make()
    circuit = build(plan)
    before, last = Plain(circuit), None
    for _ in range(10):
        after = faulty(plan, rng)
        world = World(after, circuit)
        try:
            alone, beside = FastPair(after, circuit, world), FastPair.of(Plain(after), before, world, last)
            by_fast(alone)
        except (NotHere, TooLarge):
            continue
        yield alone, beside, last
        last = beside


@pytest.mark.parametrize(
    ("faulty", "rich", "seeds", "values", "reached"),
    [
        (rewired, None, range(12), 40, 20),
        (reordered, False, range(20), 20, 0),
        (resized, True, (*range(8), 60), 20, 20),
    ],
)
def test_the_same_as_alone(
    faulty: Faulty, rich: bool | None, seeds: range, values: int, reached: int
) -> None:
    """values, reached: how often these are shared at the least, so that there is something to see."""
    shared, alike = 0, 0
    for seed in seeds:
        for alone, beside, last in made(seed, faulty, seed % 2 == 0 if rich is None else rich):
            assert beside.count == alone.count
            assert by_fast(beside) == by_fast(alone)
            if last is not None:
                shared += beside.settlers["after"].values is last.settlers["after"].values
                alike += beside.reached is last.reached
    assert shared > values
    assert alike >= reached


@pytest.mark.parametrize("kept", [0, 20_000])
def test_what_is_kept_is_bounded(kept: int) -> None:
    """Where nothing may be kept one unit is, the last; and answers are the same with little."""
    with patch("wirecheck.engine.fast.beside.KEPT_BYTES", kept):
        for alone, beside, _ in made(0, rewired, rich=True):
            assert by_fast(beside) == by_fast(alone)
            known = beside.beside._known
            assert len(known) == 1 or (kept and sum(k.classes for k in known) * 100 < kept)
            assert sum(k.nodes for k in known[:-1] if k.values is not known[-1].values) * 100 <= kept
