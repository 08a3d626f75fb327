"""Which mistakes are made, and that the circuit with one is the circuit of a file that has it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from tests.mistakes.sweep import change_of
from wirecheck.circuit.elements import Coil
from wirecheck.questions.mistakes.generate import generate
from wirecheck.questions.mistakes.places import circuit_nets
from wirecheck.questions.mistakes.same import signature

if TYPE_CHECKING:
    from collections.abc import Hashable

    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.mistakes.mistake import Mistake

NAMES = (
    "anti-short-cycle",
    "bakery-proofer",
    "crankcase-heater",
    "greenhouse-fan",
    "hard-start",
    "lockout",
    "off-delay-fan",
    "smoke-shutdown",
    "tidewater-playhouse",
    "two-pumps",
    "walk-in-pump-down",
)
# The field mistakes that a circuit can show, by the numbers of trade.md 6.2, and the kinds that make them.
FIELD = {
    "F1 switch in another load's lead": "look-alike lifted",
    "F2 across instead of in series": "put across",
    "F3 on the line side": "wrong side of the string",
    "F4 in the auxiliary lead": "in the wrong motor lead",
    "F5 other sense": "other sense",
    "F6 on the wrong port": "on the wrong port",
    "F7 not landed again": "end forgotten",
    "F7 on the wrong pole": "wrong terminal",
    "F10 jumper left in": "bridged",
    "F10 jumper across a safety": "protection bridged",
    "F11 one pole for two": "bar for a pole",
    "F14 other coil volts": "other coil volts",
    "F16 two exchanged": "ends exchanged",
    "F20 capacitors exchanged": "capacitors exchanged",
    "F21 two ways of a device exchanged": "ways exchanged",
    "F22 left on the old terminal": "left where it was",
    "other contact of a changeover": "other contact of the changeover",
    "never run": "conductor forgotten",
    "rubbed through": "touches earth",
}


@pytest.mark.parametrize("name", NAMES)
def test_every_conductor_of_the_change_touches_earth(name: str) -> None:
    """A row for each conductor that is brought or moved, but for those that lie at earth anyhow."""
    changed = change_of(name)
    joined = circuit_nets(changed.after)
    earth = {joined.root(t) for t in changed.after.earth}
    was = changed.before.conductors
    touched = {
        w.id
        for w in changed.after.conductors.values()
        if joined.root(w.a) not in earth and (w.id not in was or (was[w.id].a, was[w.id].b) != (w.a, w.b))
    }
    assert touched
    assert {f"touches earth: {w}" for w in touched} <= set(by_id(name))


def by_id(name: str) -> dict[str, Mistake]:
    return {m.id: m for m in generate(change_of(name))}


def joined(circuit: Circuit) -> Hashable:
    """What is joined, but for the words in which a file gives set points and sentences."""
    points = {
        n: replace(i.set_points, text="") for n, i in circuit.inputs.items() if i.set_points is not None
    }
    inputs = {n: replace(i, set_points=points.get(n)) for n, i in circuit.inputs.items()}
    return signature(replace(circuit, expects=(), inputs=inputs))


def test_every_field_mistake_is_made() -> None:
    made = {m.kind for name in NAMES for m in generate(change_of(name))}
    assert set(FIELD.values()) <= made


@pytest.mark.parametrize("name", NAMES)
def test_a_mistake_is_one_thing_done_wrong(name: str) -> None:
    changed = change_of(name)
    found = generate(changed)
    right = joined(changed.after), {(w.id, w.a, w.b) for w in changed.after.conductors.values()}
    steps = {s.number for s in changed.steps} | {0}
    assert len({m.id for m in found}) == len(found)
    for m in found:
        wires = {(w.id, w.a, w.b) for w in m.after.conductors.values()}
        assert (joined(m.after), wires) != right, m.id
        assert {n for _, a, b in wires for n in (a, b)} <= set(m.after.terminals), m.id
        assert m.step in steps, m.id


@pytest.mark.parametrize(
    ("change", "mistake"),
    [
        ("change-compressor-lifted.yaml", "look-alike lifted: W6 for W7"),
        ("change-main-lead.yaml", "in the wrong motor lead: W9 for W7"),
        ("change-other-sense.yaml", "other sense: PS"),
        ("change-bridged.yaml", "bridged: PS.1 to PS.2"),
    ],
)
def test_a_mistake_is_the_circuit_of_the_file_that_has_it(change: str, mistake: str) -> None:
    wrong = change_of(f"tidewater-playhouse/{change}").after
    assert joined(by_id("tidewater-playhouse")[mistake].after) == joined(wrong)


def test_a_forgotten_end_hangs_loose() -> None:
    after = by_id("tidewater-playhouse")["end forgotten: W21 off K1.T2"].after
    assert after.loose == {"W21:K1.T2"}
    assert "W21:K1.T2" in after.terminals
    assert after.conductors["W21"].b == "W21:K1.T2"


def test_a_splice_with_one_end_left_is_capped() -> None:
    after = by_id("tidewater-playhouse")["conductor forgotten: W20"].after
    assert after.capped == {"S1"}
    assert not after.inputs["PS"].listed


def test_other_coil_volts_keep_the_volt_amperes() -> None:
    mistakes = by_id("anti-short-cycle")
    right = change_of("anti-short-cycle").after.elements["DR.coil"]
    wrong = mistakes["other coil volts: DR.coil 240 V"].after.elements["DR.coil"]
    assert isinstance(right, Coil)
    assert wrong == replace(right, volts=240.0)


def test_a_sentence_follows_the_contact_of_a_switch_of_the_other_sense() -> None:
    changed = change_of("tidewater-playhouse")
    wrong = by_id("tidewater-playhouse")["other sense: PS"].after
    file = change_of("tidewater-playhouse/change-other-sense.yaml").after
    assert [s.condition for s in wrong.expects] == [s.condition for s in file.expects]
    assert [s.condition for s in wrong.expects] != [s.condition for s in changed.after.expects]


def test_everywhere_lands_each_end_on_every_net() -> None:
    changed = change_of("off-delay-fan")
    near, wide = generate(changed), generate(changed, everywhere=True)
    assert {m.id for m in near} < {m.id for m in wide}
