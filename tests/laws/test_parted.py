"""What parts a load from its supply: with that closed current flows, and a reader would say so too."""

from __future__ import annotations

import random
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.fast.circuits import Maker, build
from wirecheck import api
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer
from wirecheck.engine.plain.parted import gap_of, parted
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.engine.plain.parted import Gap
    from wirecheck.engine.solver import View

PLAYHOUSE = str(Path(__file__).parents[2] / "examples/tidewater-playhouse/unit.yaml")


def gaps(seed: int) -> Iterator[tuple[View, View, str, Gap]]:
    """Of a random circuit each load without current: its network, and the same with the gap closed."""
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    plain = Plain(build(Maker(rng, rich=rng.random() < 0.5).make()))
    explorer = Explorer(World(plain.circuit), plain).run()
    for joint in explorer.came:
        inputs = explorer.world.inputs(True, joint.setting)
        if joint.after.kind == "rest":
            view = plain.views(inputs, joint.after)[0]
            for name in plain.circuit.loads:
                gap = gap_of(view, name)
                if gap is not None and gap.contacts and gap.core is None:
                    shut = frozenset((c, True) for c in gap.contacts)
                    yield view, plain.look(inputs, *joint.after.members[0], shut), name, gap


def test_with_the_gap_closed_current_flows() -> None:
    closed = 0
    for seed in range(40):
        for view, shut, name, gap in gaps(seed):
            assert not set(gap.contacts) & view.shut
            if shut.short is None:  # what floats may carry too little to tell
                elements = view.elements_of(view.circuit.loads[name])
                assert any(abs(shut.amps(e, {})) > 0 for e in elements), (seed, name, gap)
                closed += 1
    assert closed > 100


@pytest.mark.parametrize(
    ("when", "load", "lines"),
    [
        # The contactor's one pole is open since the thermostat does not call.
        ({"TH.cool": False}, "COMP", ["K1 (K1.L1 to K1.T1)", "K1 has no current: TH.R-Y (TH.R to TH.Y)"]),
        # A tripped high-pressure switch holds the contactor out.
        ({"TH.cool": True, "HP": True}, "FAN", ["K1 (K1.L1 to K1.T1) stands open", "HP (HP.1 to HP.2)"]),
        # With the disconnect open the transformer feeds nothing.
        ({"TH.cool": True, "DS": True}, "COMP", ["DS.pole-2", "X1 feeds nothing", "X1 has no current"]),
        ({"CCT": True}, "HTR", ["HTR has no current: CCT (CCT.1 to CCT.2) stands open"]),
        ({"TH.cool": True}, "COMP", []),
    ],
)
def test_by_hand(when: dict[str, bool], load: str, lines: list[str]) -> None:
    plain = Plain(api.unit_of(PLAYHOUSE))
    moved = {n: i.normal for n, i in plain.circuit.inputs.items()} | {"TH.cool": False} | when
    inputs = tuple(moved[n] for n in plain.circuit.inputs)
    (end,) = plain.settle(inputs, plain.cold())
    found = parted(plain.views(inputs, end)[0], load)
    assert len(found) >= len(lines) - 1
    assert bool(found) == bool(lines)
    for words in lines:
        assert any(words in line for line in found), (words, found)
