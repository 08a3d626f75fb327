"""Unknown is an answer: a figure that is not given makes `verify` undecided where it decides, and only there.

Every case of `missing/*.yaml` is one change of one unit with a figure left open, written <> in it.

    figure   what is left open, by what it belongs to: coil.va; of two that go together both
    given    the figure as written -> the verdict with it
    missing  the verdict without it. unknown: a finding names `field`; pass and `noted`: a note does
    with     words of the unit -> what stands in their place, where several cases share it
    why      the reasoning, by hand
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import yaml

from tests.specimens.figures import figures
from wirecheck.circuit.apply import load_change_pair
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from wirecheck.questions.verify import Verified

HERE = Path(__file__).parent / "missing"
KEYS = {"name", "figure", "why", "unit", "with", "change", "given", "missing", "field", "noted"}
# Figures that cannot be missing: without them the file is refused.
NEEDED = {"transformer.volts", "supply.volts"}
# Figures that are taken as said where they are missing, by the contract or by the type.
TAKEN = {"supply.hertz", "motor.taps", "transformer.reversed"}
# Read by an ohmmeter alone: no verdict rests on it; tests/field/test_meter.py leaves it out.
METERED = {"coil.dc_ohms"}
# Volts lost along a conductor are worked out only where its length is given.
SILENT = {"wire.length"}


@dataclass(frozen=True, slots=True)
class Case:
    """A change of a unit with a figure left open."""

    file: str
    one: dict[str, Any]

    def __str__(self) -> str:
        return f"{self.file}: {self.one['name']}"


def cases() -> list[Case]:
    """Every case of every file; no scalar is typed. A `unit` that is a name is one of the file's `units`."""
    found = []
    for file in sorted(HERE.glob("*.yaml")):
        tree = yaml.load(file.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506 - text only
        units = tree.get("units", {})
        found += [Case(file.stem, {**one, "unit": _unit(one, units)}) for one in tree["cases"]]
    return found


def _unit(one: dict[str, Any], units: dict[str, str]) -> str:
    """The unit's text, with the words of `with` in it."""
    text = units.get(one["unit"], one["unit"])
    for word, value in one.get("with", {}).items():
        assert word in text, (one["name"], word)
        text = text.replace(word, value)
    return text


CASES = cases()


def answer(case: Case, figure: str, folder: Path) -> Verified:
    """What `verify` says with this figure in the open place; "" leaves it out."""
    for name in ("unit", "change"):
        text = case.one[name].replace("<>", f", {figure}" if figure else "")
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return verify(load_change_pair(folder / "unit.yaml", folder / "change.yaml"))


def told(found: Verified) -> str:
    return "\n".join(f"{f.verdict} {f.check} {f.subject}: {f.says} {f.fields}" for f in found.findings)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_with_the_figure(case: Case, tmp_path: Path) -> None:
    for figure, verdict in case.one["given"].items():
        found = answer(case, figure, tmp_path)
        assert found.verdict == verdict, f"{figure}\n{case.one['why']}\n{told(found)}"


@pytest.mark.parametrize("case", CASES, ids=str)
def test_without_it(case: Case, tmp_path: Path) -> None:
    one, found = case.one, answer(case, "", tmp_path)
    assert found.verdict == one["missing"], f"{one['why']}\n{told(found)}"
    undecided = {n for f in found.findings if f.verdict == "unknown" for n in f.fields}
    noted = {n for f in found.findings if f.verdict == "note" for n in f.fields}
    if one["missing"] == "unknown":
        assert one["field"] in undecided, told(found)
        assert one["field"] in "".join(f.says for f in found.findings if f.verdict == "unknown")
    else:
        assert not undecided
    if "noted" in one:
        assert one["noted"] in noted, told(found)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_form(case: Case) -> None:
    assert set(case.one) <= KEYS
    assert (case.one["missing"] == "unknown") == ("field" in case.one)
    assert "<>" in case.one["unit"] + case.one["change"]
    verdicts = set(case.one["given"].values())
    assert len(verdicts) == (2 if decides(case) and len(case.one["given"]) > 1 else 1)


def decides(case: Case) -> bool:
    """Would the figure decide the verdict?"""
    return "field" in case.one or "noted" in case.one or len(set(case.one["given"].values())) > 1


def test_every_figure_is_looked_at() -> None:
    """Each is missing once where it decides, and once where it does not."""
    deciding = {f for c in CASES if decides(c) for f in c.one["figure"].split()}
    quiet = {f for c in CASES if not decides(c) for f in c.one["figure"].split()}
    assert deciding == quiet == figures() - NEEDED - TAKEN - METERED


def test_what_is_missing_is_named() -> None:
    unnamed = [c for c in CASES if decides(c) and "field" not in c.one and "noted" not in c.one]
    assert {c.one["figure"] for c in unnamed} == SILENT
