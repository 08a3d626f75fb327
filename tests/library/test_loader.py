"""The library's folders read, ours and the user's own, and the command that lists them."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest

from wirecheck import api
from wirecheck.design.library import kind, kinds, modifications, our_folder
from wirecheck.problem import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.cli.conftest import Result

    Here = Callable[..., Result]

UNIT = "unit: {name: Cooler, about: An own kind}\n"
OURS = "split-one-pole"


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A folder with a kind that has one change and its wrong way."""
    changes = tmp_path / "bakery-cooler" / "changes"
    changes.mkdir(parents=True)
    (changes.parent / "unit.yaml").write_text(UNIT, encoding="utf-8")
    (changes / "float.yaml").write_text("change: {name: Float, reason: a wet floor}\n", encoding="utf-8")
    wrong = "# Wrong: the float went into C\nchange: {name: Float}\n"
    (changes / "float.wrong-1.yaml").write_text(wrong, encoding="utf-8")
    return tmp_path


def test_ours_are_found_by_name() -> None:
    found = kind(OURS)
    assert found in kinds()
    assert found.path == our_folder() / OURS / "unit.yaml"
    assert found.ours
    assert "fan-cycling-pressure" in {m.name for m in modifications(found)}


def test_an_own_folder_stands_beside_ours(own: Path) -> None:
    names = [k.name for k in kinds(own)]
    assert names == sorted([*(k.name for k in kinds()), "bakery-cooler"])
    found = kind("bakery-cooler", own)
    assert (found.title, found.about, found.ours) == ("Cooler", "An own kind", False)
    (change,) = modifications(found)
    assert (change.name, change.title, change.reason) == ("float", "Float", "a wet floor")
    assert [way.done for way in change.wrong] == ["the float went into C"]


def test_an_own_kind_of_the_same_name_stands_in_place_of_ours(own: Path) -> None:
    shutil.move(own / "bakery-cooler", own / OURS)
    assert not kind(OURS, own).ours
    assert [k.ours for k in kinds(own) if k.name == OURS] == [False]


def test_files_that_cannot_be_read_are_told_all_at_once(own: Path) -> None:
    second = own / "second"
    second.mkdir()
    for folder in (own / "bakery-cooler", second):
        (folder / "unit.yaml").write_text("unit: [\n", encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        kinds(own)
    assert [p.code for p in caught.value.problems] == ["not-yaml", "not-yaml"]


@pytest.mark.parametrize("text", ["unit: plain\n", "change: {name: x}\n", "unit: {name: [a]}\n"])
def test_a_file_without_a_name_is_listed_by_its_folder(own: Path, text: str) -> None:
    (own / "bakery-cooler" / "unit.yaml").write_text(text, encoding="utf-8")
    assert kind("bakery-cooler", own).title == ""


def test_no_such_kind() -> None:
    with pytest.raises(KeyError):
        kind("split-onepole")
    with pytest.raises(BadInput, match=r"no kind of unit is called split-onepole\. Meant split-one-pole\?"):
        api.unit_kind("split-onepole")


@pytest.mark.parametrize(("folder", "said"), [("nowhere", "no such folder"), (".", "no kind of unit is in")])
def test_a_folder_that_is_no_library(tmp_path: Path, folder: str, said: str) -> None:
    with pytest.raises(BadInput, match=said) as caught:
        api.unit_kinds(str(tmp_path / folder))
    assert caught.value.problems[0].code == "not-a-library"


def test_command_lists(here: Here) -> None:
    done = here("library")
    assert (done.code, done.err) == (0, "")
    assert all(k.name in done.out for k in kinds())
    assert max(map(len, done.out.splitlines())) <= 80


def test_command_shows_a_kind(here: Here, own: Path) -> None:
    done = here("library", "bakery-cooler", "--library", own)
    assert done.code == 0
    assert str(own / "bakery-cooler" / "changes" / "float.yaml") in done.out.splitlines()[6]
    assert "    - the float went into C (float.wrong-1.yaml)" in done.out


def test_command_refuses(here: Here, tmp_path: Path) -> None:
    done = here("library", "--library", tmp_path / "nowhere")
    assert (done.code, done.out) == (2, "")
    assert done.err.startswith("--library:1:1: not-a-library: there is no such folder")
    done = here("library", "boilers")
    assert done.err.startswith("KIND:1:1: unknown-kind: no kind of unit is called boilers. Meant boiler?")
