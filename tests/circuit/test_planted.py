"""Several mistakes in one file: each is told exactly once, where it is, and nothing else is told.

A law: whatever mistakes are planted in the files of an example, those and no others are reported.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from tests.circuit.planted import chosen, planted
from wirecheck.circuit.apply import load_change_pair
from wirecheck.problem import BadInput

EXAMPLES = Path(__file__).parents[2] / "examples"
CHANGES = sorted(EXAMPLES.glob("*/change*.yaml"))
SEEDS = range(3)


def name_of(path: Path) -> str:
    return f"{path.parent.name}-{path.stem}"


def told(folder: Path, files: dict[str, str]) -> list[tuple[str, int, int, str]]:
    """File, line, column from 0 and code of each problem."""
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    try:
        load_change_pair(folder / "unit.yaml", folder / "change.yaml")
    except BadInput as bad:
        return [(Path(p.place.file).name, p.place.line - 1, p.place.column - 1, p.code) for p in bad.problems]
    return []


def files_of(change: Path) -> dict[str, str]:
    unit = change.parent / "unit.yaml"
    return {"change.yaml": change.read_text(encoding="utf-8"), "unit.yaml": unit.read_text(encoding="utf-8")}


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("change", CHANGES, ids=name_of)
def test_those_and_no_others(change: Path, seed: int, tmp_path: Path) -> None:
    rng = Random(f"{name_of(change)} {seed}")  # noqa: S311 no secret hangs on it
    files = files_of(change)
    made = chosen(rng, files, rng.randint(1, 8))
    wanted = sorted((name, m.line, m.column, m.code) for name, m in made)
    assert told(tmp_path, planted(files, made)) == wanted
