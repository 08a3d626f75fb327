"""`find`: the fault that is there is never ruled out, what is ruled out shows otherwise."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from tests.cli.conftest import ROOT, wirecheck
from tests.learning.walked import EXAMPLES, paths
from wirecheck import api
from wirecheck.circuit.elements import Link, Motor
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.questions.find.answer import find
from wirecheck.questions.find.bench import Bench
from wirecheck.questions.find.evidence import LOAD_SEEN, Measured, Seen
from wirecheck.questions.find.fault import faults
from wirecheck.questions.find.said import heard, told, value_of
from wirecheck.questions.find.tell import points

if TYPE_CHECKING:
    from pathlib import Path

PLAYHOUSE = str(EXAMPLES / "tidewater-playhouse" / "unit.yaml")
LOOK = {"runs": "runs", "on": "on", "off": "off", "stalls": "hums", "backward": "backward"}
SWEPT = ("tidewater-playhouse", "greenhouse-fan", "crankcase-heater")


def words_of(circuit, bits):
    """The words of a circuit from power-up, by the plain evaluator alone."""
    plain = Plain(circuit)
    ends = plain.settle(bits, plain.cold())
    assert len(ends) == 1
    return plain.words(bits, ends[0]), ends[0]


@pytest.mark.parametrize("name", SWEPT)
def test_what_is_there_is_never_ruled_out_and_what_is_ruled_out_shows_otherwise(name: str) -> None:
    """Every fault in the three states in which most loads work; seen is what the plain evaluator says."""
    bench = Bench(api.unit_of(paths(name, None)[0]))
    world = bench.scene.world
    states = sorted(world.settings(), key=lambda s: (-working(bench, s), world.away(s)))[:3]
    shown = {}
    for setting in states:
        for f in bench.faults:
            words, end = words_of(f.circuit, world.inputs(True, setting))
            if end.short is None and set(words.loads.values()) <= LOOK.keys():
                shown[f.id, setting] = {n: LOAD_SEEN[LOOK[w]] for n, w in words.loads.items()}
    assert len(shown) > 2 * len(bench.faults)
    for (fault, setting), look in shown.items():
        fits = {f.id for f in bench.faults if bench.fits(f, [Seen(setting, look)])}
        assert fault in fits
        for other, there in shown.items():
            if other[1] == setting and other[0] not in fits:
                assert there != look


def working(bench: Bench, setting) -> int:
    words, _ = words_of(bench.right, bench.scene.world.inputs(True, setting))
    return sum(w in ("runs", "on") for w in words.loads.values())


# --- single faults worked out by hand -----------------------------------------------------------------


def by_id(name: str):
    circuit = api.unit_of(paths(name, None)[0])
    return circuit, {f.id: f for f in faults(circuit)}


HAND = [
    # In a call for cooling: a fan without its capacitor, main or aux lead hums (any machines textbook).
    ("tidewater-playhouse", "CAP.fan open", {"TH.cool": True}, {"FAN": "stalls", "COMP": "runs"}),
    ("tidewater-playhouse", "open W9", {"TH.cool": True}, {"FAN": "stalls"}),
    ("tidewater-playhouse", "open W7", {"TH.cool": True}, {"FAN": "off", "COMP": "runs"}),
    ("tidewater-playhouse", "FAN.aux open", {"TH.cool": True}, {"FAN": "stalls"}),
    ("tidewater-playhouse", "K1.pole-1 stays closed", {}, {"COMP": "runs", "FAN": "runs"}),
    ("tidewater-playhouse", "K1 stays in, whatever its coil does", {}, {"COMP": "runs"}),
    ("tidewater-playhouse", "K1 does not pull in", {"TH.cool": True}, {"COMP": "off", "HTR": "on"}),
    ("tidewater-playhouse", "X1.core secondary open", {"TH.cool": True}, {"COMP": "off", "HTR": "on"}),
    ("tidewater-playhouse", "X1.core primary open", {"TH.cool": True}, {"COMP": "off", "HTR": "on"}),
    ("tidewater-playhouse", "F1.link stays open", {"TH.cool": True}, {"COMP": "off", "HTR": "on"}),
    ("tidewater-playhouse", "K1.coil shorted", {"TH.cool": True}, {"COMP": "off", "HTR": "on"}),
    ("tidewater-playhouse", "HTR.heater open", {}, {"HTR": "off"}),
    # One pole of a two-pole disconnect burnt open: nothing runs.
    ("tidewater-playhouse", "DS.pole-2 stays open", {"TH.cool": True}, {"COMP": "off", "HTR": "off"}),
    # A three-phase motor with an open winding is left on two lines: it hums (single-phasing).
    ("greenhouse-fan", "FAN1.u open", {"HAND": True}, {"FAN1": "stalls"}),
    ("greenhouse-fan", "open W10", {"HAND": True}, {"FAN1": "stalls"}),
]


@pytest.mark.parametrize(("name", "fault", "moved", "expected"), HAND)
def test_by_hand(name: str, fault: str, moved: dict[str, bool], expected: dict[str, str]) -> None:
    circuit, known = by_id(name)
    bits = tuple(moved.get(n, i.normal) for n, i in circuit.inputs.items())
    words, _ = words_of(known[fault].circuit, bits)
    assert {n: words.loads[n] for n in expected} == expected


def test_a_shorted_coil_has_blown_the_fuse_in_its_way() -> None:
    _, known = by_id("tidewater-playhouse")
    shorted = known["K1.coil shorted"]
    assert shorted.words == "the coil of K1 is shorted, and F1 blown by it"
    contact = shorted.circuit.elements["F1.link"]
    assert contact.a == contact.b
    assert not isinstance(contact, Link)


def test_every_part_has_its_faults() -> None:
    circuit, known = by_id("tidewater-playhouse")
    assert {f"open {w}" for w in circuit.conductors} <= known.keys()
    for motor in (m for m in circuit.loads.values() if isinstance(m, Motor)):
        assert {f"{w} open" for w in (*motor.main, motor.aux)} <= known.keys()
    assert {
        "CAP.herm open",
        "CAP.herm shorted",
        "HP.switch stays open",
        "HP.switch stays closed",
    } <= known.keys()
    assert len({f.id for f in faults(circuit)}) == len(faults(circuit))


# --- from what is seen to one place -------------------------------------------------------------------


@pytest.mark.parametrize(
    "fault", ["open W34", "HP.switch stays open", "K1.coil open", "CAP.fan shorted", "open W15"]
)
def test_the_tests_lead_to_the_fault(fault: str) -> None:
    """What each test shows is read off the faulty unit by the plain evaluator; one place is left."""
    from wirecheck.questions.drill.fault import read, seen
    from wirecheck.questions.drill.ground import Ground

    ground = Ground(api.unit_of(PLAYHOUSE))
    bench = ground.bench
    broken = next(f for f in bench.faults if f.id == fault)
    setting = next(s for s in bench.scene.world.settings() if s.bits[bench.scene.world.index["TH.cool"]])
    evidence = [seen(ground, broken, setting)]
    for _ in range(9):
        found = find(bench, evidence)
        assert fault in {f.id for f in found.faults}
        if len(found.groups) == 1:
            break
        test = found.test
        assert test is not None
        assert test.left < len(found.groups)
        if test.points is None:
            look = bench.looks(bench.plain(broken), broken, test.setting)[0]
            evidence.append(Seen(test.setting, {n: look[n] for n in test.names}))
        else:
            evidence.append(read(ground, broken, test.kind, test.setting, test.points))
    assert len(find(bench, evidence).groups) == 1


def test_the_state_is_that_in_which_all_named_would_run() -> None:
    circuit = api.unit_of(PLAYHOUSE)
    bench, (seen,) = heard(circuit, told("--seen", ["COMP off, FAN off"], []), [])
    assert bench.scene.world.words(seen.setting)["TH.cool"] == "closed"
    bench, (seen,) = heard(circuit, told("--seen", ["COMP off"], ["TH.fan closed"]), [])
    assert bench.scene.world.words(seen.setting)["TH.cool"] == "open"
    bench, (seen, other) = heard(
        circuit, told("--seen", ["COMP off when HP open", "HTR on"], ["DS closed"]), []
    )
    assert bench.scene.world.words(seen.setting)["HP"] == "open"
    assert bench.scene.world.words(other.setting)["HP"] == "closed"


@pytest.mark.parametrize(
    ("text", "value"),
    [("24 V", ("volts", 24, False)), ("0", ("volts", 0, False)), ("1.1 ohm", ("ohms", 1.1, False)),
     ("2 kΩ", ("ohms", 2000, False)), ("open", ("ohms", None, False)), ("OL", ("ohms", None, False)),
     ("continuity", ("ohms", None, True)), ("-24V", ("volts", 24, False)), ("lots", None)],
)  # fmt: skip
def test_readings_in_plain_words(text: str, value: object) -> None:
    assert value_of(text) == value


def test_without_a_fault_nothing_is_accused() -> None:
    found = api.find(PLAYHOUSE, None, ["COMP runs, FAN runs, HTR on"])
    assert found.right
    assert found.test is None or found.faults


def test_points_are_terminals_with_conductors() -> None:
    circuit = api.unit_of(PLAYHOUSE)
    ends = {t for w in circuit.conductors.values() for t in (w.a, w.b)}
    assert all({a, b} <= ends for a, b in points(circuit))


# --- the command --------------------------------------------------------------------------------------


def test_command_and_json(tmp_path: Path) -> None:
    done = wirecheck("find", PLAYHOUSE, "--seen", "COMP runs, FAN off", "--json", tmp_path / "found.json")
    assert done.code == 0
    answer = json.loads((tmp_path / "found.json").read_text(encoding="utf-8"))
    assert [f["id"] for f in answer["faults"]] == ["open W7"]
    assert answer["says"] == "One is left:"
    assert answer["without_fault"] is False


def test_it_asks_until_one_is_left() -> None:
    import subprocess
    import sys

    done = subprocess.run(
        [sys.executable, "-m", "wirecheck", "find", PLAYHOUSE, "--ask", "--seen", "FAN hums"],
        input="nonsense\nopen\n0\n240\n", capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0
    assert 'found "nonsense", expected a reading' in done.stderr
    assert "What does it show?" in done.stdout


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("--seen", "COMPP runs"), "--seen:1:1: unknown-load: no load or relay is called COMPP. Meant COMP?"),
        (("--seen", "COMP glows"), "--seen:1:1: word-does-not-fit: of COMP say runs, on, off"),
        (("--seen", "COMP"), '--seen:1:1: sentence: found "COMP", expected a load or relay'),
        (("--measured", "K1.A1 24 V"), '--measured:1:1: unknown-terminal: 24'),
        (("--measured", "K1.A1 K1.A2 much"), '--measured:1:1: sentence: found "much", expected a reading'),
        (("--seen", "COMP off", "--when", "HPP open"), "--when:1:1: unknown-name:"),
        (("--seen", "COMP off", "--when", "K1 in"), "--when:1:1: not-held: K1 is not set by hand"),
        ((), "say what was seen"),
    ],
)  # fmt: skip
def test_bad_input(args: tuple[str, ...], says: str) -> None:
    done = wirecheck("find", PLAYHOUSE, *args)
    assert done.code == 2
    assert says in " ".join(done.err.split())
    assert done.out == ""


def test_measurements_rule_out() -> None:
    """24 V at the coil of a contactor that is out: the coil or its contact, nothing before it."""
    found = api.find(PLAYHOUSE, None, ["COMP off, FAN off, HTR on"], ["K1.A1 K1.A2 24 V"], ["TH.cool closed"])
    assert {f.id for f in found.faults} == {"K1.coil open", "K1.pole-1 stays open", "K1 does not pull in"}
    assert isinstance(found.evidence[1], Measured)


def test_ohms_across_a_coil_of_unknown_ohms_tell_whether_it_is_open() -> None:
    """With the thermostat open no way leads around K1's coil; with it closed the transformer's winding does.

    A winding whose ohms the file does not give reads something: an ohmmeter says open of an open one alone.
    """
    seen, volts = "COMP off, FAN off, HTR on when TH.cool closed", "K1.A1 K1.A2 24 V when TH.cool closed"
    for reading, left in (
        ("open when TH.cool open", {"K1.coil open"}),
        ("continuity when TH.cool open", {"K1 does not pull in", "K1.pole-1 stays open"}),
        ("open when TH.cool closed and HP closed and LP closed", set()),
        ("open when TH.cool closed", {"K1.coil open"}),  # HP or LP may have opened since
        ("2 kohm when TH.cool open", {"K1 does not pull in", "K1.pole-1 stays open"}),
    ):
        found = api.find(PLAYHOUSE, None, [seen], [volts, f"K1.A1 K1.A2 {reading}"])
        assert {f.id for f in found.faults} == left, reading


DUCT = """
unit: {name: duct heater}
supplies: {MAINS: {kind: single-phase, volts: 120}}
conditions: {air: {unit: inWC}}
devices:
  DS: {type: disconnect-2p, normal: closed}
  K1: {type: contactor-1p, coil: {volts: 120, va: 8, inrush: 30}}
  TH: {type: switch, normal: closed}
  FAN: {type: motor-1ph, volts: 120, fla: 1.4, lra: 2.9}
  FS: {type: flow-switch, senses: air, closes_above: 0.2 inWC, opens_below: 0.1 inWC, normal: closed}
  HT: {type: heater, volts: 120, watts: 1000}
wires:
  - {id: W1, from: MAINS.L, to: DS.L1}
  - {id: W2, from: MAINS.N, to: DS.L2}
  - {id: W3, from: DS.T1, to: K1.L1}
  - {id: W4, from: K1.T1, to: FAN.1}
  - {id: W5, from: FAN.2, to: DS.T2}
  - {id: W8, from: DS.T1, to: FS.1}
  - {id: W9, from: FS.2, to: HT.1}
  - {id: W10, from: HT.2, to: DS.T2}
  - {id: W11, from: DS.L1, to: TH.1}
  - {id: W12, from: TH.2, to: K1.A1}
  - {id: W13, from: K1.A2, to: DS.L2}
"""


def test_with_the_power_off_no_flow_keeps_its_switch(tmp_path: Path) -> None:
    """The fan stands while ohms are read: an open air switch may be right, and the heater broken."""
    unit = tmp_path / "unit.yaml"
    unit.write_text(DUCT, encoding="utf-8")
    found = api.find(str(unit), None, ["HT off"], ["FS.1 FS.2 open"])
    assert {"HT.heater open", "FS.switch stays open"} <= {f.id for f in found.faults}
    told = api.find(str(unit), None, ["HT off"], ["FS.1 FS.2 open when FS closed"])
    assert "HT.heater open" not in {f.id for f in told.faults}


def test_a_history_that_was_not_told_rules_nothing_out() -> None:
    """With a lockout that may have tripped before, an idle compressor in a call is no fault at all."""
    unit, change = paths("lockout", "change.yaml")
    found = api.find(unit, change, ["COMP off, FAN off, HTR on"], (), ["TH.cool closed"])
    assert found.right


def test_renaming_a_conductor_changes_no_place() -> None:
    circuit = api.unit_of(PLAYHOUSE)
    wires = {f"Z{w.id}": replace(w, id=f"Z{w.id}") for w in circuit.conductors.values()}
    bench = Bench(replace(circuit, conductors=wires))
    setting = next(iter(bench.scene.world.settings()))
    found = find(bench, [Seen(setting, {"HTR": LOAD_SEEN["off"]})])
    old = find(Bench(circuit), [Seen(setting, {"HTR": LOAD_SEEN["off"]})])
    assert [f.id.replace("open Z", "open ") for f in found.faults] == [f.id for f in old.faults]


def test_no_volts_stand_across_a_bolted_short() -> None:
    unit = ROOT / "examples/tidewater-playhouse/unit.yaml"
    done = wirecheck("find", unit, "--seen", "COMP off", "--measured", "HTR.1 HTR.2 240 V")
    assert "HTR is shorted" not in done.out
    assert "W6 (yellow, 10 AWG) open" in done.out


def test_volts_across_one_node_are_no_motor_s(tmp_path: Path) -> None:
    """FAN.aux and CAP.1 are the two ends of D.1: 240 V between them, whatever turns, and it is open."""
    unit = tmp_path / "unit.yaml"
    unit.write_text(
        """\
unit: {name: fan}
supplies: {MAINS: {kind: single-phase, volts: 240}}
devices:
  S: {type: switch}
  FAN: {type: psc-motor, volts: 240, fla: 1.4, lra: 2.9, needs: 5 uF}
  CAP: {type: run-capacitor, capacitance: 5 uF}
rungs:
  - {id: A, path: [MAINS.L, S, FAN.common]}
  - {id: B, path: [FAN.main, MAINS.N]}
  - {id: D, path: [FAN.aux, CAP, MAINS.N]}
""",
        encoding="utf-8",
    )
    bench = Bench(api.unit_of(str(unit)))
    setting = next(s for s in bench.scene.world.settings() if all(s.bits))
    read = [Measured(setting, "volts", ("FAN.aux", "CAP.1"), 240.0)]
    assert not bench.fits(None, read)
    assert "open D.1" in {f.id for f in bench.faults if bench.fits(f, read)}


def test_the_count_agrees_with_the_lines(tmp_path: Path) -> None:
    """Faults that are one to a meter stand on one line, and the head says so."""
    done = wirecheck("find", PLAYHOUSE, "--seen", "FAN off, COMP off")
    rows = [row for row in done.out.split("\n") if row.startswith("  - ")]
    assert f"27 single faults fit, of 71 looked at, on {len(rows)} lines" in " ".join(done.out.split())


def test_where_nothing_can_be_broken(tmp_path: Path) -> None:
    unit = tmp_path / "unit.yaml"
    unit.write_text("unit: {name: U}\ndevices: {LA: {type: lamp, volts: 120, watts: 60}}\n", encoding="utf-8")
    assert wirecheck("find", unit, "--seen", "LA on").out.startswith("There is no single fault to look at")
    unit.write_text("unit: {name: U}\n", encoding="utf-8")
    assert (
        "no load or relay is called X. The unit has none at all."
        in wirecheck("find", unit, "--seen", "X off").err
    )
