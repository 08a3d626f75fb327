"""Which changes go with which units."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fleet.conftest import BRIDGED, GOOD, NOT_DONE, UNIT, put
from wirecheck import api
from wirecheck.problem import BadInput


def names(folder: Path, **options: str) -> list[tuple[str, str]]:
    found = api.sweep_of(str(folder), **options).jobs
    where = [(job.unit, job.change) for job in found]
    return [
        (u.relative_to(folder).as_posix(), c.relative_to(folder).as_posix() if c else "") for u, c in where
    ]


def test_a_change_is_for_the_unit_beside_it_or_above_it_and_a_unit_alone_stands_for_itself(
    fleet: Path,
) -> None:
    assert names(fleet) == [
        ("one/unit.yaml", "one/bridged.yaml"),
        ("one/unit.yaml", "one/good.yaml"),
        ("three/unit.yaml", ""),
        ("two/unit.yaml", "two/changes/wrong.yaml"),
    ]


def test_of_several_units_those_on_which_it_can_be_done(tmp_path: Path) -> None:
    """a has no W2; the change that can be done on none is told of the first."""
    other = UNIT.replace("W2", "W20")
    put(tmp_path, a=other, b=UNIT, c=UNIT, good=GOOD, bridged=BRIDGED, wrong=NOT_DONE)
    assert names(tmp_path) == [
        ("a.yaml", "bridged.yaml"), ("a.yaml", "wrong.yaml"),
        ("b.yaml", "bridged.yaml"), ("b.yaml", "good.yaml"),
        ("c.yaml", "bridged.yaml"), ("c.yaml", "good.yaml"),
    ]  # fmt: skip


def test_hidden_folders_the_results_and_other_files_are_left_out(fleet: Path) -> None:
    put(fleet, **{".old__unit": UNIT, "out__unit": UNIT, "one__notes": "a: b\n"})
    (fleet / "one" / "read.txt").write_text("unit: {name: x}\n", encoding="utf-8")
    assert len(names(fleet, out=str(fleet / "out"))) == 4


def test_a_file_that_cannot_be_read_is_still_what_it_seems_to_be(tmp_path: Path) -> None:
    put(tmp_path, unit=UNIT, change="change: {name: x\nsteps: [\n")
    assert names(tmp_path) == [("unit.yaml", "change.yaml")]


def test_a_change_without_any_unit_is_told_of(tmp_path: Path) -> None:
    put(tmp_path, change=GOOD)
    lines = [line for line, _ in api.swept(api.sweep_of(str(tmp_path)))]
    assert [(n["verdict"], n["problems"][0]["code"]) for n in lines] == [("bad input", "no-such-file")]


def test_a_list_of_pairs(fleet: Path) -> None:
    pairs = fleet.parent / "pairs.txt"
    put(fleet, **{"back room__unit": UNIT})
    pairs.write_text(
        '# mine\njobs/two/unit.yaml jobs/one/good.yaml   # there\n\n"jobs/back room/unit.yaml"\n',
        encoding="utf-8",
    )
    assert names(fleet, pairs=str(pairs)) == [("two/unit.yaml", "one/good.yaml"), ("back room/unit.yaml", "")]


@pytest.mark.parametrize(("text", "at"), [
    ("a.yaml b.yaml c.yaml\n", (1, "3 names")), ("a b\n'c d\n", (2, "quotation")),
    ("# none\n", (1, "names no pair")),
])  # fmt: skip
def test_a_list_that_is_wrong(tmp_path: Path, text: str, at: tuple[int, str]) -> None:
    pairs = tmp_path / "pairs.txt"
    pairs.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as bad:
        api.sweep_of(str(tmp_path), str(pairs))
    (problem,) = bad.value.problems
    assert (problem.code, problem.place.line) == ("pairs-form", at[0])
    assert at[1] in problem.message


def test_a_folder_that_is_not_there_or_has_nothing(tmp_path: Path) -> None:
    there = [(tmp_path, "nothing-to-sweep"), (tmp_path / "no", "no-such-folder")]
    for folder, code in [*there, (Path("a\0b"), "no-such-folder")]:
        with pytest.raises(BadInput) as bad:
            api.sweep_of(str(folder))
        assert [p.code for p in bad.value.problems] == [code]
