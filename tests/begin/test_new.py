"""`new`: every combination of answers makes a unit that reads, does what it should, and verifies clean."""

from __future__ import annotations

import inspect
import io
from itertools import product
from typing import TYPE_CHECKING

import pytest

from wirecheck import api, cli
from wirecheck.circuit.build import wired_unit
from wirecheck.circuit.graph import Changed
from wirecheck.cli import output, starting
from wirecheck.design.load import draft_text
from wirecheck.design.start import combinations, questions
from wirecheck.questions.states import states
from wirecheck.questions.verify import verify
from wirecheck.report.starting import begun

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.circuit.graph import Circuit
    from wirecheck.design.start import Answers

ALL = list(combinations())
OPENS = {"high-pressure": "HP", "low-pressure": "LP", "discharge": "DT", "drain-pan": "FS", "overload": "OL"}
LOADS = {
    "psc": "psc-motor", "shaded-pole": "motor-1ph", "three-phase": "motor-3ph", "none": "",
}  # fmt: skip


def built(chosen: Answers) -> Circuit:
    return wired_unit(draft_text(begun(chosen, "Roof: 3"), "new.yaml"))[2]


def named(chosen: Answers) -> str:
    return "-".join("+".join(names) or "none" for names in chosen.values())


def test_there_are_all_combinations() -> None:
    """By hand: three single-phase supplies with 2 poles, 2 compressors and 4 fans with capacitors (dual,
    separate, shaded, none) and 16 sets of safeties; two three-phase ones with 4 fans and 32 sets."""
    assert len(ALL) == 3 * 2 * 2 * 4 * 16 + 2 * 4 * 32
    assert len({named(chosen) for chosen in ALL}) == len(ALL)


def test_every_combination_reads_and_has_what_was_answered() -> None:
    for chosen in ALL:
        circuit = built(chosen)
        kinds = {tag: device.type for tag, device in circuit.devices.items()}
        assert circuit.name == "Roof: 3"
        assert circuit.loose == circuit.capped == circuit.splices == frozenset(), named(chosen)
        assert kinds.get("FAN", "") == LOADS[chosen["fan"][0]]
        assert (
            kinds["K1"]
            == {"one": "contactor-1p", "two": "contactor-2p", "three": "contactor-3p"}[chosen["poles"][0]]
        )
        assert {s for s, tag in OPENS.items() if tag in kinds} == set(chosen["safety"])
        assert ("CAP" in kinds) == (chosen["capacitor"] == ("dual",))
        assert ("SR" in kinds) == (chosen["compressor"] == ("start-kit",))
        wired = {end for wire in circuit.conductors.values() for end in (wire.a, wire.b)}
        spare = {"K1", "TH", "GND", "OL"}  # terminals that nothing needs: a pole, G and W, the bar's last
        assert {t for d in circuit.devices.values() if d.tag not in spare for t in d.terminals} <= wired


@pytest.mark.parametrize(
    "chosen", [c for c in ALL if len(c["safety"]) in (0, 5) or c["safety"] == tuple(OPENS)[:4]], ids=named
)
def test_it_runs_exactly_where_such_a_unit_runs(chosen: Answers) -> None:
    """Disconnect in, fuse whole, a call for cooling, no safety open: common practice, no source."""
    circuit = built(chosen)
    stops = [OPENS[s] for s in chosen["safety"]]
    seen = set()
    for row in states(circuit).rows:
        at = row.inputs
        runs = at["DS"] == at["F1"] == at["TH.cool"] == "closed" and all(at[s] == "closed" for s in stops)
        assert set(row.loads.values()) == {"runs" if runs else "off"}, (named(chosen), row)
        assert row.relays == {"K1": "in" if runs else "out"}
        assert not row.short
        seen.add(tuple(at[name] for name in ("DS", "F1", "TH.cool", *stops)))
    assert len(seen) == 2 ** (3 + len(stops))
    answer = verify(Changed("nothing", circuit, circuit), noted=False)
    assert answer.verdict == "pass"


def test_the_options_are_the_questions() -> None:
    taken = inspect.signature(starting.new).parameters
    assert {q.name for q in questions()} <= set(taken)
    helps = {name: p.annotation for name, p in taken.items()}
    for question in questions():
        for answer in question.answers:
            assert answer.name in helps[question.name] or question.name == "supply"


def test_from_options(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "roof.yaml"
    args = ["--supply", "three-208", "--fan", "psc", "--safety", "overload, drain-pan", "--name", "CU-9"]
    assert cli.run(["new", "condensing-unit", "-o", str(out), *args]) == 0
    told = capfd.readouterr().out
    assert "poles: three (not asked: the usual)" in told
    assert "capacitor" not in told
    assert "safety: overload, drain-pan\n" in told
    assert api.unit_of(str(out)).name == "CU-9"
    assert "OL.95-96" in out.read_text(encoding="utf-8")


def test_no_safety_at_all() -> None:
    text, chosen = api.begin({"safety": ("none",)}, "x")
    assert chosen["safety"] == ()
    assert "HP" not in text


def test_asked_on_a_terminal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Numbers, names, the return key alone, and an answer that is none."""
    said = ["2", "two", "", "7", "psc", "separate", "1, drain-pan"]
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(line + "\n" for line in said)))
    monkeypatch.setattr(output, "is_terminal", lambda: True)
    out = tmp_path / "u.yaml"
    assert cli.run(["new", "condensing-unit", "-o", str(out)]) == 0
    told = capfd.readouterr().out
    assert "That is none of them; say psc, shaded-pole or none." in told
    assert "three-phase: a three-phase motor" not in told
    text = out.read_text(encoding="utf-8")
    assert "two-legs-of-wye, volts: 208" in text
    assert {"CC", "CF", "HP", "FS"} <= set(api.unit_of(str(out)).devices)
    assert "LP" not in api.unit_of(str(out)).devices


def test_what_has_one_answer_or_none_is_not_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("none\nnone\n"))
    monkeypatch.setattr(output, "is_terminal", lambda: True)
    out = tmp_path / "u.yaml"
    assert cli.run(["new", "condensing-unit", "-o", str(out), "--supply", "three-480"]) == 0
    told = capfd.readouterr().out
    assert [line.partition(":")[0] for line in told.splitlines() if line.endswith("?")] == [
        "What turns the condenser fan?",
        "Which safeties stop the contactor?",
    ]
    assert set(api.unit_of(str(out)).loads) == {"COMP"}


def test_the_end_of_input_writes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("1\n"))
    monkeypatch.setattr(output, "is_terminal", lambda: True)
    assert cli.run(["new", "condensing-unit", "-o", str(tmp_path / "u.yaml")]) == cli.INTERRUPTED
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("args", "codes"), [
    (["--supply", "three-280"], ["unknown-answer"]),
    (["--supply", "three-280", "--poles", "three"], ["unknown-answer"]),
    (["--poles", "three"], ["answer-does-not-fit"]),
    (["--safety", "overload"], ["answer-does-not-fit"]),
    (["--poles", "one,two"], ["answer-does-not-fit"]),
    (["--fan", "none", "--capacitor", "dual", "--safety", "hp"], ["answer-does-not-fit", "unknown-answer"]),
])  # fmt: skip
def test_answers_that_are_wrong(
    args: list[str], codes: list[str], tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["new", "condensing-unit", "-o", str(tmp_path / "u.yaml"), *args]) == cli.BAD_INPUT
    err = capfd.readouterr().err
    assert [line.split(": ")[1] for line in err.splitlines() if line.startswith("--")] == codes
    assert list(tmp_path.iterdir()) == []


def test_a_kind_of_the_library_is_written_as_it_stands(tmp_path: Path) -> None:
    out = tmp_path / "b.yaml"
    kind = api.unit_kinds()[0]
    assert cli.run(["new", kind.name, "-o", str(out)]) == 0
    assert out.read_text(encoding="utf-8") == kind.path.read_text(encoding="utf-8")


@pytest.mark.parametrize(("args", "says"), [
    (["boiler"], "say which file to write"),
    (["boiler", "-o", "OUT", "--fan", "psc"], "only condensing-unit takes answers"),
    (["boiler", "-o", "THERE"], "is there already"),
    (["boilr", "-o", "OUT"], "Meant boiler?"),
])  # fmt: skip
def test_what_is_refused(
    args: list[str], says: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    there = tmp_path / "there.yaml"
    there.write_text("mine", encoding="utf-8")
    names = {"OUT": str(tmp_path / "out.yaml"), "THERE": str(there)}
    assert cli.run(["new", *(names.get(a, a) for a in args)]) == cli.BAD_INPUT
    assert says in " ".join(capfd.readouterr().err.split())
    assert there.read_text(encoding="utf-8") == "mine"
    assert len(list(tmp_path.iterdir())) == 1


def test_every_kind_is_listed(capfd: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["new"]) == 0
    told = capfd.readouterr().out
    assert all(f"  {kind.name} " in told for kind in api.unit_kinds())
    assert "  condensing-unit " in told


def test_answers_need_only_what_is_asked_before() -> None:
    before: list[str] = []
    for question in questions():
        known = {q.name: {a.name for a in q.answers} for q in questions()}
        for answer, (other, fit) in product(
            question.answers, [(o, f) for a in question.answers for o, f in a.needs.items()]
        ):
            assert other in before
            assert {*fit} <= known[other]
            assert answer.says
        before.append(question.name)
