"""A device with its type: rest positions, set points, figures, thresholds."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from wirecheck.design.kinds import Capacitor, Coil, Contact, Resistor, Winding
from wirecheck.design.resolved import ResolvedDevice
from wirecheck.problem import BadInput

Resolving = Callable[..., ResolvedDevice]


# As a switch lies on the shelf: no pressure, no level, 20 degC (contract section 2).
@pytest.mark.parametrize(
    ("fields", "rests", "above_moved"),
    [
        ("pressure-switch, senses: head, opens_above: 610, closes_below: 420", "closed", True),
        ("pressure-switch, senses: head, closes_above: 375, opens_below: 275", "open", True),
        ("pressure-switch, senses: head, opens_below: 50, closes_above: 95", "open", True),
        ("pressure-switch, senses: head, opens_below: 10 inHg, closes_above: 5 inHg", "closed", False),
        ("float-switch, senses: pan, opens_above: 1, closes_below: 0.5 in", "closed", True),
        ("float-switch, senses: pan, closes_above: -1, opens_below: -2", "closed", False),
        ("temperature-switch, senses: room, opens_below: 40, closes_above: 45", "closed", False),
        ("temperature-switch, senses: room, closes_below: 80, opens_above: 84", "closed", True),
        ("temperature-switch, senses: room, opens_above: 60, closes_below: 55", "open", False),
        # 68 degF is 20 degC: within the set points, so taken as below them
        ("temperature-switch, senses: room, opens_above: 68, closes_below: 60", "closed", True),
        ("temperature-switch, senses: room, opens_above: 75, closes_below: 60", "closed", True),
        ("temperature-switch, senses: room, closes_above: 75, opens_below: 60", "open", True),
        ("breaker-2p, senses: head, opens_above: 30, closes_below: 20", "closed", True),
    ],
)
def test_rest_from_set_points(resolved: Resolving, fields: str, rests: str, above_moved: bool) -> None:
    device = resolved(f"{{type: {fields}}}")
    spec = device.positions[""]
    assert {e.rests for e in device.elements.values() if isinstance(e, Contact)} == {rests}
    assert (spec.rests, spec.above_moved) == (rests, above_moved)
    assert spec.low is not None
    assert spec.high is not None
    assert spec.low <= spec.high


def test_set_points_in_si_and_as_written(resolved: Resolving) -> None:
    spec = resolved(
        "{type: pressure-switch, senses: head, closes_above: 28 bar, opens_below: 275, trips: below}"
    ).positions[""]
    assert spec.high == 2_800_000.0
    assert spec.low == pytest.approx(275 * 6894.757, rel=1e-6)
    assert spec.set_point_text == "closes above 28 bar, opens below 275 psig"
    assert (spec.trips, spec.senses) == ("below", "head")


def test_equal_set_points_leave_a_position(resolved: Resolving) -> None:
    spec = resolved("{type: pressure-switch, senses: head, opens_above: 400, closes_below: 400}").positions[
        ""
    ]
    assert spec.low == spec.high


@pytest.mark.parametrize(
    ("points", "above_moved"),
    [("moves_above: 400, returns_below: 300", True), ("moves_below: 300, returns_above: 400", False)],
)
def test_two_senses(resolved: Resolving, points: str, above_moved: bool) -> None:
    device = resolved(f"{{type: pressure-changeover, senses: head, {points}}}")
    contacts = {n: e.rests for n, e in device.elements.items() if isinstance(e, Contact)}
    assert contacts == {"make": "open", "break": "closed"}
    assert device.positions[""].above_moved is above_moved
    assert device.positions[""].rests is None


def test_rests_without_set_points(resolved: Resolving) -> None:
    def contact(text: str) -> Contact:
        found = resolved(text).elements["switch"]
        assert isinstance(found, Contact)
        return found

    assert contact("{type: float-switch}").rests == "open"
    assert contact("{type: float-switch, rests: closed}").rests == "closed"
    assert contact("{type: switch}").rests == "open"


def test_hand_reset_and_normal(resolved: Resolving) -> None:
    spec = resolved("{type: float-switch, rests: closed, resets: hand, normal: open, trips: open}").positions[
        ""
    ]
    assert (spec.hand_reset, spec.normal, spec.trips) == (True, "open", "open")


def test_positions_by_name(resolved: Resolving) -> None:
    device = resolved(
        "{type: thermostat, normal: {cool: closed}, cool: {senses: room, closes_above: 76, opens_below: 74}}"
    )
    assert list(device.positions) == ["cool", "fan", "heat"]
    assert device.positions["cool"].normal == "closed"
    assert device.positions["cool"].senses == "room"
    assert device.positions["fan"].senses is None
    assert {n: e.moved_by for n, e in device.elements.items() if isinstance(e, Contact)} == {
        "R-Y": "cool", "R-G": "fan", "R-W": "heat",
    }  # fmt: skip


def test_overload_and_start_inputs_are_no_positions_of_a_hand(resolved: Resolving) -> None:
    for device, mover in (
        ("psc-compressor", "overload"),
        ("potential-relay", "atspeed"),
        ("ptc-start", "warm"),
    ):
        made = resolved(f"{{type: {device}}}")
        contact = next(e for e in made.elements.values() if isinstance(e, Contact))
        assert made.positions == {}
        assert (contact.rests, contact.moved_by, contact.listed) == ("closed", mover, mover != "overload")


def test_figures_by_element_flat_and_for_all_contacts(resolved: Resolving) -> None:
    k1 = resolved(
        "{type: contactor-2p, coil: {volts: 24, va: 8, inrush: 33}, contact: {volts: 240, fla: 30}}"
    )
    coil, pole = k1.elements["coil"], k1.elements["pole-2"]
    assert isinstance(coil, Coil)
    assert isinstance(pole, Contact)
    assert (coil.volts, coil.va, coil.inrush) == (24, 8, 33)
    assert (pole.volts, pole.fla, pole.lra) == (240, 30, None)
    flat = resolved("{type: solenoid-valve, volts: 24, va: 8}").elements["coil"]
    assert isinstance(flat, Coil)
    assert (flat.volts, flat.va) == (24, 8)
    bare = resolved("{type: relay-no, coil: 24}").elements["coil"]
    assert isinstance(bare, Coil)
    assert bare.volts == 24


def test_auxiliary_contacts_keep_their_own_rating(resolved: Resolving) -> None:
    k1 = resolved("{type: contactor-1p-aux, contact: {volts: 600, fla: 40}, make: {volts: 240, fla: 3}}")
    ratings = {n: e.fla for n, e in k1.elements.items() if isinstance(e, Contact)}
    assert ratings == {"pole-1": 40, "make": 3, "break": None}


def test_capacitors(resolved: Resolving) -> None:
    dual = resolved("{type: dual-run-capacitor, herm: 45 uF, fan: 5, volts: 440}").elements
    figures = {n: (e.capacitance, e.volts) for n, e in dual.items() if isinstance(e, Capacitor)}
    assert figures == {"herm": (45e-6, 440), "fan": (5e-6, 440)}
    start = resolved("{type: start-capacitor, capacitance: 88 uF}").elements["capacitor"]
    assert isinstance(start, Capacitor)
    assert start.duty == "start"


def test_motor_figures(resolved: Resolving) -> None:
    fan = resolved("{type: psc-motor, volts: 240, fla: 1.4, lra: 2.9, main: {r: 38, x: 75}, needs: 5 uF}")
    main = fan.elements["main"]
    assert isinstance(main, Winding)
    assert (fan.volts, fan.fla, fan.lra, fan.rla, fan.needs) == (240, 1.4, 2.9, None, 5e-6)
    assert (main.r, main.x) == (38, 75)
    three = resolved("{type: motor-3ph, volts: 208, fla: 4.6, r: 2, x: 4}")
    assert {e.r for e in three.elements.values() if isinstance(e, Winding)} == {2}


def test_taps_take_the_main_impedance_and_defaults(resolved: Resolving) -> None:
    blower = resolved("{type: psc-motor-3-speed, main: {r: 10, x: 20}, taps: {low: 2}}")
    assert blower.taps == {"high": 1, "medium": 1.25, "low": 2}
    mains = {n: e.r for n, e in blower.elements.items() if isinstance(e, Winding) and e.tap}
    assert mains == {"high": 10, "medium": 10, "low": 10}


@pytest.mark.parametrize(
    ("device", "load"),
    [
        ("heater, volts: 240, watts: 2 kW", True),
        ("lamp", True),
        ("resistor, ohms: 20 kohm", False),
        ("resistor, ohms: 20 kohm, volts: 440", True),
        ("ptc-start, volts: 240", False),
    ],
)
def test_which_resistor_is_a_load(resolved: Resolving, device: str, load: bool) -> None:
    made = resolved(f"{{type: {device}}}")
    assert [e.load for e in made.elements.values() if isinstance(e, Resistor)] == [load]


# 24 V coil: closes at 20.4 V, 85 % (facts.md 2.3).
def test_thresholds_are_fractions_of_rated_volts(resolved: Resolving) -> None:
    coil = resolved("{type: relay-no, coil: {volts: 24, pick_up: 20.4 V, drop_out: 60}}").elements["coil"]
    assert isinstance(coil, Coil)
    assert coil.pick_up == pytest.approx(0.85)
    assert coil.drop_out == pytest.approx(0.60)
    assert type(coil.pick_up) is float


def test_counted_terminals_and_stacks(resolved: Resolving) -> None:
    strip = resolved("{type: terminal-strip, terminals: 3, stacks: 2}")
    assert strip.terminals == ("1", "2", "3")
    assert strip.stacks == {"1": 2, "2": 2, "3": 2}
    assert resolved("{type: contactor-1p, stacks: {T2: 2}}").stacks == {"T2": 2}


def test_isolates_of_type_and_device(resolved: Resolving) -> None:
    assert resolved("{type: fuse}").isolates
    assert not resolved("{type: switch}").isolates
    assert resolved("{type: switch, isolates: true}").isolates
    assert not resolved("{type: breaker-2p, isolates: false}").isolates


BOARD = """types:
  fan-relay-board:
    terminals: [IN, COM, OUT]
    elements:
      sense:  {kind: coil, across: [IN, COM], volts: 24, va: 2}
      output: {kind: contact, across: [IN, OUT], rests: open, moved_by: sense}
"""


def test_a_type_of_the_users(resolved: Resolving) -> None:
    board = resolved("{type: fan-relay-board, sense: {va: 3}, external: true}", BOARD)
    sense = board.elements["sense"]
    assert isinstance(sense, Coil)
    assert (sense.volts, sense.va, board.external, board.positions) == (24, 3, True, {})


def test_a_contact_and_a_position_of_one_name(resolved: Resolving) -> None:
    types = """types:
  two-way:
    terminals: [C, A, B]
    positions: [a, b]
    elements:
      a: {kind: contact, across: [C, A], moved_by: a}
      b: {kind: contact, across: [C, B], moved_by: b, rests: closed}
"""
    made = resolved("{type: two-way, a: {fla: 2, senses: head, opens_above: 9, closes_below: 8}}", types)
    a, b = made.elements["a"], made.elements["b"]
    assert isinstance(a, Contact)
    assert isinstance(b, Contact)
    assert (a.fla, a.rests, b.rests) == (2, "closed", "closed")
    assert made.positions["a"].senses == "head"


def test_one_named_position_goes_by_the_tag(resolved: Resolving) -> None:
    types = """types:
  lever:
    terminals: [1, 2]
    positions: [pulled]
    elements:
      a: {kind: contact, across: [1, 2], moved_by: pulled}
"""
    made = resolved("{type: lever, normal: {pulled: closed}, trips: open}", types)
    contact = made.elements["a"]
    assert isinstance(contact, Contact)
    assert list(made.positions) == [""]
    assert made.positions[""].normal == "closed"
    assert contact.moved_by is None


def test_all_problems_of_a_device_at_once(resolved: Resolving) -> None:
    with pytest.raises(BadInput) as error:
        resolved("{type: pressure-switch, senses: heat, stacks: {9: 1}, normal: {x: open}, trips: closed}")
    codes = [p.code for p in error.value.problems]
    assert codes == ["unknown-condition", "unknown-terminal", "unknown-position", "trips-side"]
