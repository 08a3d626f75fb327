"""Bad input: exit 2, each problem on a line FILE:LINE:COL: code: message, no traceback, nothing else."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.cli.conftest import wirecheck

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.cli.conftest import Result

Here = "Callable[..., Result]"
DATA = Path(__file__).parent / "data"
LINE = re.compile(r"^(.+?):(\d+):(\d+): ([a-z0-9-]+): (.+)$")


def problems(done: Result) -> list[tuple[int, int, str, str]]:
    """Line, column, code, message of each problem; checks what is so of any bad input."""
    assert done.code == 2
    assert done.out == ""
    assert "Traceback" not in done.err
    found = [LINE.match(line) for line in done.err.splitlines()]
    told = [(int(m[2]), int(m[3]), m[4], m[5]) for m in found if m]
    assert told
    assert LINE.match(done.err.splitlines()[0])
    return told


FILES: dict[str, tuple[bytes, str, int, int]] = {
    "empty": (b"", "empty-file", 1, 1),
    "blank": (b"\n\n", "empty-file", 1, 1),
    "binary": (b"unit: {name: x}\n\0\1\2", "binary-file", 2, 1),
    "latin": ("unit: {name: é}".encode("latin-1"), "not-utf-8", 1, 14),
    "tab": (b"unit:\n\tname: x\n", "tab", 2, 1),
    "twice": (b"unit: {name: x}\nunit: {name: y}\n", "duplicate-key", 2, 1),
    "alias": (b"unit: {name: *a}\n", "alias", 1, 14),
    "anchor": (b"unit: {name: &a x}\n", "anchor", 1, 14),
    "tag": (b"unit: {name: !!str x}\n", "tag", 1, 14),
    "deep": (b"unit: " + b"[" * 60 + b"]" * 60, "too-deep", 1, 22),
    "long": (b"#" * 3_000_000, "file-too-large", 1, 1),
    "list": (b"- 1\n", "not-a-mapping", 1, 1),
    "escape": (b'unit: {name: "a\\e[31mb", frob: "\\e[31m"}\n', "unknown-key", 1, 26),
}


@pytest.mark.parametrize("name", FILES)
def test_files(name: str, tmp_path: Path) -> None:
    data, code, line, column = FILES[name]
    path = tmp_path / "unit.yaml"
    path.write_bytes(data)
    done = wirecheck("states", path, "--json", "-")
    assert (line, column, code) in [p[:3] for p in problems(done)]
    assert done.err.isascii() or name in ("deep", "tab")
    assert "\x1b" not in done.err


def test_absent_and_directory(tmp_path: Path, here: Here) -> None:
    (tmp_path / "unit.yaml").write_text("unit: {name: x}")
    ((_, _, code, message),) = problems(here("states", tmp_path / "unti.yaml"))
    assert code == "no-such-file"
    assert "Meant unit.yaml?" in message
    assert problems(here("states", tmp_path))[0][2] == "is-directory"
    assert problems(here("verify", tmp_path / "unit.yaml", tmp_path / "none"))[0][2] == "no-such-file"


EDITS = {
    "unknown key": ("about: a small", "abuot: a small", "unknown-key", "Meant about?"),
    "wrong type": ("rla: 14.1", "rla: [1, 2]", "wrong-kind", "a list"),
    "wrong unit": ("needs: 45 uF", "needs: 45 psig", "wrong-unit", "psig"),
    "unknown unit": ("needs: 45 uF", "needs: 45 furlongs", "unknown-unit", "furlongs"),
    "not a number": ("lra: 73", "lra: lots", "not-a-number", "lots"),
    "terminal": ("to: COMP.C", "to: COMP.Q", "unknown-terminal", "COMP has no terminal Q"),
    "device": ("to: COMP.C", "to: CMOP.C", "unknown-device", "Meant COMP"),
    "supply": ("from: MAINS.L1", "from: MIANS.L1", "unknown-device", "Meant MAINS"),
    "pole": ("from: MAINS.L1", "from: MAINS.L7", "unknown-terminal", "L7"),
    "type": ("type: contactor-1p", "type: contactor-1q", "unknown-type", "Meant contactor-1p"),
    "quantity": (
        "senses: liquid_pressure",
        "senses: liquid_presure",
        "unknown-condition",
        "Meant liquid_pressure?",
    ),
    "no position": ("opens_above: 610 psig", "opens_above: 400 psig", "no-position-left", "400 psig"),
    "sentence": ("runs only when COMP", "runs only if COMP", "sentence", "Meant only when?"),
    "name in a sentence": ("when COMP runs", "when CMOP runs", "unknown-name", "Meant COMP?"),
    "wire twice": ("id: W14", "id: W13", "conductor-id-twice", "W13"),
    "terminal full": ("T1: 3", "T1: 1", "terminal-full", "one conductor"),
}


@pytest.mark.parametrize("name", EDITS)
def test_units(name: str, edited: Callable[[str, str], Path], here: Here) -> None:
    old, new, code, words = EDITS[name]
    found = problems(here("states", edited(old, new)))
    assert [p[2] for p in found] == [code]
    assert words in found[0][3]


STEPS = {
    "no such end": ("end: K1.T2", "end: K1.T1", "no-such-end", "it ends on K1.T2 and FAN.common"),
    "unknown wire": ("wire: W7", "wire: W77", "unknown-wire", "Meant W7?"),
    "ambiguous": ("wire: W7", "wire: {at: K1.T2, color: yellow}", "ambiguous-wire", "10 AWG"),
    "terminal": ("to: PS.1", "to: PS.7", "unknown-terminal", "PS"),
    "no loose end": ("join: [W7]", "join: [W9]", "no-loose-end", "W9"),
    "affects": ("affects: [FAN]", "affects: [FNA]", "unknown-name", "FNA"),
}


@pytest.mark.parametrize("name", STEPS)
def test_changes(name: str, tmp_path: Path, here: Here) -> None:
    old, new, code, words = STEPS[name]
    text = (DATA / "change.yaml").read_text(encoding="utf-8")
    assert text.count(old) >= 1
    change = tmp_path / "change.yaml"
    change.write_text(text.replace(old, new, 1), encoding="utf-8")
    first = problems(here("verify", DATA / "unit.yaml", change, "--json", "-"))[0]
    assert first[2] == code
    assert words in first[3]


def test_problems_of_both_files_at_once_and_in_order(
    edited: Callable[[str, str], Path], tmp_path: Path, here: Here
) -> None:
    edited("rla: 14.1", "rla: x")
    unit = edited("gauge: 10 AWG}\n  - {id: W2", "gauge: blue}\n  - {id: W2")
    change = tmp_path / "zchange.yaml"
    change.write_text((DATA / "change.yaml").read_text(encoding="utf-8").replace("reason", "x") + "frob: 1\n")
    found = problems(here("verify", unit, change))
    assert [p[2] for p in found] == ["not-a-number", "not-a-gauge", "unknown-key"]


def test_excerpt_is_cut_so_that_the_caret_fits(edited: Callable[[str, str], Path], here: Here) -> None:
    done = here("states", edited("needs: 45 uF", "needs: 45 psig"))
    _, excerpt, caret, *_ = done.err.splitlines()
    assert max(len(excerpt), len(caret)) <= 80
    start = caret.index("^")
    assert excerpt[start : start + caret.count("^")] == "45 psig"


ASKED = {
    "load": (["lift", "FNA"], "LOAD:1:1: unknown-load: no load is called FNA. Meant FAN?"),
    "terminal": (["meter", "K1.T9", "K1.A1"], "A:1:1: unknown-terminal: K1.T9"),
    "both terminals": (["meter", "K1.T1", "K1"], "B:1:1: terminal-missing: K1"),
    "name": (["states", "--when", "DSS closed"], "--when:1:1: unknown-name: "),
    "word": (["states", "--when", "DS closd"], "--when:1:4: sentence: "),
    "second": (["states", "--when", "DS closed, HP opn"], "--when:1:15: sentence: "),
    "unfit": (["states", "--when", "DS runs"], "--when:1:1: word-does-not-fit: "),
    "load held": (["states", "--when", "FAN off"], "--when:1:1: not-held: FAN cannot be held"),
    "both ways": (["states", "--when", "HP open, HP closed"], "--when:1:10: not-held: HP is held in both"),
    "not so together": (
        ["meter", "K1.T1", "K1.T2", "--when", "HP open, liquid_pressure below 300 psig"],
        "--when:1:10: cannot-be-together: HP open and liquid_pressure below 300 psig cannot be so together: ",
    ),
    "ohms of a relay": (["meter", "K1.T1", "K1.T2", "--ohms", "--when", "K1 in"], "--when:1:1: not-held: K1"),
}


@pytest.mark.parametrize("name", ASKED)
def test_what_is_asked(name: str, here: Here) -> None:
    (command, *rest), start = ASKED[name]
    done = here(command, DATA / "unit.yaml", *rest)
    assert problems(done)
    assert done.err.startswith(start)


def test_two_pressures_that_exclude_each_other(here: Here) -> None:
    done = here(
        "states",
        DATA / "unit.yaml",
        DATA / "change.yaml",
        "--when",
        "DS closed, PS open, HP open",
        "--json",
        "-",
    )
    assert problems(done)[0][2] == "cannot-be-together"
    assert "PS open and HP open cannot be so together" in done.err or "HP open and PS open" in done.err


def test_given_and_impossible_hold_against_when(edited: Callable[[str, str], Path], here: Here) -> None:
    unit = edited(
        "expects:", 'given: {DS: closed}\nimpossible: ["TH.cool closed and TH.heat closed"]\nexpects:'
    )
    done = here("states", unit, "--when", "DS open")
    assert "DS open and DS closed cannot be so together: `given` holds it closed" in done.err
    done = here("states", unit, "--when", "TH.heat closed, TH.cool closed")
    assert "cannot be so together: `given` and `impossible` of the files leave no such state" in done.err


def test_normal_that_clashes_with_what_is_held_is_named(
    edited: Callable[[str, str], Path], here: Here
) -> None:
    edited("{type: thermostat}", "{type: thermostat, normal: {cool: closed}}")
    unit = edited("expects:", 'impossible: ["TH.cool closed and TH.heat closed"]\nexpects:')
    done = here("meter", unit, "K1.T1", "K1.T2", "--when", "TH.heat closed")
    assert problems(done)[0][2] == "cannot-be-together"
    assert "say in --when where TH.cool stands" in done.err
    assert here("meter", unit, "K1.T1", "K1.T2", "--when", "TH.heat closed, TH.cool open").code == 0


SWITCH = """\
unit: {name: a switch and a lamp}
supplies: {M: {kind: single-phase, volts: 24}}
conditions: {head: {unit: psig}}
devices:
  S: {type: switch}
  P: {type: pressure-switch, senses: head, opens_above: 400 psig, closes_below: 300 psig}
  A: {type: lamp, volts: 24, watts: 10}
rungs:
  - {id: R, path: [M.L, S, P, A, M.N]}
"""


def test_the_mark_of_an_empty_value_is_where_it_should_stand(
    edited: Callable[[str, str], Path], here: Here
) -> None:
    done = here("states", edited("{type: thermostat}", "{type: , stacks: 2}"))
    assert problems(done)[0][2] == "empty-value"
    line, mark = done.err.splitlines()[1:3]
    assert mark.strip("| ") == "^"
    assert line[: mark.index("^")].endswith("type: ")


HIDES = {
    "impossible": ('impossible: ["HP open"]', "impossible-hides-trip", 1),
    "a range": ('impossible: ["liquid_pressure above 500 psig"]', "impossible-hides-trip", 1),
    "together": ('given: {DS: closed}\nimpossible: ["HP open and DS closed"]', "given-hides-trip", 1),
    "itself": ("given: {HP: closed}", "given-hides-trip", 1),
}


@pytest.mark.parametrize("name", HIDES)
def test_a_protection_keeps_its_tripped_side(
    name: str, edited: Callable[[str, str], Path], here: Here
) -> None:
    lines, code, count = HIDES[name]
    found = problems(here("states", edited("expects:", f"{lines}\nexpects:")))
    assert [p[2] for p in found] == [code] * count
    assert "HP is a protection" in found[0][3]


@pytest.mark.parametrize("text", ["S open or S closed", "head below 350 psig or head above 100 psig"])
def test_what_is_impossible_leaves_some_state(text: str, tmp_path: Path, here: Here) -> None:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    lines = SWITCH
    unit.write_text(f"{lines}impossible: [{text}]\n", encoding="utf-8")
    for command in (("states", unit), ("lift", unit, "A"), ("meter", unit, "A.1", "A.2")):
        ((line, column, code, _),) = problems(here(*command))
        assert (line, column, code) == (lines.count("\n") + 1, 14, "no-state-left")
    unit.write_text(lines, encoding="utf-8")
    change.write_text(f"change: {{name: C}}\nimpossible: [{text}]\n", encoding="utf-8")
    ((line, column, code, _),) = problems(here("verify", unit, change))
    assert (line, column, code) == (2, 14, "no-state-left")


def test_what_is_impossible_leaves_some_state_to_both_units(tmp_path: Path, here: Here) -> None:
    """`S rest` is open before and closed after: then no lever shows one word that both may have."""
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(f"{SWITCH}impossible: [S rest]\n", encoding="utf-8")
    change.write_text(
        "change: {name: C}\n"
        "devices: {S: {type: switch, rests: closed}}\n"
        "steps: [{replace: {device: S, with: S}}]\n",
        encoding="utf-8",
    )
    ((_, _, code, message),) = problems(here("verify", unit, change))
    assert code == "no-state-left"
    assert "both units" in message


def test_a_change_may_not_hide_it_either(tmp_path: Path, here: Here) -> None:
    change = tmp_path / "change.yaml"
    text = (DATA / "change.yaml").read_text(encoding="utf-8")
    change.write_text(f'{text}impossible:\n  - "PS closed and HP open"\n', encoding="utf-8")
    ((line, column, code, _),) = problems(here("verify", DATA / "unit.yaml", change))
    assert (line, column, code) == (text.count("\n") + 2, 5, "impossible-hides-trip")


def test_what_hides_nothing_is_taken(edited: Callable[[str, str], Path], here: Here) -> None:
    unit = edited("expects:", 'impossible: ["TH.cool closed and TH.heat closed"]\nexpects:')
    assert here("states", unit, "--json", "-").code == 0
