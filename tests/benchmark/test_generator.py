"""What the benchmark draws loads as it should, and its loops say what the plain evaluator says."""

from __future__ import annotations

import random
from itertools import product
from typing import TYPE_CHECKING

import pytest

from tests.benchmark import ours, realistic
from tests.benchmark.agree import held
from tests.benchmark.baselines import Graphs, OneGraph, Unions, netlist, settled
from tests.benchmark.generator import KINDS, Kind, job
from tests.benchmark.networks import SIZES
from tests.benchmark.nodal import Nodal
from tests.benchmark.ours import Stood
from wirecheck.engine.answers import IN
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.engine.answers import Outcome

JOBS: list[tuple[int, int, Kind]] = [
    (60, 0, "moved"),
    (60, 1, "elsewhere"),
    (60, 2, "rewritten"),
    (150, 1, "rewritten"),
    (500, 1, "elsewhere"),
]


@pytest.mark.parametrize(("wires", "seed", "kind"), JOBS)
def test_counts(tmp_path: Path, wires: int, seed: int, kind: Kind) -> None:
    changed = ours.load(job(tmp_path, wires, seed, kind))
    size = SIZES[wires]
    for circuit in (changed.before, changed.after):
        listed = [i for i in circuit.inputs.values() if i.listed]
        assert (len(listed), len(circuit.relays)) == (size.inputs, size.relays)
    assert len(changed.before.conductors) == size.wires
    brought = 4 * 10 if kind == "rewritten" else 0
    assert len(changed.after.conductors) == size.wires + brought


def test_the_same_again(tmp_path: Path) -> None:
    first = job(tmp_path, 60, 5, "elsewhere")
    texts = first.unit.read_text(encoding="utf-8"), first.change.read_text(encoding="utf-8")
    again = job(tmp_path, 60, 5, "elsewhere")
    assert texts == (again.unit.read_text(encoding="utf-8"), again.change.read_text(encoding="utf-8"))


@pytest.mark.parametrize(("seed", "kind"), list(enumerate(KINDS)))
def test_loops_agree_with_the_plain_evaluator(tmp_path: Path, seed: int, kind: Kind) -> None:
    changed = ours.load(job(tmp_path, 60, seed, kind))
    same = 0
    for circuit in (changed.before, changed.after):
        plain = Plain(circuit)
        loops = [make(netlist(circuit)) for make in (Graphs, OneGraph, Unions)]
        for inputs in random.Random(seed).sample(list(product((False, True), repeat=8)), 16):  # noqa: S311
            ends = {_stood(plain, inputs, o) for o in plain.settle(inputs, plain.cold())}
            for loop in loops:
                found = held(loop, settled(loop, inputs), ends, inputs, None, any_of=False)
                assert found in {"same", "races", "chatters", "in series"}
                same += found == "same"
    assert same >= 0.8 * 2 * 16 * 3


def _stood(plain: Plain, inputs: tuple[bool, ...], outcome: Outcome) -> Stood:
    if outcome.kind != "rest":
        return Stood(outcome.kind)
    words = plain.words(inputs, outcome)
    return Stood("rest", tuple(w == IN for w in words.relays.values()), tuple(words.loads.values()))


@pytest.mark.parametrize("kind", realistic.KINDS)
def test_realistic_unit(tmp_path: Path, kind: realistic.Kind) -> None:
    """The numpy loop agrees with the plain evaluator at power-up and once the on-delay has run out."""
    changed = ours.load(realistic.job(tmp_path, 0, kind))
    assert {i.name for i in changed.before.inputs.values() if i.listed} == set(realistic.INPUTS)
    world = World(changed.after, changed.before, changed.replaced)
    assert world.quantities == ("liquid_pressure", "suction_pressure")
    words = set()
    calling = {"TH.cool": True, "TH.fan": True, "TH.heat": True, "LP": True}
    for circuit in (changed.before, changed.after):
        plain, loop = Plain(circuit), Nodal(circuit)
        for tripped in ("", "HP", "FL", "LIM"):
            inputs = tuple(calling.get(n, n == tripped) for n in circuit.inputs)
            for outcome in _powered_and_elapsed(plain, inputs):
                stood = _stood(plain, inputs, outcome)
                delays = outcome.members[0][1]
                coils = loop.coils_in(stood.coils, stood.words)
                assert loop.shows(inputs, coils, delays) == (True, stood.words), (circuit.name, tripped)
                words |= set(zip(circuit.loads, stood.words, strict=True))
    assert {("COMP", "runs"), ("COMP", "off"), ("BLW", "runs"), ("HB", "on"), ("LA", "on")} <= words


def _powered_and_elapsed(plain: Plain, inputs: tuple[bool, ...]) -> list[Outcome]:
    """Where power-up ends, and from there with the on-delay run out."""
    first = plain.settle(inputs, plain.cold())
    (coils, delays), *_ = first[0].onward
    moved = tuple(
        d or (late.late == "on" and coils[plain.coils[late.coil]])
        for d, late in zip(delays, plain.circuit.delays.values(), strict=True)
    )
    return [*first, *plain.settle(inputs, (coils, moved))]
