"""What an earth fault of a conductor of the change would do, worked out by hand from the circuits below.

The rule that decides: the contact on the hot side, the coil on the common, and the common earthed. Then a
conductor between them that touches earth shorts the secondary, and the fuse opens; laid out otherwise the
fault stands in for the contact (IEC 60204-1 9.4.3, from memory).
"""

from __future__ import annotations

from textwrap import dedent
from typing import TYPE_CHECKING

from wirecheck.checks import earth_faults
from wirecheck.checks.pair import Pair
from wirecheck.circuit.apply import load_change_pair
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

    from wirecheck.circuit.graph import Changed

UNIT = """\
unit: {name: bench chiller}
supplies:
  MAINS: {kind: split-phase, volts: 240}
conditions:
  head: {unit: psig}
devices:
  X1: {type: transformer, volts: [240, 24], va: 40}
  F1: {type: fuse}
  TH: {type: switch}
  HP: {type: pressure-switch, senses: head, opens_above: 400, closes_below: 300, trips: above}
  K1: {type: relay-2-changeover, coil: {volts: 24, va: 5}}
  V1: {type: solenoid-valve, volts: 24, va: 8, inrush: 20}
rungs:
  - {id: P, path: [MAINS.L1, X1.H1]}
  - {id: Q, path: [MAINS.L2, X1.H2]}
  - {id: B, path: [F1.2, K1.C-NO, V1, X1.C]}
"""
HOT_SIDE = "  - {id: A, path: [X1.R, F1, TH, HP, K1.coil, X1.C]}\n"
COMMON_SIDE = "  - {id: A, path: [X1.R, F1, K1.coil, HP, TH, X1.C]}\n"
SEALED = "  - {id: A, path: [X1.R, F1, TH, K1.coil, HP, X1.C]}\n  - {id: S, path: [F1.2, K1.C2-NO2, K1.A1]}\n"
COMMON_EARTHED = "  - {id: E, path: [X1.C, MAINS.PE]}\n"
HOT_EARTHED = "  - {id: E, path: [X1.R, MAINS.PE]}\n"


def float_switch(wire: str, end: str) -> str:
    """A float switch in line: the conductor that is lifted lies beyond it, FS.in.1 between it and `end`."""
    return f"""\
        change: {{name: float switch, affects: {{V1: less}}}}
        devices:
          FS: {{type: switch, rests: closed}}
        steps:
          - in-series: {{device: FS, in: {wire}, at: {end}}}
        """


def changed(folder: Path, unit: str, change: str) -> Changed:
    (folder / "unit.yaml").write_text(unit, encoding="utf-8")
    (folder / "change.yaml").write_text(dedent(change), encoding="utf-8")
    return load_change_pair(folder / "unit.yaml", folder / "change.yaml")


def said(folder: Path, unit: str, change: str) -> list[str]:
    return [f.says for f in earth_faults.notes(Pair(changed(folder, unit, change)))]


def test_contacts_on_the_hot_side_and_the_common_earthed(tmp_path: Path) -> None:
    """Either side of FS at earth: R meets C as soon as TH closes, through F1."""
    found = said(tmp_path, UNIT + HOT_SIDE + COMMON_EARTHED, float_switch("A.4", "K1.A1"))
    assert found == ["A.4, FS.in.1 touching earth: X1 is shorted with TH closed: F1 opens"]


def test_contacts_on_the_common_side(tmp_path: Path) -> None:
    """A.3 from FS to HP at earth: at C past HP and TH. FS.in.1 from the coil to FS: past FS too."""
    found = said(tmp_path, UNIT + COMMON_SIDE + COMMON_EARTHED, float_switch("A.3", "K1.A2"))
    each = "each of which keeps it off otherwise"
    assert found == [
        f"A.3 touching earth: V1 on with TH open or HP open, {each}",
        f"FS.in.1 touching earth: V1 on with TH open, HP open or FS open, {each}",
    ]


RACED = """\
  - {id: C, path: [F1.2, S, MB.C-NC, MA.coil, X1.C]}
  - {id: D, path: [S.2, MA.C-NC, MB.coil, X1.C]}
  - {id: G, path: [F1.2, MA.C2-NO2, V1.1]}
"""


def test_what_a_race_may_start_is_on_otherwise_too(tmp_path: Path) -> None:
    """TH is never closed here, so K1 is in by the fault alone; with S closed MA starts V1 if it beats MB."""
    relay = "{type: relay-2-changeover, coil: {volts: 24, va: 5}}"
    devices = f"  S: {{type: switch}}\n  MA: {relay}\n  MB: {relay}\ngiven: {{TH: open}}\nrungs:\n"
    unit = UNIT.replace("rungs:\n", devices) + COMMON_SIDE + COMMON_EARTHED + RACED
    found = said(tmp_path, unit, float_switch("A.3", "K1.A2"))
    assert found == ["A.3, FS.in.1 touching earth: V1 on with S open, which keeps it off otherwise"]


def test_the_hot_side_earthed(tmp_path: Path) -> None:
    """R at earth: A.4 from HP to FS at earth is at R past F1, TH and HP, and no fuse tells of it.

    With F1 open V1 is fed backward through HP and TH.
    """
    found = said(tmp_path, UNIT + HOT_SIDE + HOT_EARTHED, float_switch("A.4", "K1.A1"))
    each = "each of which keeps it off otherwise"
    assert found == [
        f"A.4 touching earth: V1 on with F1 open, TH open or HP open, {each}",
        f"FS.in.1 touching earth: V1 on with F1 open, TH open, HP open or FS open, {each}",
    ]


def test_a_secondary_that_is_not_earthed(tmp_path: Path) -> None:
    """The first fault earths it, and that is all."""
    found = said(tmp_path, UNIT + HOT_SIDE, float_switch("A.4", "K1.A1"))
    assert found == ["A.4, FS.in.1 touching earth: no load does otherwise"]


def test_what_was_started_cannot_be_stopped(tmp_path: Path) -> None:
    """K1 holds itself in; HP and FS between coil and common. The fault starts nothing, it holds what runs."""
    found = said(tmp_path, UNIT + SEALED + COMMON_EARTHED, float_switch("A.4", "K1.A2"))
    assert found == [
        "A.4 touching earth: V1 on with HP open, which keeps it off otherwise",
        "FS.in.1 touching earth: V1 on with HP open or FS open, each of which keeps it off otherwise",
    ]


def test_a_relay_that_works_something_outside(tmp_path: Path) -> None:
    unit = UNIT.replace("va: 5}}", "va: 5}, external: true}") + COMMON_SIDE + COMMON_EARTHED
    found = said(tmp_path, unit, float_switch("A.3", "K1.A2"))
    assert "K1 in with TH open or HP open, each of which keeps it off otherwise" in found[0]


MOTOR = """\
unit: {name: bench fan}
supplies:
  MAINS: {kind: split-phase, volts: 240}
devices:
  SW: {type: switch}
  FAN: {type: motor-1ph, volts: 240, fla: 1.4, lra: 2.9}
  LX: {type: lamp, volts: 120, watts: 5}
wires:
  - {id: W1, from: MAINS.L1, to: SW.1}
  - {id: W2, from: SW.2, to: FAN.1}
  - {id: W3, from: FAN.2, to: MAINS.L2}
  - {id: W4, from: MAINS.L1, to: LX.1}
"""


def test_a_motor_lead(tmp_path: Path) -> None:
    """SW open: 120 of 240 V from L2 to earth, half its volts. SW closed: L1 to earth."""
    change = """\
        change: {name: a new lead}
        steps:
          - remove: {wire: W2}
          - run: {id: W20, from: SW.2, to: FAN.1}
        """
    stalls = "FAN stalls with SW open, which keeps it off otherwise"
    short = "MAINS is shorted with SW closed: no fuse or breaker of the file is on its way"
    assert said(tmp_path, MOTOR, change) == [f"W20 touching earth: {stalls}; {short}"]


def test_a_load_that_never_works_otherwise(tmp_path: Path) -> None:
    """LX hangs on L1 alone; its loose end, capped, is a return as soon as it touches earth: 120 V."""
    change = """\
        change: {name: a lead to come}
        steps:
          - run: {id: W20, from: LX.2, to: FAN.2}
          - lift: {wire: W20, end: FAN.2}
          - splice: {name: S1, join: [W20]}
        """
    assert said(tmp_path, MOTOR, change) == ["W20 touching earth: LX on, which it never is otherwise"]


def test_what_lies_at_earth_and_what_is_not_touched(tmp_path: Path) -> None:
    """The change lands a conductor on earth and moves no other."""
    change = """\
        change: {name: another bond}
        steps:
          - run: {id: W20, from: X1.C, to: MAINS.PE}
        """
    assert said(tmp_path, UNIT + HOT_SIDE + COMMON_EARTHED, change) == []


def test_two_loads_that_do_the_same(tmp_path: Path) -> None:
    """A second valve beside V1."""
    valve = "  V2: {type: solenoid-valve, volts: 24, va: 8, inrush: 20}\nrungs:\n"
    unit = UNIT.replace("rungs:\n", f"{valve}  - {{id: D, path: [K1.NO, V2, X1.C]}}\n")
    found = said(tmp_path, unit + COMMON_SIDE + COMMON_EARTHED, float_switch("A.3", "K1.A2"))
    says = "V1, V2: on with TH open or HP open, each of which keeps it off otherwise"
    assert found[0] == f"A.3 touching earth: {says}"


def test_what_cannot_be_told(tmp_path: Path) -> None:
    """SW open, FAN of unknown volts has 120 V to earth."""
    change = """\
        change: {name: a new lead}
        steps:
          - remove: {wire: W2}
          - run: {id: W20, from: SW.2, to: FAN.1}
        """
    found = said(tmp_path, MOTOR.replace("motor-1ph, volts: 240, ", "motor-1ph, "), change)
    assert "FAN cannot be told in ordinary operation without FAN.volts" in found[0]


def test_without_a_supply_there_is_no_earth(tmp_path: Path) -> None:
    unit = "unit: {name: bench}\ndevices: {A: {type: lamp, volts: 24, watts: 5}}\n"
    change = """\
        change: {name: a loop}
        steps:
          - run: {id: W20, from: A.1, to: A.2}
        """
    assert said(tmp_path, unit, change) == []


def test_too_many_states_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(earth_faults, "LOOKS", 1)
    found = said(tmp_path, UNIT + HOT_SIDE + COMMON_EARTHED, float_switch("A.4", "K1.A1"))
    assert found == ["A.4, FS.in.1 touching earth: not looked at, it would be over 1 states"]


def test_a_note_decides_nothing(tmp_path: Path) -> None:
    """Even the worst is a note of `verify`: it is a fault to come, not the change."""
    right = changed(tmp_path, UNIT + COMMON_SIDE + COMMON_EARTHED, float_switch("A.3", "K1.A2"))
    answer = verify(right)
    assert answer.verdict == "pass"
    notes = [f for f in answer.findings if "touching earth" in f.says]
    assert [(f.check, f.subject, f.verdict) for f in notes] == [
        ("live-parts", "A.3", "note"),
        ("live-parts", "FS.in.1", "note"),
    ]
    assert not any("touching earth" in f.says for f in verify(right, noted=False).findings)
