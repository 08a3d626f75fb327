"""Bad input: each specimen says in its first lines what must be found, and nothing else may be.

A line is `# LINE:COLUMN code: beginning of the message`; every code has a page.
"""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest

from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit
from wirecheck.problem import BadInput

DATA = Path(__file__).parent / "data"
UNITS = sorted((DATA / "unit-problems").glob("*.yaml"))
CHANGES = sorted((DATA / "change-problems").glob("*.yaml"))
AT_ONCE = sorted((DATA / "at-once").iterdir())


def expected(path: Path) -> list[tuple[str, str, str]]:
    lines = path.read_text(encoding="utf-8").splitlines()
    found = [re.fullmatch(r"# (\d+:\d+) ([a-z-]+): (.+)", line) for line in lines]
    return [(m[1], m[2], m[3]) for m in found if m]


def check(bad: BadInput, path: Path) -> None:
    wanted = expected(path)
    found = [(f"{p.place.line}:{p.place.column}", p.code, p.message) for p in bad.problems]
    assert wanted
    assert [f[:2] for f in found] == [w[:2] for w in wanted]
    for (*_, message), (*_, beginning) in zip(found, wanted, strict=True):
        assert message.startswith(beginning)
    assert {p.place.file for p in bad.problems} == {str(path)}


@pytest.mark.parametrize("path", UNITS, ids=lambda p: p.stem)
def test_unit(path: Path) -> None:
    with pytest.raises(BadInput) as bad:
        load_circuit(path)
    check(bad.value, path)


@pytest.mark.parametrize("path", CHANGES, ids=lambda p: p.stem)
def test_change(path: Path, tmp_path: Path) -> None:
    unit = DATA / "unit.yaml"
    if path.stem == "given-twice":
        unit = tmp_path / "unit.yaml"
        text = (DATA / "unit.yaml").read_text(encoding="utf-8")
        unit.write_text(text + "given: {DS: open}\n", encoding="utf-8")
    with pytest.raises(BadInput) as bad:
        load_change_pair(unit, path)
    check(bad.value, path)


@pytest.mark.parametrize("folder", AT_ONCE, ids=lambda p: p.name)
def test_every_mistake_of_every_kind_at_once_and_nothing_else(folder: Path) -> None:
    """A unit, or a change on the unit of this folder or its own: several mistakes in each file."""
    unit, change = folder / "unit.yaml", folder / "change.yaml"
    with pytest.raises(BadInput) as bad:
        if change.exists():
            load_change_pair(unit if unit.exists() else DATA / "unit.yaml", change)
        else:
            load_circuit(unit)
    wanted = [(p.name, *one) for p in (change, unit) if p.exists() for one in expected(p)]
    problems = bad.value.problems
    found = [(Path(p.place.file).name, f"{p.place.line}:{p.place.column}", p.code) for p in problems]
    assert len(wanted) >= 3
    assert found == [one[:3] for one in wanted]
    for problem, (*_, beginning) in zip(problems, wanted, strict=True):
        assert problem.message.startswith(beginning)


def codes() -> set[str]:
    """Every code that this room gives to a problem."""
    sources = [
        p.read_text(encoding="utf-8")
        for p in sorted(Path(load_circuit.__code__.co_filename).parent.glob("*.py"))
    ]
    pattern = r"(?:Problem|refuse|_wrong|\.problem)\(\s*\"([a-z][a-z-]+)\""
    return {code for source in sources for code in re.findall(pattern, source)}


def test_every_code_has_a_page() -> None:
    pages = files("wirecheck") / "library" / "explain"
    assert len(codes()) > 25
    missing = [code for code in sorted(codes()) if not (pages / f"{code}.md").is_file()]
    assert missing == []


def test_problems_of_the_unit_and_of_the_change_come_at_once(tmp_path: Path) -> None:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    text = (
        (DATA / "unit.yaml")
        .read_text(encoding="utf-8")
        .replace("never COMP runs and HP open", "never CMP runs")
    )
    unit.write_text(text, encoding="utf-8")
    change.write_text("change: {name: C}\nsteps:\n  - lift: {wire: W77, end: K1.T2}\n", encoding="utf-8")
    with pytest.raises(BadInput) as bad:
        load_change_pair(unit, change)
    assert [p.code for p in bad.value.problems] == ["unknown-wire", "unknown-name"]
    assert set(bad.value.texts) == {str(unit), str(change)}


def test_files_in_exchanged_order_are_told_by_their_heads(tmp_path: Path) -> None:
    change, unit = tmp_path / "change.yaml", tmp_path / "unit.yaml"
    change.write_text("change: {name: C}\nexpects: [never FAN runs]\n", encoding="utf-8")
    unit.write_text((DATA / "unit.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(BadInput) as bad:
        load_change_pair(change, unit)
    assert [(Path(p.place.file).name, p.code, p.message, p.hint) for p in bad.value.problems] == [
        (name, "other-file", f"this is a {is_} file, where a {other} file was expected.",
         "The unit comes first, then the change: UNIT CHANGE.")
        for name, is_, other in (("change.yaml", "change", "unit"), ("unit.yaml", "unit", "change"))
    ]  # fmt: skip


def test_a_change_is_read_beside_a_unit_that_is_not_there(tmp_path: Path) -> None:
    change = tmp_path / "change.yaml"
    change.write_text(
        "change: {name: C, affects: [FAN]}\ndevices: {PS: {type: switch, sens: x}, PT: {type: switch}}\n"
        "steps:\n  - lift: {wire: W7, end: K1.T2}\n  - run: {id: W20, from: PT.7, to: K1.T2}\n"
        "expects: [FAN runs only if PS closed]\n",
        encoding="utf-8",
    )
    with pytest.raises(BadInput) as bad:
        load_change_pair(tmp_path / "unit.yaml", change)
    found = [(p.code, p.place.line) for p in bad.value.problems]
    assert found == [("unknown-key", 2), ("unknown-terminal", 5), ("sentence", 6), ("no-such-file", 1)]
