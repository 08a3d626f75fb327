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
