"""Every code has its page, and the examples on the pages are what they say."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

import wirecheck
from wirecheck.design.explain import codes, explain
from wirecheck.problem import BadInput

Problems = Callable[..., list[tuple[str, int, int, str]]]

ROOM = Path(wirecheck.__file__).parent
CODE = re.compile(
    r"""\b(?:Problem|fault|QuantityError|_stop|_note|note|refuse)\(\s*"([a-z][a-z0-9-]+)"|code="([a-z-]+)\""""
)
INVALID = Path(__file__).parent.parent / "specimens" / "invalid"
NOT_IN_A_SPECIMEN = {
    "no-such-file", "is-directory", "cannot-read", "file-too-large", "too-many-problems", "pairs-form",
}  # fmt: skip
"""Codes of files that no specimen can be; test_reader, test_load and fleet/test_pairs make them."""


def used(room: str) -> set[str]:
    """The codes that a room's source names; of the whole house for "."."""
    paths = [ROOM / room] if room.endswith(".py") else [*(ROOM / room).rglob("*.py")]
    texts = [path.read_text(encoding="utf-8") for path in paths]
    return {a or b for text in texts for a, b in CODE.findall(text)}


OURS = sorted(used("design") | used("quantity.py"))
SHARED = ("unknown-position", "unknown-terminal")  # their pages show what the circuit's builder finds


def test_every_code_has_a_page() -> None:
    assert used(".") - set(codes()) == set()


def test_every_code_has_a_right_example() -> None:
    """A small one: of a file where the code is about what stands in one, else of a command."""
    right = re.compile(r"^Right:\n\n```(yaml|console|sh)\n", re.MULTILINE)
    assert {c for c in used(".") if not right.search(explain(c))} == set()


def test_every_code_of_reading_has_a_specimen() -> None:
    texts = "".join(p.read_text(encoding="utf-8") for p in INVALID.glob("*.txt"))
    shown = set(re.findall(r"^[^:]+:\d+:\d+: ([a-z0-9-]+):", texts, re.MULTILINE))
    assert set(OURS) - shown - NOT_IN_A_SPECIMEN == set()


@pytest.mark.parametrize("code", codes())
def test_page_is_headed_by_its_code(code: str) -> None:
    assert explain(code).startswith(f"# {code}\n\n")


def test_no_page_of_an_unknown_code() -> None:
    with pytest.raises(KeyError):
        explain("no-such-code")


def examples(code: str, word: str) -> list[str]:
    return re.findall(rf"{word}:\n\n```yaml\n(.*?)```", explain(code), re.DOTALL)


def file_of(fragment: str) -> tuple[str, str | None]:
    """A fragment made a whole file: a unit, or a unit and a change where it has steps."""
    unit = "" if re.search(r"^unit:|^-|^%", fragment, re.MULTILINE) else "unit: {name: Proofer}\n"
    if re.search(r"^steps:|the unit has", fragment, re.MULTILINE):
        return (
            "unit: {name: Proofer}\nconditions:\n  head: {unit: psig}\n",
            f"change: {{name: x}}\n{fragment}",
        )
    return unit + fragment, None


SHOWN = [c for c in OURS if re.search(r"^(Wrong|Right):\n\n```yaml", explain(c), re.MULTILINE)]


@pytest.mark.parametrize("code", [c for c in SHOWN if c not in SHARED])
def test_examples_are_what_they_say(code: str, problems: Problems) -> None:
    for wrong in examples(code, "Wrong"):
        assert code in {c for c, *_ in problems(*file_of(wrong))}
    for right in examples(code, "Right"):
        assert problems(*file_of(right)) == []


WORDS = (
    "affects", "drops", "given", "impossible", "normal", "races", "removes_isolation", "removes_protection",
    "retires",
)  # fmt: skip
"""The words of the two files that have a page, beside the checks (`expects`)."""


@pytest.mark.parametrize("word", WORDS)
def test_examples_of_words_read(word: str, read: Callable[..., object]) -> None:
    shown = [*examples(word, "Example"), *examples(word, "Right")]
    assert shown
    for text in shown:
        assert f"{word}:" in text
        in_change = text.startswith("change:")
        read(f"unit: {{name: U}}\n{'' if in_change else text}", text if in_change else None)


def test_affects_shows_a_wrong_one(read: Callable[..., object]) -> None:
    (wrong,) = examples("affects", "Wrong")
    with pytest.raises(BadInput):
        read("unit: {name: U}\n", wrong)
