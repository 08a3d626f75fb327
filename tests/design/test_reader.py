"""Text to tree: what YAML would type stays text, places are right, what is refused is refused."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
import yaml

from wirecheck.design import reader
from wirecheck.design.reader import parse, read_tree
from wirecheck.design.tree import key_place_of, place_of
from wirecheck.problem import BadInput, render

if TYPE_CHECKING:
    from pathlib import Path


def codes(error: BadInput) -> list[str]:
    return [p.code for p in error.problems]


def test_every_scalar_is_text() -> None:
    words = ["on", "off", "yes", "no", "Y", "N", "true", "null", "~", "01", "0o14", "1e3", "1:30", ".inf"]
    tree = parse("a: [" + ", ".join(words) + "]\n'b': \"240\"\nN: Y\n", "u.yaml")
    assert tree == {"a": words, "b": "240", "N": "Y"}


def test_places() -> None:
    text = "unit: {name: 'Ofen \N{DEGREE SIGN} \N{FIRE}', about: x}\nexpects:\n  - a\n  - b c\n"
    tree = parse(text, "u.yaml")
    assert str(place_of(tree, ("unit", "about"))) == "u.yaml:1:33"
    assert str(key_place_of(tree, ("unit", "about"))) == "u.yaml:1:26"
    place = place_of(tree, ("expects", 1))
    assert (place.line, place.column, place.width) == (4, 5, 3)
    assert place_of(tree, ("expects", 7)) == place_of(tree, ("expects",))


def test_both_parsers_give_the_same_places(monkeypatch: pytest.MonkeyPatch) -> None:
    text = "a: {b: [1, 'x y'], c: \N{DEGREE SIGN}}\nd:\n- e: |\n    long\n    text\n- f\n"
    fast = parse(text, "u.yaml")
    monkeypatch.setattr(reader, "LOADER", yaml.SafeLoader)
    plain = parse(text, "u.yaml")
    assert fast == plain
    for path in [("a",), ("a", "b"), ("a", "b", 1), ("a", "c"), ("d", 0, "e"), ("d", 1)]:
        fast_place, plain_place = place_of(fast, path), place_of(plain, path)
        assert (fast_place.line, fast_place.column) == (plain_place.line, plain_place.column)


def test_windows_line_ends_and_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "u.yaml"
    path.write_bytes(b"\xef\xbb\xbfunit:\r\n  name: Proofer\r\n")
    tree, problems = read_tree(path)
    assert not problems
    assert tree == {"unit": {"name": "Proofer"}}
    assert place_of(tree, ("unit", "name")).line == 2


def test_yaml_directive_is_taken_and_tag_directive_not() -> None:
    assert parse("%YAML 1.2\n---\na: no\n", "u") == {"a": "no"}
    with pytest.raises(BadInput) as error:
        parse("%TAG ! tag:example.org,2000:\n---\na: b\n", "u")
    assert codes(error.value) == ["tag"]


@pytest.mark.parametrize("name", ["absent.yaml", "un\0it.yaml"])
def test_absent(tmp_path: Path, name: str) -> None:
    with pytest.raises(BadInput) as error:
        read_tree(tmp_path / name)
    assert codes(error.value) == ["no-such-file"]


def test_near_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "proofer.yaml").write_text("unit: {name: x}\n")
    with pytest.raises(BadInput, match=r"Meant proofer\.yaml"):
        read_tree(tmp_path / "profer.yaml")


def test_directory(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as error:
        read_tree(tmp_path)
    assert codes(error.value) == ["is-directory"]


def test_three_megabytes(tmp_path: Path) -> None:
    path = tmp_path / "u.yaml"
    path.write_bytes(b"# more\n" * 430_000)
    with pytest.raises(BadInput) as error:
        read_tree(path)
    assert codes(error.value) == ["file-too-large"]


def test_cannot_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "u.yaml"
    path.write_text("unit: {name: x}\n")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.open", refuse)
    with pytest.raises(BadInput, match="Permission denied") as error:
        read_tree(path)
    assert codes(error.value) == ["cannot-read"]


def test_depth_ends_at_once() -> None:
    with pytest.raises(BadInput) as error:
        parse("a: " + "[" * 100_000, "u")
    assert codes(error.value) == ["too-deep"]


def test_all_refusals_of_a_file_at_once() -> None:
    with pytest.raises(BadInput) as error:
        parse("a: !!str x\nb: &one y\nc: *one\na: z\n", "u")
    assert codes(error.value) == ["tag", "anchor", "alias", "duplicate-key"]


def test_tab_in_a_comment_is_no_fault() -> None:
    assert parse("a: b #\tsee\n#\tnote\n", "u") == {"a": "b"}


def test_excerpt_marks_the_place_and_the_other_one() -> None:
    with pytest.raises(BadInput) as error:
        parse("a: 1\na: 2\n", "u")
    assert render(error.value.problems[0], error.value.texts) == (
        "u:2:1: duplicate-key: `a` stands twice in one mapping.\n"
        "    2 | a: 2\n"
        "      | ^\n"
        "    1 | a: 1      first here"
    )
