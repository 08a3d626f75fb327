from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from pathlib import Path

UNIT = """unit: {name: Bench}
supplies:
  M: {kind: single-phase, volts: 120}
devices:
  SW: {type: switch}
  LA: {type: lamp, volts: 120, watts: 40}
wires:
  - {id: W1, from: M.L, to: SW.1}
  - {id: W2, from: SW.2, to: LA.1}
  - {id: W3, from: LA.2, to: M.N}
expects:
  - LA on exactly when SW closed
"""
GOOD = """change: {name: A switch more, affects: [LA], drops: [LA on exactly when SW closed]}
devices:
  S2: {type: switch}
steps:
  - in-series: {device: S2, in: W2, at: LA.1}
"""
BRIDGED = "change: {name: Bridged}\nsteps:\n  - run: {id: W9, from: SW.1, to: SW.2}\n"
UNDECIDED = """change: {name: A coil of no volts, affects: [LA]}
devices:
  K: {type: relay-no, coil: {va: 5}}
steps:
  - run: {id: W7, from: SW.2, to: K.A1}
  - run: {id: W8, from: K.A2, to: M.N}
  - in-series: {device: K.C-NO, in: W2, at: LA.1}
"""
NOT_DONE = "change: {name: No such wire}\nsteps:\n  - lift: {wire: W99, end: LA.1}\n"


def put(folder: Path, **texts: str) -> None:
    """Files by name; `__` stands for the slash."""
    for name, text in texts.items():
        path = folder / (name.replace("__", "/") + ".yaml")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    """Three jobs: a pass, a fail, what cannot be done; and a unit without a change."""
    folder = tmp_path / "jobs"
    put(folder, one__unit=UNIT, one__good=GOOD, one__bridged=BRIDGED)
    put(folder, two__unit=UNIT, two__changes__wrong=NOT_DONE)
    put(folder, three__unit=UNIT, three__expected="verdict: pass\n")
    return folder
