"""Every step of a change: what it leaves behind, in words and in the circuit after."""

from __future__ import annotations

from textwrap import dedent

import pytest

from wirecheck.circuit.graph import Replacement
from wirecheck.problem import BadInput

RIGHT = """
    change: {name: Fan cycling, affects: [FAN], reason: cool evenings}
    devices:
      PS: {type: pressure-switch, senses: liquid_pressure, closes_above: 375 psig, opens_below: 275 psig}
    steps:
      - lift: {wire: {at: K1.T2, color: yellow, gauge: 18 AWG}, end: K1.T2}
      - splice: {name: S1, join: [W7]}
      - run: {id: W20, from: S1, to: PS.1, color: yellow, gauge: 18, route: knockout, length: 6 ft}
      - run: {id: W21, from: PS.2, to: K1.T2}
    expects:
      - FAN runs exactly when COMP runs and PS closed
"""


def ends(circuit, wire: str) -> tuple[str, str]:
    return circuit.conductors[wire].a, circuit.conductors[wire].b


def words(change) -> list[str]:
    return [step.words for step in change.steps]


def test_the_right_change(changed) -> None:
    change = changed(RIGHT)
    assert words(change) == [
        "Fit PS, pressure-switch",
        "Lift W7 off K1.T2: yellow, 18 AWG, to FAN.common",
        "Put splice S1 on W7",
        "Run W20 from S1 to PS.1: yellow, 18 AWG, knockout, 6 ft",
        "Run W21 from PS.2 to K1.T2",
    ]
    assert [s.number for s in change.steps] == [1, 2, 3, 4, 5]
    assert [s.kind for s in change.steps] == ["add", "lift", "splice", "run", "run"]
    assert change.steps[1].place.line == 7
    assert ends(change.before, "W7") == ("K1.T2", "FAN.common")
    assert ends(change.after, "W7") == ("S1", "FAN.common")
    assert change.after.splices == {"S1"} and not change.after.capped and not change.after.loose
    assert change.after.conductors["W20"].length_m == pytest.approx(1.8288)
    assert change.brought == {"PS"} and not change.removed
    assert change.terms.affects == {"FAN": "less"} and change.reason == "cool evenings"
    assert [(s.text, s.of_change) for s in change.after.expects][-2:] == [
        ("never TH.cool closed and HP open and COMP runs", False),
        ("FAN runs exactly when COMP runs and PS closed", True),
    ]
    assert "PS" not in change.before.devices and change.after.inputs["PS"].listed


def test_both_circuits_share_the_cuts(changed) -> None:
    change = changed(RIGHT)
    assert change.before.cuts == change.after.cuts
    assert len(change.before.cuts["liquid_pressure"]) == 4
    points = change.after.inputs["PS"].set_points
    assert {points.low, points.high} < set(change.before.cuts["liquid_pressure"])


def test_lift_and_land(changed) -> None:
    change = changed("""
        steps:
          - lift: {wire: W9, end: CAP.C}
          - land: {wire: W9, on: K1.T1}
    """)
    assert ends(change.after, "W9") == ("FAN.main", "K1.T1")
    assert words(change) == ["Lift W9 off CAP.C: white, to FAN.main", "Land W9 on K1.T1: white, to FAN.main"]
    assert not change.after.loose


def test_a_lifted_end_is_loose_until_it_is_capped(changed) -> None:
    loose = changed("steps: [{lift: {wire: W7, end: K1.T2}}]").after
    assert loose.loose == {"W7:K1.T2"} and not loose.splices
    assert "W7:K1.T2" in loose.terminals and loose.device_of("W7:K1.T2") is None
    capped = changed("steps: [{lift: {wire: W7, end: K1.T2}}, {splice: {name: CAPPED, join: [W7]}}]").after
    assert capped.capped == capped.splices == {"CAPPED"} and not capped.loose
    assert capped.notes[-1] == "CAPPED is a capped end: only W7 ends in it."


def test_both_ends_loose(changed) -> None:
    lifts = "steps:\n  - lift: {wire: W7, end: K1.T2}\n  - lift: {wire: W7, end: FAN.common}\n"
    assert changed(lifts).after.loose == {"W7:K1.T2", "W7:FAN.common"}
    landed = changed(lifts + "  - land: {wire: W7, on: SPARE.1, end: FAN.common}\n").after
    assert ends(landed, "W7") == ("W7:K1.T2", "SPARE.1") and landed.loose == {"W7:K1.T2"}
    joined = changed(lifts + "  - splice: {name: S, join: ['W7:FAN.common', 'W7:K1.T2']}\n").after
    assert ends(joined, "W7") == ("S", "S")
    with pytest.raises(
        BadInput, match=r"both ends of W7 are loose; say which by `end`: K1\.T2 or FAN\.common"
    ):
        changed(lifts + "  - land: {wire: W7, on: SPARE.1}\n")


def test_cut_leaves_two_conductors(changed) -> None:
    change = changed("""
        steps:
          - cut: {wire: W7}
          - splice: {name: S, join: [W7.a]}
          - land: {wire: W7.b, on: S}
          - lift: {wire: W7.b, end: FAN.common}
    """)
    after = change.after
    assert "W7" not in after.conductors
    assert ends(after, "W7.a") == ("K1.T2", "S") and ends(after, "W7.b") == ("S", "W7.b:FAN.common")
    assert after.conductors["W7.a"].gauge == "18 AWG" and after.conductors["W7.b"].color == "yellow"
    assert words(change)[0] == "Cut W7 in two: yellow, 18 AWG, K1.T2 to FAN.common"
    assert list(after.conductors)[6:8] == ["W7.a", "W7.b"]  # in the place of the whole one
    assert changed("steps: [{cut: {wire: W7}}]").after.loose == {"W7.a", "W7.b"}


def test_remove_wire_and_device(changed) -> None:
    after = changed("steps: [{remove: {wire: W7}}, {remove: {wire: {at: CAP, color: white}}}]").after
    assert "W7" not in after.conductors and "W9" not in after.conductors and not after.loose
    change = changed("""
        change:
          name: C
          drops: ["never COMP runs  and HP open", never TH.cool closed and HP open and COMP runs]
        steps: [{remove: {device: HP}}]
    """)
    assert change.removed == {"HP"} and "HP" not in change.after.devices
    assert change.after.loose == {"C1.2:HP.1", "C1.3:HP.2"}
    assert words(change) == ["Remove HP, pressure-switch; C1.2 and C1.3 left loose"]
    assert len(change.after.expects) == 2


def test_removing_a_device_loses_the_sentences_that_name_it(changed) -> None:
    with pytest.raises(BadInput) as bad:
        changed("steps:\n  - remove: {device: HP}")
    problems = bad.value.problems
    assert [(p.code, p.place.line) for p in problems] == [("sentence-lost", 3)] * 2
    lost = 'the unit expects "never COMP runs and HP open", which can no longer be asked: HP is gone.'
    assert problems[0].message == lost
    assert 'drops: ["never COMP runs and HP open"]' in problems[0].hint
    assert problems[0].others[0][0].line == 38


def test_replace_keeps_terminals_and_moves_others(changed) -> None:
    change = changed("""
        devices: {K1: {type: contactor-2p, coil: {volts: 24, va: 9}}}
        steps: [{replace: {device: K1, with: K1}}]
    """)
    assert ends(change.after, "W6") == ("K1.T2", "COMP.C") and not change.after.loose
    assert change.brought == {"K1"} and not change.removed
    assert change.replaced == (Replacement("K1", "K1", {}),)
    assert change.before.elements["K1.coil"].va == 8 and change.after.elements["K1.coil"].va == 9
    assert list(change.after.devices) == list(change.before.devices)
    assert words(change) == ["Replace K1, contactor-1p, by a new contactor-2p: terminal for terminal"]


def test_replace_with_another_tag(changed) -> None:
    change = changed("""
        devices: {DR: {type: delay-off-relay, coil: {volts: 24}}}
        steps: [{replace: {device: K1, with: DR, moves: {L1: C, T1: NO}}}]
    """)
    assert ends(change.after, "W5") == ("DR.NO", "COMP.R") and ends(change.after, "C1.3") == ("HP.2", "DR.A1")
    assert change.after.loose == {"W4:K1.L2", "W6:K1.T2", "W7:K1.T2"}
    moved = "L1 to C, T1 to NO, the rest terminal for terminal; W4, W6 and W7 left loose"
    assert words(change) == [f"Replace K1, contactor-1p, by DR, delay-off-relay: {moved}"]
    assert change.removed == {"K1"} and change.brought == {"DR"}
    sentence = next(s for s in change.after.expects if s.text == "COMP runs exactly when K1 in")
    assert sentence.condition.relay == "DR"


def test_sentences_and_given_follow_positions(changed) -> None:
    unit = """
        devices: {DS: {type: disconnect-2p}, TH: {type: thermostat}, L: {type: lamp, volts: 24}}
        given: {TH.cool: closed, TH.fan: open}
        impossible: ["TH.cool closed and TH.heat closed"]
        expects: [never TH.cool open and L on]
    """
    head = """
        types:
          two-call:
            terminals: [R, Y, G, W, C]
            positions: [demand, heat]
            elements:
              y: {kind: contact, across: [R, Y], rests: open, moved_by: demand}
              w: {kind: contact, across: [R, W], rests: open, moved_by: heat}
        devices: {T2: {type: two-call}}
    """
    step = "steps: [{replace: {device: TH, with: T2, positions: {cool: demand}}}]\n"
    with pytest.raises(BadInput) as bad:  # `fan` has gone: what was held of it cannot be
        changed(dedent(head) + step, unit)
    assert [p.code for p in bad.value.problems] == ["unknown-name"]
    change = changed(dedent(head) + step, unit.replace(", TH.fan: open", ""))
    assert change.replaced == (Replacement("TH", "T2", {"cool": "demand", "heat": "heat"}),)
    assert change.after.inputs["T2.demand"].given is True
    assert change.after.expects[0].condition.parts[0].input == "T2.demand"
    assert {a.input for a in change.after.impossible[0][0].parts} == {"T2.demand", "T2.heat"}
    with pytest.raises(BadInput) as bad:
        changed(dedent(head) + step.replace("cool: demand", "cold: demnd"), unit)
    assert [p.code for p in bad.value.problems] == ["unknown-position", "unknown-position"]


def test_one_position_becomes_one_of_several(changed) -> None:
    change = changed("""
        devices: {TH2: {type: thermostat}}
        steps: [{replace: {device: SPARE, with: TH2, moves: {"1": R, "2": Y}, positions: {SPARE: cool}}}]
    """)
    assert change.replaced == (Replacement("SPARE", "TH2", {"": "cool"}),)


def test_in_series_is_plain_steps(changed) -> None:
    change = changed("""
        devices: {PS: {type: changeover-switch}}
        steps: [{in-series: {device: PS.C-NO, in: {at: K1.T2, to: FAN}, at: K1.T2}}]
    """)
    assert words(change) == [
        "Fit PS, changeover-switch",
        "Lift W7 off K1.T2: yellow, 18 AWG, to FAN.common",
        "Land W7 on PS.C: yellow, 18 AWG, to FAN.common",
        "Run PS.in.1 from PS.NO to K1.T2",
    ]
    assert {s.of for s in change.steps[1:]} == {"PS.C-NO in series at K1.T2"}
    assert ends(change.after, "PS.in.1") == ("PS.NO", "K1.T2")


def test_in_series_with_flying_leads(changed) -> None:
    change = changed("""
        devices: {FS: {type: float-switch, rests: closed, trips: open, leads: true}}
        steps:
          - in-series: {device: FS, in: C1.2, at: HP.1}
          - in-series: {device: FS, in: W7, at: FAN.common}
    """)
    assert ends(change.after, "C1.2") == ("TH.Y", "FS.joint")
    assert ends(change.after, "FS.in.1") == ("FS.joint", "FS.1")
    assert ends(change.after, "FS.in.2") == ("FS.2", "HP.1")
    assert ends(change.after, "FS.in.3") == ("FS.joint.2", "FS.1")
    assert change.after.splices == {"FS.joint", "FS.joint.2"} and not change.after.capped
    assert change.after.device_of("FS.joint") is None


def test_across(changed) -> None:
    change = changed("""
        devices: {R: {type: resistor, ohms: 15000}}
        steps:
          - across: {device: R, terminals: [CAP.HERM, CAP.C]}
    """)
    assert words(change)[1:] == ["Run R.across.1 from R.1 to CAP.HERM", "Run R.across.2 from R.2 to CAP.C"]
    assert [ends(change.after, f"R.across.{n}") for n in (1, 2)] == [("R.1", "CAP.HERM"), ("R.2", "CAP.C")]


def test_the_unit_is_not_touched(changed, playhouse) -> None:
    change = changed(RIGHT)
    assert change.before.conductors == playhouse.conductors
    assert change.before.devices == playhouse.devices
    assert change.before.elements == playhouse.elements


def test_a_step_and_its_inverse_return_the_unit(changed) -> None:
    change = changed("steps: [{lift: {wire: W7, end: K1.T2}}, {land: {wire: W7, on: K1.T2}}]")
    assert change.after.conductors == change.before.conductors
    assert change.after == change.before


def test_change_merges_supplies_conditions_given_and_impossible(changed) -> None:
    change = changed("""
        conditions: {outdoor: {unit: degF}}
        supplies: {AUX: {kind: single-phase, volts: 120, same_source_as: MAINS}}
        devices: {TS: {type: temperature-switch, senses: outdoor, closes_above: 60, opens_below: 50}}
        given: {DS: closed, TS: closed}
        impossible: ["TS open and liquid_pressure above 500 psig"]
        steps: [{run: {id: W30, from: AUX.L, to: TS.1}}, {run: {id: W31, from: TS.2, to: AUX.N}}]
    """)
    assert change.after.poles["AUX.L"].source == "MAINS" and "AUX.L" not in change.before.poles
    assert change.after.inputs["TS"].given is False and change.after.inputs["DS"].given is False
    assert change.before.inputs["DS"].given is None
    assert len(change.before.cuts["outdoor"]) == 2 and len(change.after.cuts["liquid_pressure"]) == 3
    assert change.terms.impossible == ("TS open and liquid_pressure above 500 psig",)


def test_terms(changed) -> None:
    change = changed("""
        change:
          name: C
          affects: {FAN: either, COMP: more}
          retires: [FAN]
          races: [K1, FAN]
          removes_protection: [{device: HP, load: COMP, because: tested}]
          removes_isolation: [{device: DS, terminals: [K1.L1, COMP.C], because: tested}]
    """)
    assert change.terms.affects == {"FAN": "either", "COMP": "more"}
    assert change.terms.retires == {"FAN"} and change.terms.races == {"K1", "FAN"}
    assert change.terms.removes_protection == (("HP", "COMP", "tested"),)
    assert change.terms.removes_isolation == (("DS", ("K1.L1", "COMP.C"), "tested"),)
    assert change.steps == () and change.after == change.before


def test_two_ends_are_joined_and_one_is_capped(changed) -> None:
    change = changed("""
        steps:
          - lift: {wire: W7, end: K1.T2}
          - lift: {wire: W9, end: CAP.C}
          - splice: {name: S1, join: [W7, W9]}
    """)
    assert words(change)[-1] == "Join W7 and W9 in splice S1"


def test_what_is_impossible_of_a_device_that_is_gone_is_gone_too(changed) -> None:
    unit = """
        supplies: {M: {kind: single-phase, volts: 24}}
        devices: {A: {type: switch}, B: {type: switch}, C: {type: switch}, H: {type: heater}}
        rungs: [{id: R, path: [M.L, A, B, C, H, M.N]}]
        impossible: [A closed and B closed, B closed and C closed]
    """
    change = changed("steps: [{remove: {device: A}}]", unit)
    assert [text for _, text in change.before.impossible] == [
        "A closed and B closed",
        "B closed and C closed",
    ]
    assert [text for _, text in change.after.impossible] == ["B closed and C closed"]


def test_conductors_that_fit_are_told_apart_by_what_differs(changed) -> None:
    """W6 and W7 are yellow both; gauge, route and far end differ, and neither is marked."""
    with pytest.raises(BadInput) as bad:
        changed("steps: [{lift: {wire: {at: K1.T2, color: yellow}, end: K1.T2}}]")
    assert bad.value.problems[0].hint == "Add gauge, route or to, or name it by its id, wire: W6."
