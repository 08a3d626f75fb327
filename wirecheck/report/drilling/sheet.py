"""The drill on paper: questions with room for answers, the answers apart. HTML, Markdown or JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.draw import ladder as drawing
from wirecheck.draw.svg import svg
from wirecheck.questions.drill.fault import Hunt
from wirecheck.report import html
from wirecheck.report.drilling import words
from wirecheck.report.lines import LAST

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.draw.pieces import Sheet as Drawn
    from wirecheck.questions.drill.ground import Ground
    from wirecheck.questions.drill.kinds import Question
    from wirecheck.report.readings.rungs import Ladder

PICTURE = 76  # columns of the small picture beside an answer


class Item(Struct, frozen=True):
    """One question on paper and its answer."""

    number: int
    kind: str
    text: str
    way: tuple[str, ...]
    answers: tuple[str, ...]
    answer: str
    why: str
    drawn: tuple[str, ...]


def items(ground: Ground, ladder: Ladder, questions: Sequence[tuple[str, Question]]) -> list[Item]:
    """The questions in words; of a fault the tests are told, since paper shows no reading."""
    found = []
    for number, (kind, q) in enumerate(questions, 1):
        asked = words.question(ground, q)
        text = on_paper(ground, q) if isinstance(q, Hunt) else asked.text
        drawn = tuple(words.drawn(ground, ladder, q, PICTURE))
        why = words.why(ground, q)
        found.append(
            Item(
                number,
                words.CALLED[kind],
                text,
                asked.way,
                words.answers(q),
                words.right_words(q),
                why,
                drawn,
            )
        )
    return found


def on_paper(ground: Ground, q: Hunt) -> str:
    """A fault with the tests that show it."""
    first = words.hunted(ground, q).text.partition(" Measure:")[0]
    return f"{first} Then you test. {words.solution(ground, q).partition(': ')[2]} Which part is broken?"


def page(ground: Ground, found: Sequence[Item]) -> str:
    """A page to print: the diagram, the questions, and on a page of their own the answers."""
    circuit = ground.circuit
    picture = svg(alone(drawing.whole(circuit)))
    return html.template("drill.html").render(
        unit=circuit.name,
        about=circuit.about,
        seed=ground.seed,
        items=found,
        picture=picture,
        wires=tuple(circuit.conductors.values()),
        last=LAST,
    )


def alone(sheet: Drawn) -> Drawn:
    """The ladder without its table of conductors, which the page has as a table."""
    kept = tuple(panel for panel in sheet.panels if panel.name != "conductors")
    return replace(sheet, panels=kept, height=max(panel.y + panel.height for panel in kept))


def markdown(ground: Ground, found: Sequence[Item]) -> str:
    """The same as Markdown."""
    lines = [f"# {plain(ground.circuit.name)}: drill", "", f"Seed {plain(ground.seed)}.", ""]
    for item in found:
        lines += [f"## {item.number}. {plain(item.kind)}", "", plain(item.text), ""]
        lines += ["```", *map(fenced, item.way), "```", ""] if item.way else []
    lines += ["# Answers", ""]
    for item in found:
        lines += [f"{item.number}. **{plain(item.answer)}.** {plain(item.why)}", ""]
        lines += ["```", *map(fenced, item.drawn), "```", ""] if item.drawn else []
    return "\n".join((*lines, plain(LAST), ""))


def plain(text: str) -> str:
    """Text that Markdown leaves as it is: inert, every sign that could act escaped."""
    marks = {c: f"\\{c}" for c in "\\`*_{}[]#|!~"} | {"&": "&amp;", "<": "&lt;", ">": "&gt;"}
    return "".join(marks.get(c, c) for c in html.inert(text))


def fenced(text: str) -> str:
    """A line inside a fence, which it cannot end."""
    return html.inert(text).replace("```", "'''")


def as_json(ground: Ground, found: Sequence[Item]) -> dict[str, Any]:
    """The questions and answers for programs."""
    return {
        "unit": ground.circuit.name,
        "seed": ground.seed,
        "questions": [
            {
                "number": i.number,
                "kind": i.kind,
                "asks": i.text,
                "way": list(i.way),
                "answers": list(i.answers),
                "says": i.why,
            }
            for i in found
        ],
    }
