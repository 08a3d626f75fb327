"""Ladders: every element once, every end where the circuit has it, nothing on top of anything else."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.draw.circuits import Bench, random_bench, unit
from tests.draw.reading import crossings, misjoined, not_once, overlaps, symbols
from wirecheck.circuit.build import load_circuit
from wirecheck.circuit.elements import SetPoints
from wirecheck.draw.ladder import section_pieces, title_of, whole
from wirecheck.draw.look import Face
from wirecheck.draw.pieces import Label, Stretch, Symbol
from wirecheck.draw.rest import at_rest
from wirecheck.draw.sections import plan
from wirecheck.draw.wiring import Wiring

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.pieces import Panel, Piece

EXAMPLES = Path(__file__).parents[2] / "examples"
UNITS = sorted(EXAMPLES.glob("*/unit.yaml"))


def ladder_of(circuit: Circuit) -> Panel:
    return next(panel for panel in whole(circuit).panels if panel.name == "ladder")


def faults(panel: Panel, circuit: Circuit) -> list[str]:
    once = [f"{key} is drawn {times} times" for key, times in not_once(panel.pieces, circuit).items()]
    return [*once, *misjoined(panel.pieces, circuit), *overlaps(panel), *crossings(panel.pieces)]


@pytest.mark.parametrize("path", UNITS, ids=lambda path: path.parent.name)
def test_examples_are_drawn_as_they_are_wired(path: Path) -> None:
    circuit = load_circuit(path)
    assert faults(ladder_of(circuit), circuit) == []


@pytest.mark.parametrize("seeds", [range(n, n + 30) for n in range(0, 240, 30)], ids=lambda r: f"{r.start}+")
def test_generated_circuits_are_drawn_as_they_are_wired(seeds: range) -> None:
    for seed in seeds:
        circuit = random_bench(seed).circuit()
        assert faults(ladder_of(circuit), circuit) == [], f"seed {seed}"


def test_the_reader_of_pictures_sees_a_line_on_the_wrong_terminal() -> None:
    circuit = unit().circuit()
    pieces: list[Piece] = list(ladder_of(circuit).pieces)
    assert misjoined(pieces, circuit) == []
    cut = next(p for p in pieces if isinstance(p, Stretch) and p.wires == ("E.2",))
    assert any("apart" in fault for fault in misjoined([p for p in pieces if p is not cut], circuit))
    relay, switch = (next(p for p in symbols(pieces) if p.key == key) for key in ("K1.coil", "SW.contact"))
    bypass = Stretch("", ((switch.ends[0][1], switch.y + 9), (relay.ends[0][1], switch.y + 9)))
    sides = [Stretch("", ((x, switch.y), (x, switch.y + 9))) for x in (switch.ends[0][1], relay.ends[0][1])]
    assert any("joined" in fault for fault in misjoined([*pieces, bypass, *sides], circuit))
    assert not_once([p for p in pieces if p is not switch], circuit) == {"SW.contact": 0}
    assert not_once([*pieces, switch], circuit) == {"SW.contact": 2}


def find(circuit: Circuit, key: str) -> Symbol:
    return next(s for s in symbols(ladder_of(circuit).pieces) if s.key == key)


def texts(circuit: Circuit) -> list[str]:
    return [p.text for panel in whole(circuit).panels for p in panel.pieces if isinstance(p, Label)]


def test_a_motor_wired_as_designed_is_one_circle_with_its_capacitor_below() -> None:
    circuit = unit().circuit()
    for name, cap in (("COMP", "CR1"), ("FAN", "CR2")):
        motor, capacitor = find(circuit, name), find(circuit, f"{cap}.body")
        assert motor.elements == (f"{name}.main", f"{name}.aux")
        assert capacitor.y > motor.y
    assert [pin[0] for pin in find(circuit, "COMP").pins] == ["R", "S"]


def test_a_motor_without_its_capacitor_shows_bare_windings() -> None:
    bench = unit()
    del bench.conductors["C.4"]
    circuit = bench.circuit()
    assert {s.symbol for s in symbols(ladder_of(circuit).pieces) if s.key.startswith("FAN")} == {"winding"}


def test_a_tap_that_ends_nowhere_is_told_beside_the_circle() -> None:
    bench = unit()
    extra = bench.elements["FAN.main"]
    device, load = bench.devices["FAN"], bench.loads["FAN"]
    from msgspec.structs import replace

    low = replace(extra, id="FAN.low", b="FAN.low")  # type: ignore[call-arg]
    bench.elements["FAN.low"] = low
    elements, terminals = (*device.elements, low.id), (*device.terminals, "FAN.low")
    bench.devices["FAN"] = replace(device, elements=elements, terminals=terminals)
    bench.loads["FAN"] = replace(load, main=("FAN.main", "FAN.low"), taps=("high", "low"))  # type: ignore[call-arg]
    circuit = bench.circuit()
    assert find(circuit, "FAN").elements == ("FAN.main", "FAN.aux", "FAN.low")
    assert "not connected: low" in texts(circuit)
    assert faults(ladder_of(circuit), circuit) == []


def test_a_bridge_takes_out_the_one_coil_and_leaves_the_motor_whole() -> None:
    """A start relay's coil from C to S of a motor with an inner overload: not series-parallel."""
    bench = unit()
    bench.relay("PR", no=1)
    bench.line("P", "PR.A1", "COMP.C", "PR.A2", "COMP.S")
    circuit = bench.circuit()
    assert find(circuit, "COMP").symbol == "motor"
    assert {"K1.14", "COMP.S"} <= {t.removeprefix("open, ") for t in texts(circuit)}
    assert faults(ladder_of(circuit), circuit) == []


def test_three_chains_into_one_three_phase_motor_are_one_picture() -> None:
    bench = Bench()
    bench.supply(L1=120, L2=-60 + 104j, L3=-60 - 104j, N=0, PE=0)
    bench.disconnect("DS", 3)
    bench.relay("K1", no=3)
    bench.three_phase("MOT")
    bench.line("A", *(t for n in (1, 2, 3) for t in (f"MAINS.L{n}", f"DS.L{n}", f"DS.T{n}", f"K1.{n}3")))
    bench.line("B", *(t for n in (1, 2, 3) for t in (f"K1.{n}4", f"MOT.T{n}")))
    circuit = bench.circuit()
    motor = find(circuit, "MOT")
    assert (motor.letters, motor.elements) == ("M 3~", ("MOT.w1", "MOT.w2", "MOT.w3"))
    assert faults(ladder_of(circuit), circuit) == []


def test_disconnects_stand_between_pole_and_rail_and_the_rest_hangs_from_the_rails() -> None:
    circuit = unit().circuit()
    face = Face("both", Wiring(circuit))
    laid = plan([face])
    drawn = {
        title_of(section.key): {s.key for s in symbols(section_pieces(face, laid, section))}
        for section in laid.sections
    }
    assert list(drawn) == ["Supply, as far as its rails", "MAINS.L1 – MAINS.L2", "X1.R – X1.C"]
    assert drawn["Supply, as far as its rails"] == {"DS.p1", "DS.p2"}
    assert drawn["X1.R – X1.C"] == {"X1.core:X1.R-X1.C", "SW.contact", "HP.contact", "K1.coil"}
    head = next(panel for panel in whole(circuit).panels if panel.name == "head")
    assert at_rest(circuit) in [p.text for p in head.pieces if isinstance(p, Label)]


def test_coil_and_contacts_name_each_others_lines_closed_ones_underlined() -> None:
    bench = unit()
    bench.relay("CR", no=1, nc=1)
    bench.heater("H1")
    bench.heater("H2")
    bench.line("F", "X1.R", "CR.13", "CR.14", "H1.1", "H1.2", "X1.C", "X1.R", "CR.23", "CR.24", "H2.1")
    bench.line("G", "H2.2", "X1.C", "SW.2", "CR.A1", "CR.A2", "X1.C")
    circuit = bench.circuit()
    pieces = ladder_of(circuit).pieces
    rows = {p.y - 4: int(p.text) for p in pieces if isinstance(p, Label) and p.key.startswith("number ")}
    line = {s.key: rows[s.y] for s in symbols(pieces) if s.y in rows}
    labels = [p for p in pieces if isinstance(p, Label)]
    refs = {
        key: [(p.text, p.underlined) for p in labels if p.key.startswith(f"line {key} ")]
        for key in ("CR.coil", "CR.c0", "CR.c1")
    }
    assert refs["CR.coil"][0] == ("(", False)
    assert sorted(refs["CR.coil"][1:3]) == sorted([(str(line["CR.c0"]), False), (str(line["CR.c1"]), True)])
    assert refs["CR.c0"] == refs["CR.c1"] == [("(", False), (str(line["CR.coil"]), False), (")", False)]


def test_a_line_too_long_for_the_rails_is_folded_and_both_ends_say_where() -> None:
    bench = Bench()
    bench.supply(L=120, N=0, PE=0)
    names = [f"SWITCH-{n}" for n in range(9)]
    for name in names:
        bench.switch(name, closed=True)
    bench.heater("HTR")
    ends = ["MAINS.L", *(t for n in names for t in (f"{n}.1", f"{n}.2")), "HTR.1", "HTR.2", "MAINS.N"]
    bench.line("L", *ends)
    circuit = bench.circuit()
    assert {"to line 2", "from line 1"} <= set(texts(circuit))
    assert faults(ladder_of(circuit), circuit) == []


def test_an_opened_line_says_open_and_a_bridged_switch_names_its_one_net() -> None:
    bench = unit()
    del bench.conductors["E.2"]
    bench.wire("BR", "SW.1", "SW.2")
    circuit = bench.circuit()
    assert "open" in texts(circuit)
    assert faults(ladder_of(circuit), circuit) == []


def test_conductors_are_named_on_the_very_line_that_they_are() -> None:
    bench = unit()
    bench.strip("TS", 2)
    bench.wire("E.2", "SW.2", "TS.1", "white", "18 AWG")
    bench.wire("E.2b", "TS.1", "HP.1", "white/brown", "1.5 mm2")
    pieces = ladder_of(bench.circuit()).pieces
    wires = {wire for piece in pieces if isinstance(piece, Stretch) for wire in piece.wires}
    # K1.14 carries two conductors to two motors: each has a line of its own; DS to K1 and on to X1 too.
    assert {"B.1", "C.1", "D.1", "E.1", "A.1"} <= wires
    both = next(p for p in pieces if isinstance(p, Stretch) and "E.2" in p.wires)
    assert both.wires == ("E.2", "E.2b")


def test_parallel_conductors_are_in_the_table_and_claim_no_line() -> None:
    bench = unit()
    bench.wire("TWIN", "SW.2", "HP.1")
    circuit = bench.circuit()
    wires = {w for p in ladder_of(circuit).pieces if isinstance(p, Stretch) for w in p.wires}
    assert not wires & {"TWIN", "E.2"}
    assert {"TWIN", "E.2"} <= set(texts(circuit))


def test_set_points_stand_beside_their_switch_and_decide_its_sense() -> None:
    bench = unit()
    points = SetPoints("water", 0.01, 0.02, True, "closes above 1 in, opens below 0.5 in")
    bench.switch("FS", points=points)
    circuit = bench.circuit()
    assert find(circuit, "HP.contact").symbol == "switch above closed pressure"
    assert find(circuit, "FS.contact").symbol == "switch below open level"
    written = {"opens above", "610 psig", "closes below", "420 psig", "closes above", "1 in"}
    assert written <= set(texts(circuit))


def test_the_table_has_every_conductor_with_colour_gauge_and_ends() -> None:
    bench = unit()
    bench.wire("W99", "HP.1", "HP.2", "yellow", "18 AWG")
    rows = whole(bench.circuit()).panels[-1].pieces
    cells = {p.key: p.text for p in rows if isinstance(p, Label) and p.key.startswith("cell W99")}
    assert list(cells.values()) == ["W99", "yellow, 18 AWG", "HP.1", "HP.2"]
    assert {p.key.split()[1] for p in rows if isinstance(p, Label) and p.key.startswith("cell ")} == {
        "head", *bench.conductors,
    }  # fmt: skip


def test_order_of_the_file_moves_rungs_and_nothing_else() -> None:
    bench, other = unit(), unit()
    other.conductors = dict(reversed(other.conductors.items()))
    first, second = (ladder_of(b.circuit()) for b in (bench, other))
    places = [{(s.key, s.x, s.y) for s in symbols(panel.pieces)} for panel in (first, second)]
    assert places[0] == places[1]
