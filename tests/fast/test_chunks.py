"""Settings cut into small chunks: what is kept of one chunk is not taken for another."""

from __future__ import annotations

import random
from pathlib import Path
from typing import TYPE_CHECKING
from unittest.mock import patch

import pytest
from msgspec.structs import replace

from tests.fast.built import build
from tests.fast.circuits import Maker
from tests.fast.compare import difference
from tests.fast.test_like import rewired
from wirecheck.circuit.build import load_circuit
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.fast.space import Space
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from contextlib import AbstractContextManager


def in_chunks(bits: int) -> AbstractContextManager[object]:
    """Chunks of 2^bits settings."""
    return patch("wirecheck.engine.fast.space.CHUNK_BITS", bits)


@pytest.mark.parametrize("seed", [4, 8, 13, 16, 20, 22, 106, 109, 251])
def test_the_same_as_the_plain_evaluator(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    plan = Maker(rng, rich=seed % 2 == 0, most_inputs=6).make()
    with in_chunks(2):
        assert difference(rewired(plan, rng), build(plan)) == ""


def test_ends_stand_alike_chunk_by_chunk() -> None:
    """At power-up K1 or K2 pulls in first, before and after alike. K3 has lost its lead: with S2 open
    it is out as before, so an end is held against the one before of the same relays; with S2 closed no end
    before has K3 out, so against both (engine.md section 4). S2 tells the chunks apart.
    """
    before = load_circuit(Path(__file__).parent / "cut-apart.yaml")
    wires = {i: w for i, w in before.conductors.items() if "K3.A1" not in (w.a, w.b)}
    after = replace(before, conductors=wires)
    world = World(after, before)
    with in_chunks(1):
        pair = FastPair(after, before, world)
    where = world.index["S2"]
    matched: dict[bool, set[int]] = {False: set(), True: set()}
    for c in pair.classes:
        for k in range(pair.space.size):
            if c.power_up >> k & 1:
                matched[pair.setting(c.first + k).bits[where]].add(len(c.key.befores))
    assert len(pair.space.chunks) == 2
    assert matched == {False: {1}, True: {2}}


def test_how_far_from_ordinary_operation_is_told_of_each_chunk() -> None:
    """The bit of a chunk is S2, at rest in ordinary operation; the first chunk is asked of once more."""
    with in_chunks(1):
        space = Space(World(load_circuit(Path(__file__).parent / "cut-apart.yaml")))
    assert [space.nearest(chunk, space.ones)[0] for chunk in (0, 1, 0)] == [0, 1, 0]
