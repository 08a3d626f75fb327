"""What `apply` and `new` write, and what they say of it in the terminal."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from wirecheck.design.edits import scalar
from wirecheck.design.start import filled, questions, told
from wirecheck.report.lines import Line, columns, fold, head, items, para, said

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from jinja2 import Template

    from wirecheck.circuit.graph import Changed
    from wirecheck.design.library import UnitKind
    from wirecheck.design.start import Question

FROM_ANSWERS = "condensing-unit"
AND_NOW = "Put in the figures from the nameplate, then see what it does: wirecheck states {}"

NOT_VERIFIED = "It says how the unit is wired now, not that it is right: `wirecheck verify` tells that."


def applied(out: str, changed: Changed, remarks: tuple[str, ...], width: int) -> list[Line]:
    """What stands in the file, what is otherwise in it than one might expect, and what it does not say."""
    count = len(changed.steps)
    done = f"{count} step{'' if count == 1 else 's'}"
    return [
        *para(f"{out}: {changed.before.name}, as changed by: {changed.name}", width),
        *para(f"{done} carried out and noted at its end; read back, it is the unit as changed.", width, "  "),
        *([*head("To know"), *items(remarks, width)] if remarks else []),
        *para(NOT_VERIFIED, width, "  "),
    ]


def begun(chosen: Mapping[str, tuple[str, ...]], name: str) -> str:
    """The text of a unit file from answers that fit together. name: of the unit."""
    one = {question: answers[0] if answers else "" for question, answers in chosen.items()}
    values = {"a": {**one, "safety": [*chosen["safety"]]}, "f": filled(chosen), "name": scalar(name)}
    lines = [line for text in told(chosen) for line in fold(text, 100)]
    return _template().render(**values, told=lines)


@cache
def _template() -> Template:
    """A YAML file, not a page: what goes in is our own data, and the name as YAML."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(  # noqa: S701
        loader=FileSystemLoader(str(files("wirecheck") / "library" / "start")),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return environment.get_template("condensing-unit.yaml.jinja")


def kinds(found: Iterable[UnitKind], width: int) -> list[Line]:
    """What a unit can be begun from."""
    rows = [(FROM_ANSWERS, f"from a few answers: {', '.join(q.name for q in questions())}")]
    rows += [(k.name, (k.about or k.title) + ("" if k.ours else " (your own)")) for k in found]
    wide = max(len(name) for name, _ in rows)
    return [
        *para("Kinds of units to begin with:", width, "", "head"),
        *(Line(f"  {t}") for t in columns(rows, (wide, width - wide - 4))),
        Line(),
        *para(
            "`wirecheck new KIND -o FILE` writes one: yours to make like the panel in front of you.", width
        ),
    ]


def question(asked: Question, chosen: Mapping[str, tuple[str, ...]], width: int) -> list[Line]:
    """A question with its answers, numbered."""
    usual = asked.usual(chosen)
    lines = head(asked.asks)
    for k, answer in enumerate(asked.fitting(chosen), 1):
        mark = " (usual)" if answer.name in usual else ""
        lines += para(f"{answer.name}: {answer.says}{mark}", width, f"  {k}  ")
    several = "Numbers or names with commas, `none` for none" if asked.several else "A number or a name"
    return [*lines, *para(f"{several}; the return key alone takes the usual.", width)]


def no_such(fit: Iterable[str], width: int) -> list[Line]:
    """What to answer instead."""
    return para(f"That is none of them; say {said(fit, 'or')}.", width)


def written(out: str, chosen: Mapping[str, tuple[str, ...]], taken: Iterable[str], width: int) -> list[Line]:
    """What was begun, from which answers, and what to do with it."""
    lines = para(f"{out}: a condensing unit to begin with.", width)
    several = [q.name for q in questions() if q.several]
    for name, answers in chosen.items():
        if not answers and name not in several:
            continue  # it was no question here
        mark = " (not asked: the usual)" if name in taken else ""
        lines += para(f"{name}: {', '.join(answers) or 'none'}{mark}", width, "  ")
    return [*lines, *para(AND_NOW.format(out), width)]


def copied(kind: str, out: str, width: int) -> list[Line]:
    """What was copied, and what to do with it."""
    return [
        *para(f"{out}: {kind}, as it stands in the library.", width),
        *para(
            f"Make it like the panel in front of you, then see what it does: wirecheck states {out}", width
        ),
    ]
