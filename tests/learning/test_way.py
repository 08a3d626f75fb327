"""The way of the current: joined end to end, through contacts that are closed, between two potentials."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from tests.learning.walked import UNITS, walked
from wirecheck.circuit.build import load_circuit
from wirecheck.circuit.elements import Conductor
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.route import hops, route

if TYPE_CHECKING:
    from pathlib import Path

LAMPS = """\
unit: {name: two lamps}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  LA: {type: lamp, volts: 120, watts: 60}
  LB: {type: lamp, volts: 120, watts: 60}
wires:
  - {id: W1, from: MAINS.L, to: LA.1}
  - {id: W2, from: LA.2, to: MAINS.N}
  - {id: W3, from: MAINS.L, to: LB.1}
"""


@pytest.mark.parametrize(("name", "change"), UNITS)
def test_each_way_holds_together(name: str, change: str | None) -> None:
    unit, seen = walked(name, change), 0
    for s in unit.states:
        inputs = unit.world.inputs(True, s.setting)
        for state, view in zip(s.joint.after.members, unit.plain.views(inputs, s.joint.after), strict=True):
            closed = dict(zip(unit.circuit.contacts, unit.plain.closed(inputs, *state), strict=True))
            for load in unit.circuit.loads:
                hops = route(view, load)
                seen += bool(hops)
                check(unit.circuit, view, hops, closed)
    assert seen


def check(circuit, view, hops, closed) -> None:
    if not hops:
        return
    at = hops[0]
    for hop in hops[1:]:
        words, _, to = hop.rpartition(" to ")
        kind = words.removeprefix("contact ").removeprefix("link ").removesuffix(" closed").partition(" (")[0]
        part = circuit.conductors.get(kind) or circuit.elements[kind]
        assert {part.a, part.b} == {at, to}
        assert kind not in circuit.contacts or closed[kind]
        at = to
    ends = [view.potential(t) for t in (hops[0], at)]
    assert ends[0] != ends[1]


def test_a_jumper_is_not_told_as_the_contact_that_it_bridges() -> None:
    unit = walked("tidewater-playhouse", None)
    jumper = Conductor("jumper", "TH.R", "HP.1")
    circuit = replace(unit.circuit, conductors={**unit.circuit.conductors, "jumper": jumper})
    plain = Plain(circuit)
    normal = next(s for s in unit.states if not unit.world.away(s.setting))
    (end,) = plain.settle(unit.world.inputs(True, normal.setting), plain.cold())
    view = plain.views(unit.world.inputs(True, normal.setting), end)[0]
    assert plain.words(unit.world.inputs(True, normal.setting), end).loads["COMP"] == "runs"
    assert "TH.R-Y" not in view.shut
    assert not any("TH.R-Y" in hop for hop in route(view, "K1"))
    assert any(hop.startswith("jumper") for hop in route(view, "K1"))


def test_an_impedance_is_a_way_where_it_carries_current(tmp_path: Path) -> None:
    """LA lies across the line; LB hangs on it by one end, and is a way only for who asks for idle ones."""
    (tmp_path / "unit.yaml").write_text(LAMPS, encoding="utf-8")
    unit = Plain(load_circuit(tmp_path / "unit.yaml"))
    view = unit.view((), frozenset())
    assert [words for words, _ in hops(view)["LA.1"]] == ["W1", "LA.lamp"]
    assert "LB.1" in hops(view) and "LB.2" not in hops(view)
    assert hops(view, idle=True)["LB.2"] == [("LB.lamp", "LB.1")]
