"""Reachable states of three circuits of every motor-control textbook, against tables worked by hand.

Three-wire control, a lockout relay and an electrical interlock are as in any text on industrial motor control
(from memory: Rockis, Mazur, Electrical Motor Controls); the tables are ours, and the reasoning stands
above each.
"""

from __future__ import annotations

from tests.outside.looked import circuit
from wirecheck.questions.states import states

LINE = "supplies: {MAINS: {kind: single-phase, volts: 120}}\n"


def found(text: str, columns: list[str]) -> set[tuple[str, ...]]:
    table = states(circuit(text))
    words = [
        {**r.inputs, **r.loads, **r.relays, "power-up": "yes" if r.power_up else "no"} for r in table.rows
    ]
    return {tuple(w[c] for c in columns) for w in words}


def read(table: str) -> tuple[list[str], set[tuple[str, ...]]]:
    rows = [tuple(line.split()) for line in table.strip().splitlines()]
    return list(rows[0]), set(rows[1:])


def test_seal_in() -> None:
    """STOP closed and START pressed: in. Released: in still, by its own contact. STOP pressed: out, and
    stays out.

    Power comes on with START released: out. So with START open and STOP closed both are reached, the
    one that is in
    only by a move.
    """
    columns, expected = read("""
STOP   START  K   LA  power-up
closed open   out off yes
closed closed in  on  yes
open   open   out off yes
open   closed out off yes
closed open   in  on  no
""")
    text = f"""unit: {{name: three-wire control}}
{LINE}devices:
  STOP: {{type: switch, rests: closed}}
  START: {{type: switch}}
  K: {{type: relay-2-changeover, coil: {{volts: 120, va: 5}}}}
  LA: {{type: lamp, volts: 120, watts: 60}}
rungs:
  - {{id: A, path: [MAINS.L, STOP, START, K.coil, MAINS.N]}}
  - {{id: B, path: [START.1, K.C-NO, K.A1]}}
  - {{id: C, path: [MAINS.L, K.C2-NO2, LA, MAINS.N]}}
"""
    assert found(text, columns) == expected


def test_lockout() -> None:
    """CUT opens: RL (500 ohm) comes in through M's coil (14.4 ohm out), 23.3 of 24 V, and opens M's feed.

    CUT closes again: RL's contact is open, so the coils stay in series: M locked out until TH opens, which
    takes the feed of both. Power comes on with CUT closed and TH closed: M's coil is bridged to the line, RL
    sees 0 V: M in. TH open: both out whatever CUT is.
    """
    columns, expected = read("""
TH     CUT    RL  M   LA  power-up
open   closed out out off yes
open   open   out out off yes
closed closed out in  on  yes
closed open   in  out off yes
closed closed in  out off no
""")
    text = f"""unit: {{name: lockout}}
{LINE}devices:
  X1: {{type: transformer, volts: [120, 24], va: 40}}
  TH: {{type: switch}}
  CUT: {{type: switch, rests: closed}}
  RL: {{type: relay-nc, coil: {{volts: 24, va: 1.152, inrush: 1.152}}}}
  M: {{type: relay-no, coil: {{volts: 24, va: 9, inrush: 40}}}}
  LA: {{type: lamp, volts: 120, watts: 60}}
rungs:
  - {{id: P, path: [MAINS.L, X1.H1]}}
  - {{id: Q, path: [MAINS.N, X1.H2]}}
  - {{id: A, path: [X1.R, TH, RL.C-NC, CUT, M.coil, X1.C]}}
  - {{id: B, path: [TH.2, RL.coil, M.A1]}}
  - {{id: C, path: [MAINS.L, M.C-NO, LA, MAINS.N]}}
"""
    assert found(text, columns) == expected


def test_interlock() -> None:
    """Forward and reverse, each through the other's contact that breaks. Both called: who was first, by
    power-up either.

    Never both in.
    """
    columns, expected = read("""
FWD    REV    F   R   LF  LR
open   open   out out off off
closed open   in  out on  off
open   closed out in  off on
closed closed in  out on  off
closed closed out in  off on
""")
    text = f"""unit: {{name: interlock}}
{LINE}devices:
  FWD: {{type: switch}}
  REV: {{type: switch}}
  F: {{type: relay-2-changeover, coil: {{volts: 120, va: 5}}}}
  R: {{type: relay-2-changeover, coil: {{volts: 120, va: 5}}}}
  LF: {{type: lamp, volts: 120, watts: 60}}
  LR: {{type: lamp, volts: 120, watts: 60}}
rungs:
  - {{id: A, path: [MAINS.L, FWD, R.C-NC, F.coil, MAINS.N]}}
  - {{id: B, path: [MAINS.L, REV, F.C-NC, R.coil, MAINS.N]}}
  - {{id: C, path: [MAINS.L, F.C2-NO2, LF, MAINS.N]}}
  - {{id: D, path: [MAINS.L, R.C2-NO2, LR, MAINS.N]}}
"""
    assert found(text, columns) == expected
