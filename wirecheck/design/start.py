"""What `new` asks before it writes a unit to begin with: questions, their answers, which of them fit.

They are data, `library/start/questions.yaml`; how it reads is told at its head.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from wirecheck.design.reader import parse

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

Answers = dict[str, tuple[str, ...]]  # question -> the answers chosen; several takes more than one, or none


class Answer(Struct, frozen=True):
    """One answer. needs: question -> its answers with one of which this one fits. fills: figures by name."""

    name: str
    says: str
    needs: Mapping[str, tuple[str, ...]]
    fills: Mapping[str, str]
    usual: bool = False


class Question(Struct, frozen=True):
    """One question, with its answers in the order in which they are offered."""

    name: str
    asks: str
    answers: tuple[Answer, ...]
    several: bool = False

    def fitting(self, chosen: Mapping[str, tuple[str, ...]]) -> tuple[Answer, ...]:
        """The answers that fit what was answered before."""
        return tuple(
            a for a in self.answers if all(set(chosen.get(q, ())) & {*fit} for q, fit in a.needs.items())
        )

    def usual(self, chosen: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
        """What is taken where nothing is answered."""
        fit = self.fitting(chosen)
        return tuple(a.name for a in fit if a.usual) if self.several else tuple(a.name for a in fit[:1])


@cache
def questions() -> tuple[Question, ...]:
    """The questions, in the order in which they are asked."""
    text = (files("wirecheck") / "library" / "start" / "questions.yaml").read_text(encoding="utf-8")
    return tuple(_question(name, row) for name, row in parse(text, "questions.yaml").items())


def _question(name: str, row: Mapping[str, Any]) -> Question:
    return Question(name, row["asks"], tuple(_answers(row["answers"])), row.get("several") == "true")


def _answers(rows: Mapping[str, Any]) -> Iterator[Answer]:
    for name, row in rows.items():
        needs = {question: tuple(fit) for question, fit in row.get("needs", {}).items()}
        usual = row.get("usual") == "true"
        yield Answer(name, row["says"], needs, dict(row.get("fills", {})), usual)


def filled(chosen: Mapping[str, tuple[str, ...]]) -> dict[str, str]:
    """The figures of all answers chosen."""
    found: dict[str, str] = {}
    for question in questions():
        for answer in question.answers:
            if answer.name in chosen.get(question.name, ()):
                found |= answer.fills
    return found


def told(chosen: Mapping[str, tuple[str, ...]]) -> list[str]:
    """Each answer in words, a line each."""
    lines = []
    for question in questions():
        names = chosen.get(question.name, ())
        says = [a.says for a in question.answers if a.name in names]
        if names or question.several:
            lines.append(
                f"{question.name}: {', '.join(names) or 'none'}" + f" ({'; '.join(says)})" * bool(says)
            )
    return lines


def combinations() -> Iterator[Answers]:
    """Every set of answers that fit together; of `several` every subset."""
    left: list[Answers] = [{}]
    for question in questions():
        left = [{**chosen, question.name: one} for chosen in left for one in _choices(question, chosen)]
    yield from left


def _choices(question: Question, chosen: Answers) -> Iterator[tuple[str, ...]]:
    names = [a.name for a in question.fitting(chosen)]
    if not question.several:
        yield from ((name,) for name in names) if names else ((),)
        return
    for bits in range(2 ** len(names)):
        yield tuple(name for k, name in enumerate(names) if bits >> k & 1)
