"""What is wrong with a file, as values: where, what was found, what was expected."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A stretch of one line of a file; line and column count from 1."""

    file: str
    line: int = 1
    column: int = 1
    width: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault of the input. `message` stands alone as the concise form."""

    code: str
    message: str
    place: Place
    others: tuple[tuple[Place, str], ...] = ()
    hint: str = ""


class BadInput(Exception):
    """Carries every problem found in the files read so far; `texts`: what each file holds, for excerpts."""

    def __init__(self, problems: Iterable[Problem], texts: Mapping[str, str] | None = None) -> None:
        self.texts = dict(texts or {})
        self.problems = tuple(sorted(problems, key=lambda p: (p.place, p.code, p.message)))
        super().__init__("; ".join(f"{p.place}: {p.message}" for p in self.problems))


def near(name: str, names: Iterable[str]) -> tuple[str, ...]:
    """At most two of `names` that `name` was probably meant to be."""
    # A letter before both keeps names of two letters (K1, A3) from being too short to resemble anything.
    by_fold = {f"_{n.casefold()}": n for n in names}
    return tuple(by_fold[n] for n in get_close_matches(f"_{name.casefold()}", by_fold, n=2, cutoff=0.6))


def meant(name: str, names: Iterable[str]) -> str:
    """The sentence that names what was probably meant, or nothing."""
    found = near(name, names)
    return f" Meant {' or '.join(found)}?" if found else ""


def render(problem: Problem, texts: Mapping[str, str] | None = None) -> str:
    """A problem as plain lines: the concise one, the excerpt with its marker, the other places, the hint."""
    texts = texts or {}
    lines = [f"{problem.place}: {problem.code}: {problem.message}", *_excerpt(problem.place, texts)]
    for place, words in problem.others:
        lines += [*_excerpt(place, texts, words)] or [f"  {place}: {words}"]
    return "\n".join([*lines, *([f"  {problem.hint}"] if problem.hint else [])])


def _excerpt(place: Place, texts: Mapping[str, str], words: str = "") -> list[str]:
    lines = texts.get(place.file, "").split("\n")
    if not 0 < place.line <= len(lines) or not lines[place.line - 1].strip():
        return []
    line = lines[place.line - 1].rstrip()
    if words:
        return [f"{place.line:5} | {line}      {words}"]
    marks = "^" * max(1, min(place.width, len(line) - place.column + 1))
    return [f"{place.line:5} | {line}", f"      | {' ' * (place.column - 1)}{marks}"]
