"""From a unit file to its circuit: paths, names, inputs, what is listed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.build import load_circuit
from wirecheck.circuit.elements import ByCoil, ByPosition
from wirecheck.problem import BadInput

if TYPE_CHECKING:
    from pathlib import Path


def ends(circuit, *ids: str) -> list[tuple[str, str]]:
    return [(circuit.conductors[i].a, circuit.conductors[i].b) for i in ids]


def test_a_rung_is_numbered_conductors(playhouse) -> None:
    assert ends(playhouse, "C1.1", "C1.2", "C1.3", "C1.4") == [
        ("X1.R", "TH.R"), ("TH.Y", "HP.1"), ("HP.2", "K1.A1"), ("K1.A2", "X1.C"),
    ]  # fmt: skip
    assert "C1.5" not in playhouse.conductors


def test_no_conductor_where_both_ends_are_one_terminal(unit) -> None:
    circuit = unit("""
        devices: {X1: {type: transformer, volts: [240, 24]}, TH: {type: thermostat}, K1: {type: relay-no}}
        rungs: [{id: C1, path: [X1.R, TH.R, TH.R-Y, TH.Y, K1.coil, J, X1.C]}]
    """)
    assert ends(circuit, *circuit.conductors) == [
        ("X1.R", "TH.R"), ("TH.Y", "K1.A1"), ("K1.A2", "J"), ("J", "X1.C"),
    ]  # fmt: skip
    assert list(circuit.conductors) == ["C1.1", "C1.2", "C1.3", "C1.4"]
    assert circuit.splices == {"J"}


def test_dashes_in_terminal_names(unit) -> None:
    types = """
        types:
          odd:
            terminals: [A, B-C, A-B, C]
            elements: {x: {kind: link, across: [A, B-C]}, y: {kind: link, across: [A-B, C]}}
          pair:
            terminals: [L-1, T-1, A]
            elements: {A: {kind: coil, across: [L-1, T-1]}, b: {kind: link, across: [A, T-1]}}
        devices: {D: {type: odd}, P: {type: pair}, S: {type: switch}}
        rungs: [{id: C1, path: [S, %s, S.1]}]
    """
    assert ends(unit(types % "P.L-1-T-1"), "C1.1", "C1.2") == [("S.2", "P.L-1"), ("P.T-1", "S.1")]
    assert ends(unit(types % "P.L-1"), "C1.1") == [("S.2", "P.L-1")]
    assert ends(unit(types % "P.A"), "C1.1", "C1.2") == [("S.2", "P.A"), ("P.A", "S.1")]  # the terminal
    assert ends(unit(types % "D.A-B"), "C1.1", "C1.2") == [("S.2", "D.A-B"), ("D.A-B", "S.1")]
    with pytest.raises(BadInput, match=r"from A to B-C or from A-B to C"):
        unit(types % "D.A-B-C")


def test_poles_and_reversed_ways_stand_in_paths(unit) -> None:
    circuit = unit("""
        supplies: {M: {kind: single-phase, volts: 120}}
        devices: {S: {type: switch}, H: {type: heater, volts: 120, watts: 40}, C: {type: changeover-switch}}
        rungs: [{id: R, path: [M.L, S.2-1, C.NO-C, H, M.N]}]
    """)
    assert ends(circuit, "R.1", "R.2", "R.3", "R.4") == [
        ("M.L", "S.2"), ("S.1", "C.NO"), ("C.C", "H.1"), ("H.2", "M.N"),
    ]  # fmt: skip


def test_elements_and_movers(playhouse) -> None:
    movers = {c.mover for c in playhouse.contacts.values() if c.device == "K1"}
    assert movers == {ByCoil("K1.coil")}
    assert not any(c.rests_closed for c in playhouse.contacts.values() if c.device == "K1")
    assert {c.mover for c in playhouse.contacts.values() if c.device == "DS"} == {ByPosition("DS")}
    assert {c.mover.input for c in playhouse.contacts.values() if c.device == "TH"} == {
        "TH.cool",
        "TH.fan",
        "TH.heat",
    }
    assert playhouse.devices["K1"].stacks == {"K1.T2": 2}
    assert "COMP.(m)" in playhouse.terminals
    assert playhouse.devices["COMP"].terminals == ("COMP.C", "COMP.R", "COMP.S")


def test_listed_inputs_are_those_of_the_example(playhouse) -> None:
    assert [n for n, i in playhouse.inputs.items() if i.listed] == ["DS", "TH.cool", "HP"]
    overload = playhouse.inputs["COMP.overload"]
    assert overload.opened_only_by_name and not overload.listed
    assert overload.words == ("closed", "open")


@pytest.mark.parametrize(
    ("wires", "listed"),
    [
        ("[{id: W1, from: M.L, to: S.1}, {id: W2, from: S.2, to: H.1}]", True),
        ("[{id: W1, from: M.L, to: S.1}]", False),  # nothing on 2
        ("[{id: W1, from: M.L, to: S.1}, {id: W2, from: S.2, to: TB.1}]", False),  # a strip is no element
        (
            "[{id: W1, from: M.L, to: TB.1}, {id: W2, from: TB.1, to: S.1}, {id: W3, from: S.2, to: M.N}]",
            True,
        ),
        ("[{id: W1, from: S.1, to: S.2}]", False),  # only itself
        ("[{id: W1, from: S.1, to: B.1}, {id: W2, from: S.2, to: H.1}]", True),  # an earth bar is a pole
    ],
)
def test_an_input_is_listed_if_a_contact_has_something_on_both_ends(unit, wires: str, listed: bool) -> None:
    circuit = unit(f"""
        supplies: {{M: {{kind: single-phase, volts: 120}}}}
        devices:
          S: {{type: switch}}
          H: {{type: heater, volts: 120, watts: 40}}
          TB: {{type: terminal-strip, terminals: 2}}
          B: {{type: earth-bar, terminals: 2}}
        wires: {wires}
    """)
    assert circuit.inputs["S"].listed is listed


def test_links_are_part_of_a_net(unit) -> None:
    """L2-T2 of a one-pole contactor is a bar: what is on it is on the switch too, the bar is nothing."""
    text = """
        supplies: {M: {kind: single-phase, volts: 120}}
        devices: {S: {type: switch}, K: {type: contactor-1p}}
        wires: [{id: W1, from: M.L, to: S.1}, {id: W2, from: S.2, to: K.L2}%s]
    """
    assert not unit(text % "").inputs["S"].listed
    assert unit(text % ", {id: W3, from: K.T2, to: M.N}").inputs["S"].listed


def test_set_points_normal_trips_and_words(playhouse) -> None:
    switch = playhouse.inputs["HP"]
    psi = 6894.757293168  # Pa, from 0.45359237 kg, 9.80665 m/s2, 25.4 mm
    assert switch.words == ("closed", "open")
    assert switch.set_points is not None
    assert (switch.set_points.low, switch.set_points.high) == pytest.approx((420 * psi, 610 * psi))
    assert switch.set_points.above_moved and switch.tripped is True and not switch.normal
    assert playhouse.inputs["DS"].words == ("closed", "open") and playhouse.inputs["DS"].lever
    assert playhouse.inputs["SPARE"].lever and not playhouse.inputs["HP"].lever
    assert playhouse.cuts == {"liquid_pressure": (switch.set_points.low, switch.set_points.high)}


def test_opens_on_fall_trips_at_rest(unit) -> None:
    circuit = unit("""
        conditions: {p: {unit: psig}}
        devices:
          LP:
            {type: pressure-switch, senses: p, opens_below: 50, closes_above: 95, trips: below, normal: moved}
          PC: {type: pressure-changeover, senses: p, moves_below: 50, returns_above: 95, normal: rest}
          FS: {type: float-switch, rests: closed, trips: open, resets: hand}
        expects: [never p above 3 bar and LP open]
    """)
    low = circuit.inputs["LP"]
    assert low.words == ("open", "closed") and low.normal and low.tripped is False
    assert circuit.inputs["PC"].words == ("rest", "moved")
    assert circuit.inputs["FS"].tripped is True and circuit.inputs["FS"].hand_reset
    assert circuit.cuts["p"] == (300_000, low.set_points.low, low.set_points.high)


def test_earth_bars_hold_all_their_terminals_at_earth(playhouse) -> None:
    assert playhouse.poles["GB.1"].phasor == 0 and playhouse.poles["GB.1"].source == ""
    assert playhouse.earth == {"MAINS.PE", "GB.1", "GB.2", "GB.3"}
    assert [e.id for e in playhouse.elements.values() if e.device == "GB"] == ["GB.bar.1", "GB.bar.2"]


def test_delays(unit) -> None:
    text = """
        supplies: {M: {kind: single-phase, volts: 24}}
        types:
          twin:
            terminals: [A, B, C, D, E, F]
            elements:
              one: {kind: coil, across: [A, B], volts: 24}
              two: {kind: coil, across: [C, D], volts: 24}
              x: {kind: contact, across: [E, F], rests: open, moved_by: two, late: off}
        devices: {T: {type: delay-on-relay}, U: {type: delay-off-relay}, V: {type: twin}, H: {type: lamp}}
        wires:
          - {id: W1, from: M.L, to: T.C}
          - {id: W2, from: T.NO, to: H.1}
          - {id: W3, from: M.L, to: V.E}
          - {id: W4, from: V.F, to: H.1}
    """
    circuit = unit(text)
    assert {n: (d.coil, d.late) for n, d in circuit.delays.items()} == {
        "T.elapsed": ("T.coil", "on"), "V.held": ("V.two", "off"),
    }  # fmt: skip
    # `one` moves nothing: a load; with `two` there are two things to name.
    assert "V.one" in circuit.loads and "V.two" in circuit.relays
    named = unit(text.rstrip() + "\n        expects: [never U.held moved]\n")
    assert "U.held" in named.delays


def test_loads_and_relays_are_named_by_tag_or_element(unit) -> None:
    circuit = unit("""
        types:
          duo: {terminals: [A, B, C], elements: {x: {kind: resistor, across: [A, B], volts: 24, watts: 4},
                                                 y: {kind: resistor, across: [B, C], volts: 24, watts: 6}}}
        devices:
          D: {type: duo}
          K: {type: relay-no, external: true}
          SV: {type: solenoid-valve}
          R: {type: resistor, ohms: 15000}
          PR: {type: potential-relay}
          PTC: {type: ptc-start}
          H: {type: heater}
          BLW: {type: psc-motor-3-speed, volts: 240, fla: 2}
    """)
    assert set(circuit.loads) == {"D.x", "D.y", "SV", "H", "BLW"}
    assert set(circuit.relays) == {"K"} and circuit.relays["K"].external
    assert circuit.elements["PR.coil"].stateless and not circuit.elements["K.coil"].stateless
    assert circuit.inputs["PR.atspeed"].words == circuit.inputs["PTC.warm"].words == ("closed", "open")
    assert circuit.loads["BLW"].taps == ("high", "medium", "low")
    assert circuit.loads["H"].volts is None


def test_given_holds_and_refuses(unit) -> None:
    text = """
        devices:
          DS: {type: disconnect-2p}
          TH: {type: thermostat}
          CO: {type: changeover-switch}
          K: {type: relay-no}
          HP: {type: pressure-switch, rests: closed, trips: open}
          M: {type: psc-compressor, volts: 240, rla: 8}
        given: {%s}
    """
    held = unit(text % "DS: closed, TH.cool: closed, CO: moved, HP: open, M.overload: open").inputs
    assert {n: i.given for n, i in held.items() if i.given is not None} == {
        "DS": False, "TH.cool": True, "CO": True, "HP": True, "M.overload": True,
    }  # fmt: skip
    for given, code in {
        "HP: closed": "given-hides-trip", "CO: open": "word-does-not-fit", "TH: closed": "unknown-name",
        "K: closed": "unknown-name", "DX: closed": "unknown-name",
    }.items():  # fmt: skip
        with pytest.raises(BadInput) as bad:
            unit(text % given)
        assert [(p.code, p.place.line) for p in bad.value.problems] == [(code, 10)]


def test_graph_has_every_conductor_and_element(playhouse) -> None:
    keys = {key for *_, key in playhouse.graph.edges(keys=True)}
    parts = set(playhouse.conductors) | set(playhouse.elements) - {"X1.core"}
    assert parts < keys
    assert keys - parts == {"X1.core:X1.H1-X1.H2", "X1.core:X1.R-X1.C"}
    assert set(playhouse.graph.nodes) == set(playhouse.terminals)


def test_device_of(playhouse) -> None:
    assert playhouse.device_of("K1.T2") is playhouse.devices["K1"]
    assert playhouse.device_of("MAINS.L1") is None


def test_a_device_is_the_same_wherever_it_is_written(unit) -> None:
    text = "devices:\n  S: {type: switch}\n  H: {type: heater, volts: 24, watts: 5}\n"
    one, other = unit(text), unit("\n\n" + text)
    assert one.devices["S"].place != other.devices["S"].place
    assert one.devices == other.devices


def test_what_the_file_says_of_the_unit(tmp_path: Path) -> None:
    (tmp_path / "unit.yaml").write_text("unit: {name: U, about: behind the stage}\n", encoding="utf-8")
    circuit = load_circuit(tmp_path / "unit.yaml")
    assert (circuit.name, circuit.about) == ("U", "behind the stage")


def test_the_figures_of_a_position_are_not_those_of_what_a_motor_moves(unit) -> None:
    circuit = unit("""
        types:
          both:
            terminals: ["1", "2", "3", "4"]
            positions: [hand]
            elements:
              a: {kind: contact, across: ["1", "2"], rests: open, moved_by: hand}
              b: {kind: contact, across: ["3", "4"], rests: open, moved_by: atspeed}
        devices: {D: {type: both, normal: closed}}
    """)
    assert circuit.inputs["D"].normal and not circuit.inputs["D.atspeed"].normal
