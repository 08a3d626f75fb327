"""An open contact beside the bond carries nothing, though its ends are one node (worked by hand)."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from tests.fast.built import build
from tests.fast.circuits import Maker
from wirecheck import api
from wirecheck.checks.earth_ways import MOST_SWITCHES, may_return
from wirecheck.checks.no_earth_return import returns
from wirecheck.circuit.elements import Pole
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.circuit.graph import Circuit

UNIT = """
unit: {{name: a lamp with a switch to earth beside the bond}}
supplies:
  MAINS: {{kind: single-phase, volts: 120}}
devices:
  X1: {{type: transformer, volts: [120, 24], va: 40}}
  S1: {{type: switch}}
  H1: {{type: lamp, volts: 24, watts: 5}}
  TS: {{type: terminal-strip, terminals: 2}}
  GND: {{type: earth-bar, terminals: 3}}
given: {{S1: {stands}}}
wires:
  - {{id: W1, from: MAINS.L, to: X1.H1}}
  - {{id: W2, from: MAINS.N, to: X1.H2}}
  - {{id: W3, from: X1.R, to: H1.1}}
  - {{id: W4, from: H1.2, to: TS.1}}
  - {{id: W5, from: TS.1, to: X1.C}}
  - {{id: W6, from: X1.C, to: GND.1}}
  - {{id: W7, from: MAINS.PE, to: GND.2}}
  - {{id: W8, from: S1.2, to: GND.3}}
"""
CHANGE = "change: {name: the switch joined}\nsteps:\n  - run: {id: W9, from: TS.1, to: S1.1}\n"


@pytest.mark.parametrize(("stands", "verdict"), [("open", "pass"), ("closed", "fail")])
def test_a_switch_to_earth_beside_the_bond(stands: str, verdict: str, tmp_path: Path) -> None:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(UNIT.format(stands=stands))
    change.write_text(CHANGE)
    _, answer = api.verify(str(unit), str(change))
    assert {f.verdict for f in answer.findings if f.check == "no-earth-return"} == {verdict}


TWO_BONDS = """
unit: {name: two lamps with a transformer each}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  X1: {type: transformer, volts: [120, 24], va: 40}
  X2: {type: transformer, volts: [120, 24], va: 40}
  H1: {type: lamp, volts: 24, watts: 5}
  H2: {type: lamp, volts: 24, watts: 5}
rungs:
  - {id: P, path: [MAINS.L, X1.H1]}
  - {id: Q, path: [MAINS.N, X1.H2]}
  - {id: R, path: [MAINS.L, X2.H1]}
  - {id: S, path: [MAINS.N, X2.H2]}
  - {id: A, path: [X1.R, H1, X1.C, MAINS.PE]}
  - {id: B, path: [X2.R, H2, X2.C, MAINS.PE]}
"""

LAMPS = """
unit: {name: lamps with a switch each}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  X1: {type: transformer, volts: [120, 24], va: 40}
  SB: {type: switch}
rungs:
  - {id: P, path: [MAINS.L, X1.H1]}
  - {id: Q, path: [MAINS.N, X1.H2]}
"""


def plain(folder: Path, text: str) -> Plain:
    (folder / "unit.yaml").write_text(text, encoding="utf-8")
    return Plain(api.unit_of(str(folder / "unit.yaml")))


def test_what_one_transformer_feeds_goes_back_to_no_other(tmp_path: Path) -> None:
    """Earth joins both commons, but each lamp's current goes back to its own: either bond is a dead end."""
    assert not may_return(plain(tmp_path, TWO_BONDS))


def switched(lamp: str, bond: str) -> str:
    """A unit with more switches than are tried in every combination, a lamp for each, and a bond."""
    count = range(MOST_SWITCHES + 1)
    devices = "".join(
        f"  S{k}: {{type: switch}}\n  H{k}: {{type: lamp, volts: 24, watts: 1}}\n" for k in count
    )
    paths = [bond, *(lamp.format(k=k) for k in count)]
    rungs = "".join(f"  - {{id: A{n}, path: [{path}]}}\n" for n, path in enumerate(paths))
    return LAMPS.replace("rungs:\n", f"{devices}rungs:\n{rungs}")


def test_many_contacts_beside_one_bond(tmp_path: Path) -> None:
    """The lamps' switches are on the common side: earth hangs on by one bond, whichever are closed."""
    assert not may_return(plain(tmp_path, switched("X1.R, H{k}, S{k}, X1.C", "X1.C, MAINS.PE")))


def test_many_contacts_and_a_switch_in_the_bond(tmp_path: Path) -> None:
    """The lamps' switches are on the hot side: one contact is at earth, which makes or breaks the bond."""
    assert not may_return(plain(tmp_path, switched("X1.R, S{k}, H{k}, X1.C", "X1.C, SB, MAINS.PE")))


def earthed_anywhere(seed: int) -> Circuit:
    """A random circuit of which some terminals more lie at earth, each held there as by a bar of its own."""
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    circuit = build(Maker(rng, rich=rng.random() < 0.7).make())
    more = rng.sample(sorted(circuit.terminals), rng.randint(0, 3))
    poles = {t: Pole(t, "", 0j, "") for t in more}
    return replace(circuit, poles={**circuit.poles, **poles}, earth=circuit.earth | set(more))


def test_where_none_may_return_none_does_in_any_state() -> None:
    """The look at all contacts at earth at once leaves out no state in which a current returns through it."""
    ruled_out = found = 0
    for seed in range(60):
        plain = Plain(earthed_anywhere(seed))
        explorer = Explorer(World(plain.circuit), plain).run()
        states = ((explorer.world.inputs(True, j.setting), j.after) for j in explorer.came)
        some = any(returns(view) for inputs, end in states for view in plain.views(inputs, end))
        may = may_return(plain)
        assert may or not some, seed
        ruled_out, found = ruled_out + (not may), found + some
    assert ruled_out > 10
    assert found > 10
