"""Terminals and the volts that they are joined to."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.rig import findings
from tests.checks.units import PLANT, moved
from wirecheck.checks import ratings

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.checks.finding import Finding


BENCH_SWITCH = """
types:
  bench-switch:
    terminals: [1, 2]
    volts: 30
    elements:
      c: {kind: contact, across: [1, 2], rests: open}
"""


# L1 stands 120 V from earth.
@pytest.mark.parametrize(
    ("switch", "terminal", "words"),
    [
        (
            "S1: {type: switch, contact: {volts: 24, va: 125}}",
            "S1.1",
            "joined to 120 V, above 36 V (S1.contact.volts, 1.5 times 24 V)",
        ),
        ("S1: {type: switch}", "S1.1", "joined to 120 V, above 45 V (S1.volts, not given: 1.5 times 30 V"),
        ("S1: {type: switch, contact: {volts: 240, va: 125}}", "S1.1", None),
        (
            "S1: {type: bench-switch, contact: {va: 125}}",
            "S1.1",
            "joined to 120 V, above 45 V (bench-switch.volts, 1.5 times 30 V)",
        ),
    ],
)
def test_terminal_on_the_line(tmp_path: Path, switch: str, terminal: str, words: str | None) -> None:
    """The line lands on the 24 V switch in the place of R."""
    unit = PLANT.replace("S1: {type: switch, contact: {volts: 240, va: 125}}", switch) + BENCH_SWITCH
    change = """\
        change: {name: a wrong feed, affects: {COMP: either, FAN: either}}
        steps:
          - lift: {wire: W13, end: S1.1}
          - splice: {name: CAP, join: [W13]}
          - run: {id: W30, from: MAINS.L1, to: S1.1}
        """
    found: Finding | None = findings(tmp_path, ratings.check, unit, change).get(terminal)
    assert (found and found.verdict) == (words and "fail")
    assert (words or "") in (found.says if found else "")


def test_contacts_beside_a_coil_are_not_rated_by_it(tmp_path: Path) -> None:
    """A relay with a 24 V coil whose contacts state nothing: a note of what is missing, no fail."""
    change = """\
        change: {name: a heater behind a relay}
        devices:
          R: {type: relay-no, coil: {volts: 24, va: 5, inrush: 15}}
          FR: {type: heater, volts: 240, watts: 500}
        steps:
          - run: {id: W50, from: MAINS.L1, to: R.C}
          - run: {id: W51, from: R.NO, to: FR.1}
          - run: {id: W52, from: FR.2, to: MAINS.L2}
          - run: {id: W53, from: S1.2, to: R.A1}
          - run: {id: W54, from: R.A2, to: X1.C}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)
    assert "R.C" not in found
    assert (found["R"].verdict, found["R"].fields) == ("note", ("R.contact.volts", "R.contact.fla"))


def test_a_change_that_brings_nothing_passes(tmp_path: Path) -> None:
    found = findings(tmp_path, ratings.check, PLANT, moved("W17", "GND.2", "GND.3"))
    assert found["unit"].verdict == "pass"
