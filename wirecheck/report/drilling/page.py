"""The drill in the terminal: one question, its correction, and how the sitting went."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.questions.drill.fault import Hunt
from wirecheck.report.drilling import words
from wirecheck.report.drilling.wanted import wanted
from wirecheck.report.lines import Line, head, para, said
from wirecheck.report.readings import picture

if TYPE_CHECKING:
    from wirecheck.questions.drill.ground import Ground
    from wirecheck.questions.drill.kinds import Question
    from wirecheck.questions.drill.notebook import Notebook
    from wirecheck.report.readings.rungs import Ladder

KEYS = "`lines` shows the ladder, `skip` the answer, `stop` ends"


def opening(ground: Ground, width: int) -> list[Line]:
    """What this is, before the first question."""
    return [*para(ground.circuit.name, width, "", "head"), *para(f"Type your answer; {KEYS}.", width)]


def asked(ground: Ground, key: str, q: Question, number: int, width: int) -> list[Line]:
    """One question."""
    kind = words.CALLED[key.rpartition("-")[0]]
    found = words.question(ground, q)
    lines = [Line(), *para(f"{number}. {kind[0].upper()}{kind[1:]}", width, "", "head")]
    lines += para(found.text, width)
    return [*lines, *(line for row in found.way for line in para(row, width, "    "))]


def how(ground: Ground, q: Question, width: int) -> list[Line]:
    """What may be typed, where nothing was."""
    return para(f"Type {wanted(ground.circuit, q)}; {KEYS}.", width)


def corrected(
    ground: Ground, ladder: Ladder, q: Question, text: str, right: bool, width: int, more: str = ""
) -> list[Line]:
    """Right or wrong, the reason, and where it went wrong a small picture. more: what is said besides."""
    if right:
        lines = para(f"Right. {more}{words.why(ground, q, text)}", width, "", "pass", 6)
    else:
        answer = words.right_words(q)
        lines = para(f"No: {answer}. {more}{words.why(ground, q, text)}", width, "", "fail", 3)
        lines += [Line(f"  {row}") for row in words.drawn(ground, ladder, q, width - 2)]
    return lines


def measured(q: Question, count: int) -> str:
    """How many measurements a fault took, beside how many do."""
    if not isinstance(q, Hunt) or not count:
        return ""
    return f"You took {count}. "


def ladder_lines(ladder: Ladder, width: int) -> list[Line]:
    """Every line of the ladder as text."""
    lines = para(picture.KEY, width)
    for line in ladder.lines:
        lines += [Line(line.called, "head")]
        lines += [Line(row) for row in picture.text(ladder, line, width)]
    return lines


def closing(asked_for: int, right: int, notebook: Notebook, width: int) -> list[Line]:
    """How it went, and what comes back."""
    if not asked_for:
        return []
    wrong = [k for k, c in notebook.cards.items() if c.wrong and not c.known and c.wait <= 2]
    lines = head(f"{right} of {asked_for} right")
    if wrong:
        kinds = dict.fromkeys(words.CALLED[k.rpartition("-")[0]] for k in wrong)
        lines += para(f"Comes back soon: {said(kinds)}.", width)
    return lines
