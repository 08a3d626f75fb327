"""What the build takes for granted is said in the circuit's notes, and among what a verdict assumes."""

from __future__ import annotations

import pytest

from wirecheck.questions.verify import verify

BOARD = """
    supplies: {{M: {{kind: single-phase, volts: 24}}}}
    conditions: {{room: {{unit: degF}}}}
    types:
      board:
        terminals: [IN, COM, OUT, AUX]
        {positions}
        elements:
          sense: {{kind: coil, across: [IN, COM], volts: 24, va: 2}}
          out: {{kind: contact, across: [IN, OUT], rests: open{moved}}}
          {more}
    devices: {{B: {{type: board{senses}}}, L: {{type: lamp, volts: 24, watts: 5}}}}
    wires:
      - {{id: W1, from: M.L, to: B.IN}}
      - {{id: W2, from: B.COM, to: M.N}}
      - {{id: W3, from: B.OUT, to: L.1}}
      - {{id: W4, from: L.2, to: M.N}}
"""
SAID = "board: nothing says what moves `out`; it is taken as moved by hand, not by the coil `sense`."


def board(positions: str = "", moved: str = "", more: str = "", senses: str = "") -> str:
    return BOARD.format(positions=positions, moved=moved, more=more, senses=senses)


def test_a_contact_beside_an_idle_coil_is_moved_by_hand(unit) -> None:
    circuit = unit(board())
    assert circuit.notes == (SAID,)
    assert not circuit.relays
    assert set(circuit.loads) == {"B", "L"}
    assert circuit.inputs["B"].listed
    assert circuit.inputs["B"].words == ("open", "closed")


@pytest.mark.parametrize(
    "said",
    [
        {"moved": ", moved_by: sense"},
        {"positions": "positions: [out]"},
        {"senses": ", senses: room, closes_below: 60, opens_above: 70"},  # then it is the room's temperature
    ],
    ids=["by the coil", "by a position", "by a quantity"],
)
def test_nothing_is_noted_where_it_is_said_what_moves_it(unit, said: dict[str, str]) -> None:
    assert unit(board(**said)).notes == ()


def test_several_of_both(unit) -> None:
    more = "aux: {kind: contact, across: [IN, AUX]}\n          other: {kind: coil, across: [AUX, COM]}"
    (note,) = unit(board(more=more)).notes
    assert note.startswith("board: nothing says what moves `out` and `aux`; they are taken as ")
    assert note.endswith("not by the coils `sense` or `other`.")


def test_a_type_is_noted_once_for_all_its_devices(unit) -> None:
    text = board().replace("devices: {B:", "devices: {B2: {type: board}, B:")
    assert unit(text).notes == (SAID,)


def test_verify_lists_it_among_what_it_assumes(changed) -> None:
    change = changed(
        """
        change: {name: C, affects: [L]}
        devices: {S: {type: switch}}
        steps: [{in-series: {device: S, in: W3, at: B.OUT}}]
        """,
        board(),
    )
    assert verify(change).assumes.count(SAID) == 1


LOW = """
    supplies: {{M: {{kind: single-phase, volts: 24}}}}
    conditions: {{suction: {{unit: psig}}}}
    devices:
      LP: {{type: pressure-switch, senses: suction, opens_below: 50, closes_above: 95, resets: hand{trips}}}
      L: {{type: lamp, volts: 24, watts: 5}}
    rungs: [{{id: R, path: [M.L, LP, L, M.N]}}]
"""


def test_which_position_a_reset_by_hand_keeps_is_said_where_no_trips_says_it(unit) -> None:
    """`closes_above` moves it: without `trips` it keeps closed, and suction below 50 does not open it."""
    keeps = "taken to stay closed, once it is, until a hand resets it."
    assert unit(LOW.format(trips="")).notes == (f"LP is reset by hand and has no `trips`: {keeps}",)
    assert unit(LOW.format(trips=", trips: below")).notes == ()
