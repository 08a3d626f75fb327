"""What parts a load from its supply: with that closed current flows, and a reader would say so too."""

from __future__ import annotations

import random
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.fast.built import build
from tests.fast.circuits import Maker
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
                assert not gap.at
                closed += 1
    assert closed > 100


@pytest.mark.parametrize(
    ("when", "load", "lines"),
    [
        # The contactor's one pole is open since the thermostat does not call.
        ({"TH.cool": False}, "COMP", ["K1 (K1.L1 to K1.T1)", "K1 has no current: TH.R-Y (TH.R to TH.Y)"]),
        # A tripped high-pressure switch holds the contactor out.
        ({"TH.cool": True, "HP": True}, "FAN", ["K1 (K1.L1 to K1.T1) stands open", "HP (HP.1 to HP.2)"]),
        # With the disconnect open the transformer feeds nothing: both its primary's lines pass DS.
        (
            {"TH.cool": True, "DS": True},
            "COMP",
            ["DS.pole-2", "X1 feeds nothing", "X1 has no current: DS.pole-1 (DS.L1 to DS.T1) and DS.pole-2"],
        ),
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


PUMP = """
unit: {name: pump}
supplies: {MAINS: {kind: three-phase, volts: 208}}
devices:
  FS: {type: switch}
  K1: {type: contactor-3p, coil: {volts: 120, va: 8, inrush: 30}}
  P: {type: motor-3ph, volts: 208, fla: 5, lra: 30}
  HTR: {type: heater, volts: 120, watts: 100}
  SW: {type: switch}
  L1: {type: lamp, volts: 120, watts: 5}
  L2: {type: lamp, volts: 120, watts: 5}
rungs:
  - {id: C1, path: [MAINS.L1, FS, K1.coil, MAINS.N]}
  - {id: C2, path: [MAINS.L1, HTR, SW, MAINS.N]}
  - {id: C3, path: [K1.T1, L1, MAINS.N]}
  - {id: C4, path: [MAINS.L1, L2.1]}
wires:
  - {id: W1, from: MAINS.L1, to: K1.L1}
  - {id: W2, from: MAINS.L2, to: K1.L2}
  - {id: W3, from: MAINS.L3, to: K1.L3}
  - {id: W4, from: K1.T1, to: P.T1}
  - {id: W5, from: K1.T2, to: P.T2}
  - {id: W6, from: K1.T3, to: P.T3}
"""


@pytest.mark.parametrize(
    ("load", "lines"),
    [
        # A motor's star point leads on through its other windings; of its three lines two are told.
        ("P", ("K1.pole-1 (K1.L1 to K1.T1) and K1.pole-2 (K1.L2 to K1.T2) stand open", "FS (FS.1 to FS.2)")),
        # No way passes a pole: SW, which is open at N beside it, parts another load.
        ("L1", ("L1 has no current: K1.pole-1 (K1.L1 to K1.T1) stands open", "FS (FS.1 to FS.2)")),
        ("HTR", ("HTR has no current: SW (SW.1 to SW.2) stands open",)),
        ("L2", ("L2 has no current: nothing joins L2.2 to a supply, whatever closes",)),
    ],
)
def test_three_phases(load: str, lines: tuple[str, ...], tmp_path: Path) -> None:
    (tmp_path / "unit.yaml").write_text(PUMP, encoding="utf-8")
    plain = Plain(api.unit_of(str(tmp_path / "unit.yaml")))
    (end,) = plain.settle((False,) * len(plain.circuit.inputs), plain.cold())
    found = parted(plain.views((False,) * len(plain.circuit.inputs), end)[0], load)
    assert len(found) == len(lines)
    assert all(words in line for words, line in zip(lines, found, strict=True)), found
