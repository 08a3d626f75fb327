"""Unit and change files: models, places, all problems at once, no echoes."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from wirecheck.design.load import draft_pair
from wirecheck.design.models import ChangeFile, UnitFile, WireBySight
from wirecheck.limits import PROBLEMS
from wirecheck.problem import BadInput

Read = Callable[..., tuple[UnitFile, ChangeFile | None]]
Problems = Callable[..., list[tuple[str, int, int, str]]]

UNIT = """unit: {name: Proofer, about: back bakery, refrigerant: R290}
format: 1
supplies:
  MAINS: {kind: split-phase, volts: "240"}
conditions:
  pan: {unit: inch}
devices:
  H1: {type: heater, volts: 240, watts: 2 kW}
  K1: {type: contactor-1p, coil: {volts: 24}, stacks: 2}
  S1: {type: switch, normal: closed}
wires:
  - {id: W1, from: MAINS.L1, to: K1.L1, color: black, gauge: 10, insulation: {volts: 600, degC: 221 degF}}
  - {id: W2, from: K1.T1, to: H1.1, length: 4, route: side channel, label: "07"}
rungs:
  - {id: C1, path: [X1.R, S1, K1.coil, X1.C]}
expects:
  - H1 on only when K1 in
  - never H1 weak
given: {S1: closed}
impossible: ["S1 closed and S1 open"]
"""

CHANGE = """change:
  name: Second switch
  reason: the pan overflows
  affects: [H1]
  removes_protection: [{device: FS, load: H1, because: worn out}]
  removes_isolation: [{device: DS, terminals: [H1.1], because: fed from elsewhere}]
  drops: ["never H1 weak"]
devices:
  FS: {type: float-switch, senses: pan, opens_above: 1, closes_below: 0.5, trips: above}
steps:
  - lift: {wire: W2, end: H1.1}
  - splice: {name: J1, join: [W2]}
  - run: {id: W3, from: J1, to: FS.1}
  - land: {wire: W2, on: FS.2}
  - cut: {wire: {at: K1.T1, color: black, gauge: 10}}
  - remove: {device: S1}
  - replace: {device: K1, with: K1, moves: {A1: A2}, positions: {cool: demand}}
  - in-series: {device: FS.1-2, in: W1, at: K1.L1}
  - across: {device: FS, terminals: [K1.T1, K1.T2]}
"""


def test_a_whole_unit(read: Read) -> None:
    unit, change = read(UNIT)
    assert change is None
    assert unit.supplies["MAINS"].volts == 240
    assert unit.conditions["pan"].unit == "in"
    first, second = unit.wires
    assert (first.from_, first.gauge, first.length) == ("MAINS.L1", "10 AWG", None)
    assert first.insulation is not None
    assert first.insulation.degC == pytest.approx(105)
    assert (second.length, second.label) == ("4 ft", "07")
    assert unit.rungs[0].path == ("X1.R", "S1", "K1.coil", "X1.C")
    assert (unit.given, unit.impossible) == ({"S1": "closed"}, ("S1 closed and S1 open",))
    assert unit.devices["K1"].stacks == 2


def test_places_of_a_unit(read: Read) -> None:
    unit, _ = read(UNIT)

    def at(*path: str | int) -> tuple[int, int]:
        place = unit.place(*path)
        return place.line, place.column

    assert at("expects", 1) == (18, 5)
    assert at("wires", 0, "from_") == (12, 20)
    assert at("devices", "K1", "coil", "volts") == (9, 42)
    assert (unit.key_place("devices", "K1").line, unit.key_place("devices", "K1").column) == (9, 3)
    assert unit.wires[0].place("from_") == unit.place("wires", 0, "from")
    assert unit.devices["H1"].place("watts").width == len("2 kW")
    assert unit.source.text == UNIT


def test_a_whole_change(read: Read) -> None:
    _, change = read(UNIT, CHANGE)
    assert change is not None
    assert change.change.affects == {"H1": "less"}
    steps = change.steps
    assert steps[4].cut is not None
    assert isinstance(steps[4].cut.wire, WireBySight)
    seen = steps[4].cut.wire.model_dump(exclude_none=True)
    assert seen == {"at": "K1.T1", "color": "black", "gauge": "10 AWG"}
    assert steps[6].replace is not None
    assert steps[6].replace.positions == {"cool": "demand"}
    assert steps[7].in_series is not None
    assert steps[7].in_series.in_ == "W1"
    assert steps[7].place("in_series", "in_").line == 18
    assert change.change.place("affects", "H1").line == 4


def test_affects_by_name(read: Read) -> None:
    _, change = read(UNIT, "change: {name: x, affects: {H1: either, BLW.high: more}}\n")
    assert change is not None
    assert change.change.affects == {"H1": "either", "BLW.high": "more"}


def test_problems_of_both_files_at_once(problems: Problems) -> None:
    found = problems(
        UNIT.replace("2 kW", "2 kV").replace("color: black", "colour: black"),
        CHANGE.replace("trips: above", "trips: closed").replace("name: Second switch", "nam: x"),
    )
    assert sorted(code for code, *_ in found) == [
        "trips-side", "unknown-key", "unknown-key", "wrong-unit",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("{unit: inch}", "{unit: inches of water}", "unknown-unit"),  # then FS in the change senses it
        ("conditions:", "types:\n  pad: {terminals: [A]}\n  pad2: 3\nconditions:", "wrong-kind"),
    ],
)
def test_one_fault_has_no_echo(problems: Problems, old: str, new: str, code: str) -> None:
    found = problems(UNIT.replace(old, new), CHANGE + "types:\n  pad3: {terminals: [A]}\n")
    assert [c for c, *_ in found] == [code]


def test_devices_of_a_broken_type_say_nothing(problems: Problems) -> None:
    found = problems(
        "unit: {name: x}\n"
        "types:\n  pad: {terminals: [A, B], elements: {r: {kind: resistor, across: [A, C]}}}\n"
        "devices:\n  P: {type: pad, whatever: 3}\n"
    )
    assert [c for c, *_ in found] == ["unknown-terminal"]


def test_a_change_beside_an_unreadable_unit(problems: Problems) -> None:
    assert [c for c, *_ in problems("unit: [\n", CHANGE)] == ["not-yaml"]
    found = problems("unit: [\n", "change: {name: x, a: 1, a: 2}\n")
    assert [c for c, *_ in found] == ["unknown-key", "duplicate-key", "not-yaml"]


def test_types_and_conditions_of_the_unit_serve_the_change(read: Read) -> None:
    pad = "{terminals: [A, B], elements: {r: {kind: resistor, across: [A, B]}}}"
    unit = f"unit: {{name: x}}\ntypes:\n  pad: {pad}\n"
    _, change = read(unit, "change: {name: y}\ndevices:\n  P: {type: pad, ohms: 5}\n")
    assert change is not None
    assert change.devices["P"].figures["ohms"] == 5


def test_no_more_problems_than_can_be_read(problems: Problems) -> None:
    lines = "".join(f"  H{n}: {{type: heater, volt: 1}}\n" for n in range(PROBLEMS + 5))
    found = problems(f"unit: {{name: x}}\ndevices:\n{lines}")
    assert len(found) == PROBLEMS + 1
    assert found[-1][0] == "too-many-problems"
    assert "5 more" in found[-1][3]


def test_bad_input_carries_the_texts(tmp_path: object) -> None:
    path = f"{tmp_path}/u.yaml"
    with open(path, "w", encoding="utf-8") as stream:  # noqa: PTH123
        stream.write("unit: {nam: x}\n")
    with pytest.raises(BadInput) as error:
        draft_pair(path, None).stop_if()
    assert error.value.texts == {path: "unit: {nam: x}\n"}
    assert error.value.problems[0].place.file == path


@pytest.mark.parametrize(
    ("entry", "code"),
    [
        ("supplies: [MAINS]", "wrong-kind"),
        ("devices: {K1: {type: [relay-no]}}", "wrong-kind"),
        ("devices: {K1: {type: ''}}", "empty-value"),
        ("devices: {K1: {type: relay-no, coil: {volts: {}}}}", "wrong-kind"),
        ("devices: {K1: {type: relay-no, stacks: two}}", "not-a-number"),
        ("devices: {K1: {type: relay-no, stacks: [2]}}", "wrong-kind"),
        ("devices: {K1: {type: relay-no, external: {}}}", "wrong-kind"),
        ("devices: {K1: {type: relay-no, coil: {pick_up: [80]}}}", "wrong-kind"),
        ("devices: {K1: {type: relay-no, coil: {pick_up: 80 A}}}", "wrong-unit"),
        ("devices: {K1: {type: relay-no, coil: {pick_up: 0 V}}}", "impossible-figure"),
        ("devices: {K1: {type: relay-no, coil: {pick_up: high}}}", "not-a-number"),
        ("devices: {K1: {type: relay-no, coil: {volts: 24, pick_up: 30 V}}}", "impossible-figure"),
        ("devices: {S: {type: terminal-strip}}", "missing-key"),
        ("devices: {S: {type: terminal-strip, terminals: 2000}}", "impossible-figure"),
        ("devices: {B: {type: psc-motor-3-speed, taps: {low: 1.6 A}}}", "wrong-unit"),
        ("devices: {B: {type: psc-motor-3-speed, taps: {low: 0}}}", "impossible-figure"),
        ("devices: {B: {type: psc-motor-3-speed, taps: {low: [1]}}}", "wrong-kind"),
        ("devices: {B: {type: psc-motor-3-speed, taps: {low: much}}}", "not-a-number"),
        ("expects: [[a]]", "wrong-kind"),
        ("wires: [W1]", "wrong-kind"),
        ("types: {a: {terminals: counted, elements: {r: {kind: link, across: [1, 2]}}}}", "type-form"),
        ("types: {a: {terminals: []}}", "type-form"),
        ("types: {a: {terminals: [A], positions: [type]}}", "bad-name"),
    ],
)
def test_wrong_kinds(problems: Problems, entry: str, code: str) -> None:
    found = problems(f"unit: {{name: x}}\n{entry}\n")
    assert found[0][0] == code, found
    assert found[0][1] == 2
