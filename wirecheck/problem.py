"""What is wrong with a file, as values: where, what was found, what was expected."""

from __future__ import annotations

from difflib import SequenceMatcher, get_close_matches
from typing import TYPE_CHECKING, ClassVar

from msgspec import Struct

from wirecheck.aside import Aside

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

# Likeness of two names: twice the letters in common over the letters of both. Project rules, tried by hand:
NEAR = 0.6  # from here on a name may be what was meant
AS_NEAR = 0.1  # T1 and T2 are both offered for T3; for HPP it is HP, not p


class Place(Struct, frozen=True, order=True):
    """A stretch of one line of a file; line and column count from 1."""

    file: str
    line: int = 1
    column: int = 1
    width: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class Problem(Aside, frozen=True):
    """One fault of the input. `message` stands alone as the concise form.

    about: the names that it speaks of; where one of them is wrong itself, this is only an echo.
    """

    aside: ClassVar = frozenset({"about"})

    code: str
    message: str
    place: Place
    others: tuple[tuple[Place, str], ...] = ()
    hint: str = ""
    about: tuple[str, ...] = ()


class BadInput(Exception):
    """Carries every problem found in the files read so far; `texts`: what each file holds, for excerpts."""

    def __init__(self, problems: Iterable[Problem], texts: Mapping[str, str] | None = None) -> None:
        self.texts = dict(texts or {})
        self.problems = tuple(sorted(problems, key=lambda p: (p.place, p.code, p.message)))
        super().__init__("; ".join(f"{p.place}: {p.message}" for p in self.problems))


def near(name: str, names: Iterable[str], least: float = NEAR) -> tuple[str, ...]:
    """At most two of `names` that `name` was probably meant to be; the second only if it is about as near.

    least: how like it they must be, from 0 to 1.
    """
    # A letter before both keeps names of two letters (K1, A3) from being too short to resemble anything.
    by_fold = {f"_{n.casefold()}": n for n in names}
    written = f"_{name.casefold()}"
    found = get_close_matches(written, by_fold, n=2, cutoff=least)
    likeness = [SequenceMatcher(None, n, written).ratio() for n in found]
    return tuple(by_fold[n] for n, r in zip(found, likeness, strict=True) if r >= likeness[0] - AS_NEAR)


def meant(name: str, names: Iterable[str]) -> str:
    """The sentence that names what was probably meant, or nothing."""
    found = near(name, names)
    return f" Meant {' or '.join(found)}?" if found else ""


def render(problem: Problem, texts: Mapping[str, str] | None = None, width: int | None = None) -> str:
    """A problem as plain lines: the concise one, the excerpt with its marker, the other places, the hint.

    width: columns to which excerpts are cut, so that the marker stays under what it marks.
    """
    texts = texts or {}
    lines = [
        f"{problem.place}: {problem.code}: {problem.message}",
        *_excerpt(problem.place, texts, "", width),
    ]
    for place, words in problem.others:
        lines += [*_excerpt(place, texts, words, width)] or [f"  {place}: {words}"]
    return "\n".join([*lines, *([f"  {problem.hint}"] if problem.hint else [])])


def _excerpt(place: Place, texts: Mapping[str, str], words: str, width: int | None) -> list[str]:
    lines = texts.get(place.file, "").split("\n")
    if not 0 < place.line <= len(lines) or not lines[place.line - 1].strip():
        return []
    line = lines[place.line - 1].rstrip()
    marked = max(1, min(place.width, len(line) - place.column + 1))
    column, room = place.column, (width or 0) - 8 - (6 + len(words) if words else 0)
    if width is not None and len(line) > room:
        line, column, marked = _cut(line, column, marked, max(room, 20))
    if words:
        return [f"{place.line:5} | {line}      {words}"]
    return [f"{place.line:5} | {line}", f"      | {' ' * (column - 1)}{'^' * marked}"]


def _cut(line: str, column: int, marked: int, room: int) -> tuple[str, int, int]:
    """A stretch of `room` characters of a line around what is marked; its new column and width."""
    start = max(0, min(column - 1 - max(0, room - marked) // 2, len(line) - room))
    kept = line[start : start + room]
    kept = "…" + kept[1:] if start else kept
    kept = kept[:-1] + "…" if start + room < len(line) else kept
    return kept, column - start, min(marked, room - (column - 1 - start))
