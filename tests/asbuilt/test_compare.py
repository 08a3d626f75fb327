"""Two unit files: what somebody changed is found, listed, and checked as a change that allows nothing."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.specimens.expected import FOLDERS
from wirecheck import api, cli
from wirecheck.circuit.build import wired_unit
from wirecheck.circuit.compare import compared, read_compared
from wirecheck.circuit.same import differences
from wirecheck.design.load import draft_text
from wirecheck.problem import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable

    Edited = Callable[..., tuple[str, str]]

ROOT = Path(__file__).parents[2]
PLAYHOUSE = ROOT / "examples" / "tidewater-playhouse"
PAIRS = sorted(
    (unit, change)
    for base in FOLDERS
    for unit in base.glob("*/unit.yaml")
    for change in unit.parent.glob("change.yaml")
)


@pytest.fixture
def edited(tmp_path: Path, proofer: str) -> Edited:
    """The proofer, and the proofer with texts replaced, as files."""

    def make(*texts: tuple[str, str]) -> tuple[str, str]:
        new = proofer
        for old, other in texts:
            assert new.count(old) == 1
            new = new.replace(old, other)
        for name, text in (("old.yaml", proofer), ("new.yaml", new)):
            (tmp_path / name).write_text(text, encoding="utf-8")
        return str(tmp_path / "old.yaml"), str(tmp_path / "new.yaml")

    return make


def told(files: tuple[str, str]) -> list[str]:
    return [step.words for step in read_compared(*files)[2].steps]


def fails(files: tuple[str, str]) -> set[tuple[str, str]]:
    found = api.verify(*files)[1].findings
    return {(f.check, f.subject) for f in found if f.verdict in ("fail", "unknown")}


def test_a_file_against_itself_has_no_steps_and_passes(edited: Edited) -> None:
    files = edited()
    changed, answer = api.verify(*files)
    assert changed.steps == ()
    assert answer.verdict == "pass"
    assert any("nothing is allowed to differ" in line for line in answer.assumes)


@pytest.mark.parametrize(("texts", "words"), [
    ([("  - {id: W4, from: K1.T1, to: HTR.1, color: yellow}\n", "")],
     ["Remove W4: yellow, K1.T1 to HTR.1"]),
    ([("id: C2, path", "id: C2, color: pink, path")],
     ["C2.1: color pink, was not given", "C2.2: color pink, was not given"]),
    ([("from: K1.T1, to: HTR.1", "from: K1.L1, to: HTR.1")],
     ["Lift W4 off K1.T1: yellow, to HTR.1", "Land W4 on K1.L1: yellow, to HTR.1"]),
    ([("from: K1.T1, to: HTR.1", "from: HTR.1, to: K1.T1")], []),
    ([("id: W4,", "id: W40,")], ["W4 is called W40 now: the same conductor"]),
    ([("watts: 2000", "watts: 2500")], ["HTR is another heater, or set otherwise"]),
    ([("opens_above: 140 degF", "opens_above: 60 degC")], []),
    ([("opens_above: 140 degF", "opens_above: 150 degF")],
     ["LIM is another temperature-switch, or set otherwise"]),
    ([("  LA:  {type: lamp, volts: 240, watts: 5}\n", ""), ("  - {id: C2, path: [DS.T1, LA, DS.T2]}\n", ""),
      ("  - LA on exactly when DS closed\n", "")],
     ["Remove C2.1: DS.T1 to LA.1", "Remove C2.2: LA.2 to DS.T2", "Remove LA, lamp",
      'Sentence dropped: "LA on exactly when DS closed"; it can be asked no more']),
    ([("  - HTR on only when TS closed\n", "  - HTR on only when K1 in\n")],
     ['Sentence dropped: "HTR on only when TS closed"; it is asked all the same',
      'Sentence added: "HTR on only when K1 in"']),
    ([("given: {DS: closed}\n", "")], ["Held no more: DS closed; looked at in every position here"]),
    ([("impossible:\n  - TS open and DS open\n", "")], ["Impossible no more: TS open and DS open"]),
    ([("volts: 240}   #", "volts: 208}   #")], ["Supply MAINS is split-phase 208 V, was split-phase 240 V"]),
    ([("gauge: 12 AWG}\n  - {id: W2", "gauge: 14 AWG}\n  - {id: W2")], ["W1: gauge 14 AWG, was 12 AWG"]),
    ([("    normal: closed\n", "    normal: open\n"), ("given: {DS: closed}\n", "given: {DS: closed}\n")],
     ["DS is open in ordinary operation, was closed"]),
    ([("  - {id: W4, from: K1.T1, to: HTR.1, color: yellow}\n",
       "  - {id: W4, from: S1, to: HTR.1, color: yellow}\n  - {id: W6, from: K1.T1, to: S1}\n")],
     ["Lift W4 off K1.T1: yellow, to HTR.1", "Put splice S1 on W4", "Run W6 from K1.T1 to S1"]),
])  # fmt: skip
def test_what_differs_is_told_as_hands_would_do_it(
    texts: list[tuple[str, str]], words: list[str], edited: Edited
) -> None:
    assert told(edited(*texts)) == words


def test_numbers_of_the_steps_count(edited: Edited) -> None:
    files = edited(("from: K1.T1, to: HTR.1", "from: K1.L1, to: HTR.1"))
    assert [step.number for step in read_compared(*files)[2].steps] == [1, 2]


def test_a_heater_moved_past_its_contactor_fails(edited: Edited) -> None:
    files = edited(("from: K1.T1, to: HTR.1", "from: K1.L1, to: HTR.1"))
    assert {("keeps", "HTR"), ("expects", "HTR on only when TS closed")} <= fails(files)


def test_a_sentence_that_was_dropped_is_asked_all_the_same(edited: Edited) -> None:
    moved = ("from: K1.T1, to: HTR.1", "from: K1.L1, to: HTR.1")
    files = edited(moved, ("  - never HTR on and LIM open      # the limit\n", ""))
    assert ("expects", "never HTR on and LIM open") in fails(files)


def test_what_one_file_alone_holds_hides_nothing(edited: Edited) -> None:
    """The lamp moved ahead of the disconnect differs only with DS open, which the new file holds closed."""
    moved = ("path: [DS.T1, LA, DS.T2]", "path: [DS.L1, LA, DS.L2]")
    old, new = edited(moved)
    Path(old).write_text(Path(old).read_text(encoding="utf-8").replace("given: {DS: closed}\n", ""), "utf-8")
    assert ("keeps", "LA") in fails((old, new))
    assert ("keeps", "LA") in fails((new, old))


def test_a_limit_taken_out_is_found_though_no_load_says_so(edited: Edited) -> None:
    files = edited(("path: [DS.T1, TS, LIM, K1.coil, DS.T2]", "path: [DS.T1, TS, K1.coil, DS.T2]"))
    assert ("protections", "LIM") in fails(files)


def test_a_thinner_conductor_of_the_same_name_is_judged(edited: Edited) -> None:
    """2,000 W at 240 V are 8.3 A; 26 AWG does not carry it, 12 AWG does."""
    thin = [(f"to: DS.L{k}, color: {c} gauge: 12 AWG", f"to: DS.L{k}, color: {c} gauge: 26 AWG")
            for k, c in ((1, "black, "), (2, "red,   "))]  # fmt: skip
    assert {c for c, _ in fails(edited(*thin))} == {"ratings"}


def test_the_same_set_point_in_another_unit_of_measure_is_the_same(edited: Edited) -> None:
    files = edited(("opens_above: 140 degF", "opens_above: 60 degC"))
    assert fails(files) == set()
    assert fails(files[::-1]) == set()


@pytest.mark.parametrize("texts", [
    [("volts: 240}   #", "volts: 208}   #")],
    [("opens_above: 140 degF", "opens_above: 150 degF")],
    [("path: [DS.T1, LA, DS.T2]", "path: [DS.L1, LA, DS.L2]"), ("given: {DS: closed}\n", "")],
    [("  K1:  {type: contactor-1p,", "  K1:  {type: contactor-2p,")],
])  # fmt: skip
def test_both_evaluators_say_the_same(texts: list[tuple[str, str]], edited: Edited) -> None:
    files = edited(*texts)
    fast, plain = (
        {(f.check, f.subject, f.verdict) for f in api.verify(*files, plain=p)[1].findings}
        for p in (False, True)
    )
    assert fast == plain
    assert any(verdict != "note" for _, _, verdict in fast)


def test_a_quantity_of_another_kind_does_not_compare(edited: Edited) -> None:
    with pytest.raises(BadInput) as bad:
        api.verify(*edited(
            ("heat: {unit: degF}", "heat: {unit: psig}"),
            ("closes_below: 90 degF, opens_above: 100 degF", "closes_below: 90, opens_above: 100"),
            ("opens_above: 140 degF, closes_below: 120 degF", "opens_above: 140, closes_below: 120"),
        ))  # fmt: skip
    assert [(p.code, p.place.line) for p in bad.value.problems] == [("defined-otherwise", 10)]


def test_problems_of_both_files_come_at_once(edited: Edited) -> None:
    old, new = edited(("to: HTR.1, color", "to: HTR.3, color"))
    Path(old).write_text(Path(old).read_text(encoding="utf-8").replace("W2,", "W1,"), encoding="utf-8")
    with pytest.raises(BadInput) as bad:
        read_compared(old, new)
    assert {(Path(p.place.file).name, p.code) for p in bad.value.problems} == {
        ("old.yaml", "conductor-id-twice"),
        ("new.yaml", "unknown-terminal"),
    }


def test_the_command_and_its_json(edited: Edited, capfd: pytest.CaptureFixture[str]) -> None:
    files = edited(("from: K1.T1, to: HTR.1", "from: K1.L1, to: HTR.1"))
    assert cli.run(["verify", *files, "--json", "-"]) == cli.FAIL
    answer = json.loads(capfd.readouterr().out)
    assert [(s["number"], s["kind"]) for s in answer["steps"]] == [(1, "lift"), (2, "land")]
    assert any("a change file can allow it" in line for line in answer["assumes"])


@pytest.mark.parametrize("pair", PAIRS, ids=lambda p: p[0].parent.name)
def test_the_steps_found_lead_from_the_one_to_the_other(pair: tuple[Path, Path], tmp_path: Path) -> None:
    """As many conductors as the change ran and took out; the wiring after the last step is the new one."""
    out = tmp_path / "new.yaml"
    out.write_text(api.apply(str(pair[0]), str(pair[1]), str(out), "x").text, encoding="utf-8")
    old, new, changed = read_compared(pair[0], out)
    was = {w.id for w in changed.before.conductors.values()}
    now = {w.id for w in changed.after.conductors.values()}
    found = {s.wires[0] for s in changed.steps if s.kind in ("run", "rename")}
    assert found == now - was
    last = changed.stages[-1] if changed.steps else changed.before
    ends = ({(w.id, frozenset((w.a, w.b))) for w in c.conductors.values()} for c in (last, changed.after))
    assert next(ends) == next(ends)
    assert set(last.devices) == set(changed.after.devices)
    assert {s.devices[0] for s in changed.steps if s.kind == "add"} == {*new.devices} - {*old.devices}


def test_every_field_of_a_circuit_is_compared(proofer: str) -> None:
    """Each line altered is a difference, and no comment is."""
    one = wired_unit(draft_text(proofer, "u"))[2]
    for old, new in (
        ("watts: 2000", "watts: 2001"), ("color: yellow", "color: pink"), ("gauge: 12 AWG}   #", "}   #"),
        ("to: HTR.1", "to: HTR.2"), ("from: HTR.2", "from: HTR.1"), ("volts: 240}   #", "volts: 230}   #"),
        ("closes_below: 90", "closes_below: 91"), ("LIM open ", "LIM closed "), ("- TS open and DS", "- DS"),
        ("{DS: closed}", "{DS: open}"), ("normal: closed", "normal: open"), ("name: Proofer", "name: Other"),
        ('label: "5"', "label: 6"), ("id: C1", "id: C9"), ("trips: above}", "}"),
        ("  - LA on exactly when DS closed\n", ""),
    ):  # fmt: skip
        assert proofer.count(old) == 1 or old in ("to: HTR.1", "from: HTR.2")
        other = wired_unit(draft_text(proofer.replace(old, new, 1), "u"))[2]
        assert differences(one, other, {}) != (), old
    other = wired_unit(draft_text(f"# x\n\n{proofer}", "u"))[2]
    assert differences(one, other, {}) == ()
    assert compared(wired_unit(draft_text(proofer, "u")), wired_unit(draft_text(proofer, "v"))).steps == ()
