"""Laws that hold of every unit and change (engine.md section 8)."""

from __future__ import annotations

import copy

import hypothesis.strategies as st
from hypothesis import given, settings

from tests.laws.ask import NOTHING, circuit, judged, pair, rows, states, troubles
from tests.laws.strategies import GENTLE, Data, Kind, changes, units
from wirecheck.questions.verify import verify


@given(units(), st.randoms(use_true_random=False))
def test_order_changes_nothing(unit: Data, random: object) -> None:
    other = copy.deepcopy(unit)
    for key in ("devices", "supplies"):
        items = list(other[key].items())
        random.shuffle(items)  # type: ignore[attr-defined]
        other[key] = dict(items)
    random.shuffle(other["wires"])  # type: ignore[attr-defined]
    assert rows(states(circuit(other))) == rows(states(circuit(unit)))


@given(units())
def test_direction_of_conductors_changes_nothing(unit: Data) -> None:
    other = {**unit, "wires": [{**w, "from": w["to"], "to": w["from"]} for w in reversed(unit["wires"])]}
    assert rows(states(circuit(other))) == rows(states(circuit(unit)))


@given(units())
def test_a_conductor_in_parallel_changes_nothing(unit: Data) -> None:
    wire = unit["wires"][len(unit["wires"]) // 2]
    more = {**unit, "wires": [*unit["wires"], {**wire, "id": "MORE"}]}
    assert rows(states(circuit(more))) == rows(states(circuit(unit)))


@given(units())
def test_a_unit_against_itself_passes(unit: Data) -> None:
    found = judged(unit, NOTHING)
    assert not troubles(found)
    assert found.verdict == ("unknown" if found.why_unknown else "pass")


@given(units(), st.data())
def test_a_conductor_laid_beside_another_passes(unit: Data, data: st.DataObject) -> None:
    wire = data.draw(st.sampled_from(unit["wires"]))
    found = judged(unit, {**NOTHING, "steps": [{"run": {**wire, "id": "MORE"}}]})
    assert not troubles(found)
    assert found.verdict == ("unknown" if found.why_unknown else "pass")


@given(units(), st.data())
def test_a_step_and_its_inverse(unit: Data, data: st.DataObject) -> None:
    wire = data.draw(st.sampled_from(unit["wires"]))
    end = wire[data.draw(st.sampled_from(["from", "to"]))]
    back = data.draw(st.sampled_from(["land", "splice", "cut", "remove"]))
    steps = {
        "land": [{"lift": {"wire": wire["id"], "end": end}}, {"land": {"wire": wire["id"], "on": end}}],
        "splice": [
            {"lift": {"wire": wire["id"], "end": end}},
            {"splice": {"name": "SP", "join": [wire["id"]]}},
            {"run": {"id": "MORE", "from": "SP", "to": end}},
        ],
        "cut": [
            {"cut": {"wire": wire["id"]}},
            {"splice": {"name": "SP", "join": [f"{wire['id']}.a", f"{wire['id']}.b"]}},
        ],
        "remove": [{"remove": {"wire": wire["id"]}}, {"run": dict(wire)}],
    }[back]
    changed = pair(unit, {**NOTHING, "steps": steps})
    assert rows(states(changed.after)) == rows(states(changed.before))
    assert not troubles(verify(changed))


@given(units(), st.data())
def test_a_strip_in_a_conductor_changes_nothing(unit: Data, data: st.DataObject) -> None:
    wire = data.draw(st.sampled_from(unit["wires"]))
    rest = [w for w in unit["wires"] if w is not wire]
    split = [{**wire, "to": "TS.2"}, {"id": "MORE", "from": "TS.2", "to": wire["to"]}]
    strip = {**unit["devices"], "TS": {"type": "terminal-strip", "terminals": 3}}
    other = {**unit, "devices": strip, "wires": [*rest, *split]}
    assert rows(states(circuit(other))) == rows(states(circuit(unit)))


@given(units(), st.data())
@settings(max_examples=14)
def test_asking_twice_gives_the_same(unit: Data, data: st.DataObject) -> None:
    change = data.draw(changes(unit))
    changed = pair(unit, change)
    once, again = judged(unit, change), judged(unit, change)
    assert once == again == verify(changed)
    assert states(changed.after) == states(changed.after)


@given(units(Kind(motors=False, extra=1)), st.data())
@settings(max_examples=20)
def test_what_passes_without_affects_leaves_every_old_load_as_it_was(unit: Data, data: st.DataObject) -> None:
    """Over the inputs that both units have; a delay of the change itself may add histories, not words."""
    changed = pair(unit, data.draw(changes(unit, GENTLE)))
    if verify(changed).verdict != "pass":
        return
    renamed = {r.old: r.new for r in changed.replaced}
    before, after = states(changed.before), states(changed.after)
    inputs = [n for n in changed.before.inputs if n in before.inputs and renamed.get(n, n) in after.inputs]
    loads = [n for n in changed.before.loads if renamed.get(n, n) in changed.after.loads]
    was = {(tuple(r.inputs[n] for n in inputs), tuple(r.loads[n] for n in loads)) for r in before.rows}
    now = {
        (tuple(r.inputs[renamed.get(n, n)] for n in inputs), tuple(r.loads[renamed.get(n, n)] for n in loads))
        for r in after.rows
    }
    assert now == was
