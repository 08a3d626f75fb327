"""What checks say beside their verdict: once, of what it is about, and of nothing else."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from tests.checks.rig import findings
from wirecheck.checks import expects, keeps, live_parts, loose_ends, no_chatter, no_stall, protections
from wirecheck.checks.case import ends_in_order
from wirecheck.checks.pair import Pair, range_words
from wirecheck.circuit.apply import load_change_pair
from wirecheck.engine.answers import Outcome, Short
from wirecheck.engine.plain.explore import Joint
from wirecheck.engine.world import Setting

if TYPE_CHECKING:
    from pathlib import Path

UNIT = """\
unit: {name: two lamps}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  S1: {type: switch}
  S2: {type: switch}
  S4: {type: switch}
  LC: {type: lamp, volts: 120, watts: 60}
  LA: {type: lamp, volts: 120, watts: 60}
  LB: {type: lamp, volts: 120, watts: 60}
  LW: {type: lamp, volts: 240, watts: 60}
rungs:
  - {id: A, path: [MAINS.L, S1, LA, MAINS.N]}
  - {id: B, path: [MAINS.L, S2, LB, MAINS.N]}
  - {id: C, path: [S1.2, LW, MAINS.N]}
  - {id: D, path: [MAINS.L, LC, S4, MAINS.N]}
"""


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        ("{lift: {wire: A.2, end: LA.1}}", {"A.2:LA.1": "fail"}),
        ("{lift: {wire: A.2, end: LA.1}}, {splice: {name: CAP, join: [A.2]}}", {"unit": "pass"}),
    ],
)
def test_loose_ends(tmp_path: Path, steps: str, expected: dict[str, str]) -> None:
    found = findings(tmp_path, loose_ends.check, UNIT, f"change: {{name: lifted}}\nsteps: [{steps}]\n")
    assert {subject: f.verdict for subject, f in found.items()} == expected


def test_live_parts_of_what_is_affected_or_brought_alone(tmp_path: Path) -> None:
    change = """\
        change: {name: a switch behind it, affects: [LB]}
        devices: {S3: {type: switch}}
        steps: [{in-series: {device: S3, in: B.3, at: LB.2}}]
        """
    # LC too is live with its switch open, as it was.
    assert set(findings(tmp_path, live_parts.check, UNIT, change)) == {"LB"}


def test_a_sentence_names_the_words_that_it_rests_on(tmp_path: Path) -> None:
    # LW is weak with S1 closed, and never hums, turns backward or is overfed.
    change = "change: {name: sentence}\nexpects: [LA runs whenever S1 closed, never LW runs and S2 closed]\n"
    found = findings(tmp_path, expects.check, UNIT, change)
    assert "rests on" not in found["LA runs whenever S1 closed"].says
    change = "change: {name: sentence}\nexpects: [LB runs only when S2 closed]\n"
    unit = UNIT.replace("{id: C, path: [S1.2, LW, MAINS.N]}", "{id: C, path: [MAINS.L, LW, LB.1]}")
    says = findings(tmp_path, expects.check, unit, change)["LB runs only when S2 closed"].says
    assert "rests on LB that weak not being taken" in says


def test_the_way_of_the_current_terminal_by_terminal(tmp_path: Path) -> None:
    change = "change: {name: bridged}\nsteps: [{run: {id: J1, from: S1.1, to: S1.2}}]\n"
    found = findings(tmp_path, keeps.check, UNIT, change)["LA"]
    assert found.witness is not None
    assert [line.split(" to ")[-1] for line in found.witness.route] == [
        "MAINS.L",
        "S1.1",
        "S1.2",
        "LA.1",
        "LA.2",
        "MAINS.N",
    ]


def test_only_what_the_change_stops_is_parted(tmp_path: Path) -> None:
    """LA waits for S3 too. LB and LC are off beside it, S2 and S4 being open, as they were."""
    change = """\
        change: {name: a switch before it}
        devices: {S3: {type: switch}}
        steps: [{in-series: {device: S3, in: A.2, at: LA.1}}]
        """
    found = findings(tmp_path, keeps.check, UNIT, change)["LA"]
    assert found.witness is not None
    assert found.witness.parted == ("LA has no current: S3 (S3.1 to S3.2) stands open",)


@pytest.mark.parametrize("plain", [False, True])
def test_how_many_states_there_are(tmp_path: Path, plain: bool) -> None:
    (tmp_path / "unit.yaml").write_text(UNIT, encoding="utf-8")
    (tmp_path / "change.yaml").write_text("change: {name: nothing}\nsteps: []\n", encoding="utf-8")
    changed = load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml")
    assert Pair(changed, plain=plain).count == 8  # three switches


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (float("-inf"), 100_000.0, "below 100 kPa"),
        (100_000.0, float("inf"), "above 100 kPa"),
        (100_000.0, 200_000.0, "100 kPa to 200 kPa"),
    ],
)
def test_a_range_in_words(low: float, high: float, said: str) -> None:
    assert range_words("kPa", low, high) == said


LOCKED = """\
unit: {name: locked}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  SA: {type: switch}
  SB: {type: switch}
  KA: {type: relay-changeover, coil: {volts: 120, va: 5}}
  KB: {type: relay-changeover, coil: {volts: 120, va: 5}}
rungs:
  - {id: A, path: [MAINS.L, SA, KB.C-NC, KA.coil, MAINS.N]}
  - {id: B, path: [MAINS.L, SB, KA.C-NC, KB.coil, MAINS.N]}
"""

# A bridge that lets no race be, a lamp beside KA's coil, and a relay that holds itself in.
MORE = """\
  SC: {type: switch}
  LA: {type: lamp, volts: 120, watts: 60}
  KC: {type: relay-no, coil: {volts: 120, va: 5}}
rungs:
  - {id: C, path: [MAINS.L, SC, KC.coil, MAINS.N]}
  - {id: D, path: [MAINS.L, KC.C-NO, KC.A1]}
  - {id: E, path: [KA.A1, LA, MAINS.N]}
  - {id: J, path: [KB.C, KB.NC]}
"""


@pytest.mark.parametrize(
    ("steps", "raced"), [("[]", True), ("[{run: {id: J1, from: KB.C, to: KB.NC}}]", False)]
)
def test_a_race_that_there_is_no_more_is_not_told(tmp_path: Path, steps: str, raced: bool) -> None:
    """KB's contact bridged, KA pulls in whatever KB does, and KB never against it."""
    found = findings(tmp_path, no_chatter.check, LOCKED, f"change: {{name: bridged}}\nsteps: {steps}\n")
    assert ("race" in found) is raced


def test_a_race_of_the_unit_before_alone_is_not_run_again(tmp_path: Path) -> None:
    (tmp_path / "unit.yaml").write_text(LOCKED, encoding="utf-8")
    change = "change: {name: bridged}\nsteps: [{run: {id: J1, from: KB.C, to: KB.NC}}]\n"
    (tmp_path / "change.yaml").write_text(change, encoding="utf-8")
    changed = load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml")
    assert Pair(changed).races == []
    assert len(Pair(replace(changed, after=changed.before)).races[0].after) == 2


def test_of_the_races_that_decide_a_load_the_nearest_is_told(tmp_path: Path) -> None:
    """SA and SB closed will do. With SC closed KC holds itself in beside them: another race, farther off."""
    unit = LOCKED.replace("rungs:\n", MORE)
    change = "change: {name: no bridge}\nsteps: [{remove: {wire: J.1}}]\n"
    found = findings(tmp_path, no_chatter.check, unit, change)["LA"]
    assert found.witness is not None
    assert [found.witness.inputs[s] for s in ("SA", "SB", "SC")] == ["closed", "closed", "open"]


def test_the_atoms_of_a_whole_sentence(tmp_path: Path) -> None:
    change = "change: {name: sentence}\nexpects: [LA stays off after S1 open until S2 closed, never LB on]\n"
    (tmp_path / "unit.yaml").write_text(UNIT, encoding="utf-8")
    (tmp_path / "change.yaml").write_text(change, encoding="utf-8")
    said = load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml").after.expects
    names = [
        [getattr(a, "input", "") or getattr(a, "load", "") for a in expects.sentence_atoms(s)] for s in said
    ]
    assert names == [["LA", "S1", "S2"], ["LB"]]


def test_a_short_is_put_in_order_by_its_supplies_not_by_its_way() -> None:
    """Two evaluators may find another way through the same short, and tell of states in the same order."""

    def short(way: str, supply: str) -> object:
        end = Outcome("short", (((), ()),), (((), ()),), Short(tuple(way), frozenset({supply})))
        return ends_in_order(Joint(Setting((), ()), end))

    assert short("AB", "MAINS") == short("ACB", "MAINS") != short("AB", "AUX")


POLES = """\
unit: {name: poles}
supplies: {MAINS: {kind: split-phase, volts: 240}}
devices:
  S: {type: switch}
  K1: {type: contactor-2p, coil: {volts: 240, va: 10, inrush: 40}, contact: {volts: 240, fla: 20, lra: 100}}
  LA: {type: heater, volts: 240, watts: 1000}
rungs:
  - {id: C, path: [MAINS.L1, S, K1.coil, MAINS.L2]}
  - {id: P, path: [MAINS.L1, K1.L1-T1, LA, K1.T2-L2, MAINS.L2]}
"""


@pytest.mark.parametrize(("poles", "told"), [(1, {"LA"}), (2, set())])
def test_a_load_that_newly_stays_live_is_told(tmp_path: Path, poles: int, told: set[str]) -> None:
    """With one pole of two LA off stands at 120 V by the other; nothing in `affects` names it."""
    change = f"""\
        change: {{name: other contactor}}
        devices: {{K3: {{type: contactor-{poles}p, coil: {{volts: 240, va: 10, inrush: 40}}}}}}
        steps: [replace: {{device: K1, with: K3}}]
        """
    notes = findings(tmp_path, live_parts.check, POLES, change)
    assert {n for n, f in notes.items() if "off is not dead" in f.says} == told
    assert all("120 V" in notes[n].says for n in told)


HEATED = """\
unit: {name: a limit before a heater}
supplies: {MAINS: {kind: single-phase, volts: 120}}
conditions: {coil: {unit: degF}}
devices:
  LIM: {type: temperature-switch, senses: coil, opens_above: 70 degF, closes_below: 50 degF, trips: above}
  HT: {type: heater, volts: 120, watts: 600}
  LA: {type: lamp, volts: 120, watts: 60}
rungs:
  - {id: A, path: [MAINS.L, LIM, HT, MAINS.N]}
  - {id: B, path: [MAINS.L, LA, MAINS.N]}
"""


def test_a_protection_that_is_lost_is_not_said_to_be_hidden_too(tmp_path: Path) -> None:
    change = """\
        change: {name: past the limit, affects: [LA, HT]}
        devices: {DT: {type: temperature-switch, senses: coil, opens_above: 55 degF, closes_below: 30 degF}}
        steps:
          - in-series: {device: DT, in: B.1, at: LA.1}
          - lift: {wire: A.1, end: LIM.1}
          - land: {wire: A.1, on: LIM.2}
        """
    found = findings(tmp_path, protections.check, HEATED, change)  # it wants each subject once
    assert found["LIM"].verdict == "fail"
    assert found["LIM"].says == "LIM tripped, and HT on: the protection is lost"


def test_leads_that_may_stand_exchanged_are_all_told(tmp_path: Path) -> None:
    unit = """\
        unit: {name: a fan}
        supplies: {MAINS: {kind: split-phase, volts: 240}}
        devices:
          FAN: {type: psc-motor, volts: 240, fla: 1.4, lra: 2.9, needs: 5 uF}
          CAP: {type: run-capacitor, capacitance: 5 uF}
        rungs:
          - {id: A, path: [MAINS.L1, FAN.common]}
          - {id: B, path: [FAN.main, MAINS.L2]}
          - {id: C, path: [FAN.aux, CAP, FAN.main]}
        """
    change = """\
        change: {name: main and auxiliary exchanged}
        steps:
          - lift: {wire: B.1, end: FAN.main}
          - land: {wire: B.1, on: FAN.aux}
        """
    says = findings(tmp_path, no_stall.check, unit, change)["FAN"].says
    assert says.endswith(
        "its leads stand exchanged: main and auxiliary, common and auxiliary, or those of its capacitor"
    )
