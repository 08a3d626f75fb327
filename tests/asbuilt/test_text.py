"""What the file looks like: what was not touched stands as it stood, to the letter."""

from __future__ import annotations

from difflib import unified_diff
from typing import TYPE_CHECKING

import pytest
import yaml

from wirecheck.design.edits import Edit, edited, flow, one_line, scalar
from wirecheck.design.reader import parse
from wirecheck.problem import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable

    Applied = Callable[..., str]

OLD_LIMIT = (
    "LIM: {type: temperature-switch, senses: heat, "
    "opens_above: 140 degF, closes_below: 120 degF, trips: above}"
)
RECORD = "\n# Changed: C\n"


def body(text: str) -> str:
    """Without the record at the end."""
    assert RECORD in text
    return text[: text.rindex(RECORD)]


def lines(before: str, after: str) -> list[str]:
    """Lines taken out and put in, in order."""
    rows = unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm="")
    return [f"{row[0]} {row[1:]}" for row in rows if row[0] in "+-" and row not in ("--- ", "+++ ")]


def test_an_end_moved_and_a_conductor_run(applied: Applied, proofer: str) -> None:
    change = (
        "devices:\n  PS: {type: switch}   # new\n"
        "steps:\n  - lift: {wire: W4, end: K1.T1}\n  - land: {wire: W4, on: PS.2}\n"
        "  - run: {id: W9,  from: PS.1, to: K1.T1, color: yellow}\n"
    )
    assert lines(proofer, body(applied(change))) == [
        "+   # brought by: C",
        "+   PS: {type: switch}   # new",
        "-   - {id: W4, from: K1.T1, to: HTR.1, color: yellow}",
        "+   # W4: was on K1.T1; C",
        "+   - {id: W4, from: PS.2, to: HTR.1, color: yellow}",
        "+   # brought by: C",
        "+   - {id: W9,  from: PS.1, to: K1.T1, color: yellow}",
    ]


def test_conductors_and_devices_taken_out(applied: Applied, proofer: str) -> None:
    change = "steps:\n  - remove: {wire: W3}\n  - run: {id: W30, from: DS.T1, to: K1.L1}\n"
    assert lines(proofer, body(applied(change))) == [
        "-   - id: W3",
        "-     from: DS.T1",
        "-     to:   K1.L1",
        "-     color: black       # as W1",
        "+   # taken out by: C",
        "+   # - id: W3",
        "+   #   from: DS.T1",
        "+   #   to:   K1.L1",
        "+   #   color: black       # as W1",
        "+   # brought by: C",
        "+   - {id: W30, from: DS.T1, to: K1.L1}",
    ]


def test_a_rung_that_is_touched_is_written_out_under_its_conductors_ids(
    applied: Applied, proofer: str
) -> None:
    change = "devices:\n  DR: {type: door-switch}\nsteps:\n  - in-series: {device: DR, in: C1.2, at: LIM.1}\n"
    assert lines(proofer, body(applied(change)))[2:] == [
        "+   # rung C1, written out by: C",
        "+   - {id: C1.1, from: DS.T1, to: TS.1, color: blue}",
        "+   - {id: C1.2, from: TS.2, to: DR.1, color: blue}",
        "+   - {id: C1.3, from: LIM.2, to: K1.A1, color: blue}",
        "+   - {id: C1.4, from: K1.A2, to: DS.T2, color: blue}",
        "+   # brought by: C",
        "+   - {id: DR.in.1, from: DR.2, to: LIM.1}",
        "-   - {id: C1, path: [DS.T1, TS, LIM, K1.coil, DS.T2], color: blue}",
        "+   # under `wires` now, touched by: C",
        "+   # - {id: C1, path: [DS.T1, TS, LIM, K1.coil, DS.T2], color: blue}",
    ]


def test_names_follow_a_replaced_device_everywhere(applied: Applied, proofer: str) -> None:
    change = (
        "devices:\n"
        "  T9: {type: temperature-switch, senses: heat, closes_below: 80 degF, opens_above: 95 degF}\n"
        "steps:\n  - replace: {device: TS, with: T9}\n"
    )
    found = body(applied(change))
    assert "  - {id: C1, path: [DS.T1, T9, LIM, K1.coil, DS.T2], color: blue}\n" in found
    assert "  - HTR on only when T9 closed\n" in found
    assert "  - T9 open and DS open\n" in found
    assert found.index("  # TS:  {type") < found.index("  T9: {type") < found.index("  LIM: {type")


def test_what_is_held_follows_a_replaced_device(applied: Applied) -> None:
    change = "devices:\n  D9: {type: disconnect-2p}\nsteps:\n  - replace: {device: DS, with: D9}\n"
    found = body(applied(change))
    assert "given:\n  # follows what was replaced by: C\n  D9: closed\n" in found
    assert (
        "  # W1: was on DS.L1; C\n  - {id: W1, from: MAINS.L1, to: D9.L1, color: black,  gauge: 12 AWG}\n"
        in found
    )
    assert "    # W3: was on DS.T1; C\n" not in found
    assert "  # W3: was on DS.T1; C\n  - id: W3\n    from: D9.T1\n    to:   K1.L1\n" in found


def test_a_device_set_otherwise_stands_in_its_place(applied: Applied, proofer: str) -> None:
    change = (
        "devices:\n  LIM:\n    type: temperature-switch   # a lower one\n    senses: heat\n"
        "    opens_above: 130 degF\n    closes_below: 110 degF\n    trips: above\n"
        "steps:\n  - replace: {device: LIM, with: LIM}\n"
    )
    found = lines(proofer, body(applied(change)))
    assert found == [
        f"-   {OLD_LIMIT}",
        "+   # replaced by: C",
        f"+   # {OLD_LIMIT}",
        "+   # brought by: C",
        "+   LIM:",
        "+     type: temperature-switch   # a lower one",
        "+     senses: heat",
        "+     opens_above: 130 degF",
        "+     closes_below: 110 degF",
        "+     trips: above",
    ]


def test_a_cut_conductor_is_two_in_its_place(applied: Applied, proofer: str) -> None:
    change = "steps:\n  - cut: {wire: W5}\n  - splice: {name: SP, join: [W5.a, W5.b]}\n"
    assert lines(proofer, body(applied(change))) == [
        '-   - {id: W5, from: HTR.2, to: DS.T2, color: red, label: "5"}',
        "+   # cut by: C",
        '+   # - {id: W5, from: HTR.2, to: DS.T2, color: red, label: "5"}',
        "+   # halves of W5: C",
        "+   - {id: W5.a, from: HTR.2, to: SP, color: red, label: 5}",
        "+   - {id: W5.b, from: SP, to: DS.T2, color: red, label: 5}",
    ]


def test_sections_that_the_unit_had_not(applied: Applied, proofer: str) -> None:
    change = (
        "conditions: {damp: {unit: psig}}\n"
        "types:\n  board:\n    terminals: [A, B]\n    elements:\n      c: {kind: link, across: [A, B]}\n"
        "devices:\n  B: {type: board}\n  P: {type: pressure-switch, senses: damp, "
        "opens_above: 9 psig, closes_below: 8 psig}\n"
        "steps:\n  - across: {device: B, terminals: [HTR.1, K1.T1]}\n"
    )
    found = body(applied(change))
    assert "  heat: {unit: degF}\n  # brought by: C\n  damp: {unit: psig}\n" in found
    assert (
        found.index("impossible:")
        < found.index("\n\ntypes:\n  # brought by: C\n  board:\n")
        < found.index("# end")
    )


def test_the_record_at_the_end(applied: Applied) -> None:
    change = "steps:\n  - run: {id: W9, from: HTR.1, to: K1.T1, color: yellow}\n"
    text = applied(change)
    first, *rows = text[text.rindex(RECORD) + 1 :].splitlines()
    assert first == "# Changed: C"
    assert rows[0] == "#   date: 2031-05-01"
    assert rows[1].startswith("#   unit: unit.yaml, sha256 ")
    assert rows[2].startswith("#   change: change.yaml, sha256 ")
    assert rows[3] == "#    1. Run W9 from HTR.1 to K1.T1: yellow"
    assert max(map(len, rows)) <= 110


def test_a_second_change_adds_its_record_below_the_first(applied: Applied) -> None:
    once = applied("steps:\n  - run: {id: W9, from: HTR.1, to: K1.T1}\n")
    twice = applied("steps:\n  - remove: {wire: W9}\n", once)
    assert twice.count("# Changed: C") == 2
    assert "#    1. Run W9" in twice
    assert "#    1. Remove W9" in twice


@pytest.mark.parametrize("end", ["\r\n", "\n"])
def test_line_breaks_are_kept(applied: Applied, proofer: str, end: str) -> None:
    text = applied("steps:\n  - remove: {wire: W3}\n", proofer.replace("\n", end))
    assert text.count("\n") == text.count(end)


def test_a_file_without_a_last_line_break(applied: Applied) -> None:
    unit = "unit: {name: U}\nsupplies:\n  M: {kind: single-phase, volts: 24}\ndevices:\n"
    unit += "  LA: {type: lamp, volts: 24, watts: 5}\nwires:\n  - {id: W1, from: M.L, to: LA.1}\n"
    unit += "  - {id: W2, from: M.N, to: LA.2}"
    text = applied("steps:\n  - run: {id: W3, from: M.N, to: LA.2}\n", unit)
    assert "to: LA.2}\n  # brought by: C\n  - {id: W3, from: M.N, to: LA.2}\n\n# Changed" in text


def test_a_file_in_braces_is_laid_out_anew_and_that_is_said(applied: Applied) -> None:
    unit = (
        '{"unit": {"name": "U: one"}, "supplies": {"M": {"kind": "single-phase", "volts": 24}}, '
        '"devices": {"LA": {"type": "lamp", "volts": "24", "watts": 5}}, '
        '"wires": [{"id": "W1", "from": "M.L", "to": "LA.1"}, {"id": "W2", "from": "M.N", "to": "LA.2"}]}'
    )
    text = applied("steps:\n  - run: {id: W3, from: M.N, to: LA.2}\n", unit)
    assert text.startswith('unit: {name: "U: one"}\nsupplies: {M: {kind: single-phase, volts: 24}}\n')
    assert (
        "wires:\n  - {id: W1, from: M.L, to: LA.1}\n  - {id: W2, from: M.N, to: LA.2}\n  # brought by: C\n"
        in text
    )


def test_a_section_that_is_left_empty_still_reads(applied: Applied) -> None:
    unit = "unit: {name: U}\nsupplies:\n  M: {kind: single-phase, volts: 24}\n"
    unit += "devices:\n  LA: {type: lamp, volts: 24, watts: 5}\n"
    unit += "wires:   # all\n  - {id: W1, from: M.L, to: LA.1}\n"
    text = applied("steps:\n  - remove: {wire: W1}\n", unit)
    assert "wires: []   # all\n  # taken out by: C\n  # - {id: W1, from: M.L, to: LA.1}\n" in text


def test_text_of_the_user_cannot_break_out_of_a_comment(applied: Applied, proofer: str) -> None:
    change = 'steps:\n  - run: {id: W9, from: HTR.1, to: K1.T1, color: "a\\nwires: []\\u202e\\u2028"}\n'
    text = applied(change)
    parse(text, "new.yaml")
    assert "\u202e" not in text[text.rindex(RECORD) :]


def test_a_loose_end_is_refused_at_its_step(applied: Applied) -> None:
    with pytest.raises(BadInput) as bad:
        applied("steps:\n  - lift: {wire: W4, end: K1.T1}\n  - lift: {wire: C2.1, end: LA.1}\n")
    found = [(p.code, p.place.line) for p in bad.value.problems]
    assert found == [("not-in-a-unit-file", 3), ("not-in-a-unit-file", 4)]


def test_a_conductor_back_to_where_it_starts_is_refused(applied: Applied) -> None:
    with pytest.raises(BadInput) as bad:
        applied("steps:\n  - lift: {wire: W4, end: K1.T1}\n  - land: {wire: W4, on: HTR.1}\n")
    assert [p.code for p in bad.value.problems] == ["not-in-a-unit-file"]
    assert "both ends of W4 are on HTR.1" in bad.value.problems[0].message


HARD = [
    "K1", "a b", "a: b", "#x", "x #y", "- x", "[x", "x]", "{", "a,b", "'", '"', "\\", "\n", "\x07", "é",
    "\u2028", "\U0001f600", " x", "x ", "x\ty", "*a", "&a", "!t", "%", "@", "`", "?", "|", ">", "=", "~",
    "1:2", "x:", "...",
]  # fmt: skip


@pytest.mark.parametrize("text", HARD)
def test_a_scalar_reads_as_its_text_by_two_readers(text: str) -> None:
    written = f"a: {{{scalar(text)}: [{scalar(text)}, {scalar(text)}]}}\nb: {scalar(text)}\n"
    for read in (parse(written, "f"), yaml.load(written, Loader=yaml.BaseLoader)):  # noqa: S506 - text only
        assert read == {"a": {text: [text, text]}, "b": text}


def test_a_tree_on_one_line_reads_as_that_tree() -> None:
    tree = {"a": {"b c": ["1", "x: y"], "d": {}}, "e": "f"}
    assert parse(f"r: {flow(tree)}", "f")["r"] == tree


def test_edits_may_not_overlap() -> None:
    assert edited("abc", [Edit(1, 1, "x"), Edit(1, 1, "y"), Edit(2, 3, "")]) == "axyb"
    with pytest.raises(ValueError, match="overlap"):
        edited("abc", [Edit(0, 2, "x"), Edit(1, 3, "y")])


def test_one_line_has_no_break_and_steers_nothing() -> None:
    assert one_line("a\n b\x85c\u2028d\x1b[1m\u202e") == "a b c d�[1m�"
