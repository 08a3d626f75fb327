"""What `apply` writes reads back as the unit as changed: by the engine, on both evaluators."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st

from tests.laws.strategies import ROUGH, Data, changes, text, units
from tests.specimens.expected import FOLDERS
from wirecheck import api
from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit
from wirecheck.circuit.graph import Changed
from wirecheck.engine.answers import TooMany
from wirecheck.problem import BadInput
from wirecheck.questions.states import states
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit

PAIRS = sorted(
    (unit, change)
    for base in FOLDERS
    for unit in base.glob("*/unit.yaml")
    for change in unit.parent.glob("change*.yaml")
)
ASKED = [p for k, p in enumerate(PAIRS) if k == 0 or PAIRS[k - 1][0] != p[0] or k % 6 == 0]
NOT_DONE = {  # what a drawn change cannot do, or may not
    "given-hides-trip", "impossible-hides-trip", "terminal-full", "no-such-end", "unknown-terminal",
    "unknown-wire",
}  # fmt: skip
LEFT_LOOSE = {"loose-ends/change-not-capped.yaml"}


def named(pair: tuple[Path, Path]) -> str:
    return f"{pair[1].parent.name}/{pair[1].name}"


def read_back(unit: Path, change: Path, folder: Path) -> tuple[Circuit, Circuit]:
    """The unit as changed, and what is read of the file that `apply` writes."""
    out = folder / "as-built.yaml"
    out.write_text(api.apply(str(unit), str(change), str(out), "2031-05-01").text, encoding="utf-8")
    return load_change_pair(unit, change).after, load_circuit(out)


def rows(circuit: Circuit, plain: bool) -> object:
    """Every reachable state, in words; or that there are too many to list."""
    try:
        found = states(circuit, plain=plain)
    except TooMany as many:
        return many.count
    words = [(r.inputs, r.loads, r.relays, r.power_up, bool(r.short)) for r in found.rows]
    return sorted(found.inputs), sorted(map(str, (tuple(map(_in_order, row)) for row in words)))


def _in_order(words: object) -> object:
    return sorted(words.items()) if isinstance(words, dict) else words


def against(before: Circuit, after: Circuit) -> set[str]:
    """The checks that find the one other than the other; a sentence may be false in both."""
    found = verify(Changed("the same", before, after), noted=False).findings
    return {f.check for f in found if f.verdict in ("fail", "unknown") and f.check != "expects"}


@pytest.mark.parametrize("pair", [p for p in PAIRS if named(p) not in LEFT_LOOSE], ids=named)
def test_every_change_of_every_unit(pair: tuple[Path, Path], tmp_path: Path) -> None:
    changed, read = read_back(*pair, tmp_path)
    assert set(read.conductors) == set(changed.conductors)
    assert read.loads == changed.loads


@pytest.mark.parametrize("pair", [p for p in ASKED if named(p) not in LEFT_LOOSE], ids=named)
def test_the_engine_finds_no_difference(pair: tuple[Path, Path], tmp_path: Path) -> None:
    changed, read = read_back(*pair, tmp_path)
    assert rows(read, plain=False) == rows(changed, plain=False)
    assert against(changed, read) - {"states"} == set()


@pytest.mark.parametrize("pair", PAIRS[::9], ids=named)
def test_the_plain_evaluator_says_so_too(pair: tuple[Path, Path], tmp_path: Path) -> None:
    changed, read = read_back(*pair, tmp_path)
    assert rows(read, plain=True) == rows(changed, plain=True)


@pytest.mark.parametrize("pair", [p for p in PAIRS if named(p) in LEFT_LOOSE], ids=named)
def test_a_loose_end_is_not_written(pair: tuple[Path, Path], tmp_path: Path) -> None:
    with pytest.raises(BadInput) as bad:
        read_back(*pair, tmp_path)
    assert [p.code for p in bad.value.problems] == ["not-in-a-unit-file"]


@st.composite
def rungs_too(draw: st.DrawFn) -> Data:
    """A drawn unit of which some devices stand in rungs: two conductors that meet in a two-pole thing."""
    unit = draw(units())
    wires, used, rungs = unit["wires"], set(), []
    for first in wires:
        tag, _, terminal = first["to"].partition(".")
        other = next((w for w in wires if w["from"] == f"{tag}.2" and terminal == "1"), None)
        if other is None or {first["id"], other["id"]} & used or not draw(st.booleans()):
            continue
        used |= {first["id"], other["id"]}
        rungs.append({"id": f"C{len(rungs)}", "path": [first["from"], tag, other["to"]]})
    return {**unit, "wires": [w for w in wires if w["id"] not in used], "rungs": rungs}


@st.composite
def cases(draw: st.DrawFn) -> tuple[Data, Data]:
    unit = draw(rungs_too())
    if not unit["wires"]:
        reject()
    change = draw(changes(unit, ROUGH))
    for rung in unit["rungs"]:
        if draw(st.booleans()):
            tag = f"V{rung['id']}"
            change["devices"][tag] = {"type": "switch", "leads": draw(st.booleans())}
            at = rung["path"][0]
            change["steps"].append({"in-series": {"device": tag, "in": f"{rung['id']}.1", "at": at}})
    return unit, change


@settings(
    max_examples=30, derandomize=True, deadline=None, database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)  # fmt: skip
@given(cases())
def test_drawn_changes_of_drawn_units(case: tuple[Data, Data]) -> None:
    with tempfile.TemporaryDirectory() as name:
        files = Path(name) / "unit.yaml", Path(name) / "change.yaml"
        for file, data in zip(files, case, strict=True):
            file.write_text(text(data), encoding="utf-8")
        try:
            changed, read = read_back(*files, Path(name))
        except BadInput as bad:
            if {p.code for p in bad.problems} <= NOT_DONE:
                reject()
            assert {p.code for p in bad.problems} == {"not-in-a-unit-file"}
            return
        assert rows(read, plain=False) == rows(changed, plain=False)
