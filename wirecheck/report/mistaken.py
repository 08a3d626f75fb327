"""`mistakes` in the terminal and as JSON: the acceptance list, then every mistake, the worst first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wirecheck.questions.mistakes.judge import SEVERITIES
from wirecheck.report.caution import LIVE
from wirecheck.report.doing import do, expect, observe
from wirecheck.report.lines import CALLED, LAST, Line, head, para, said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.questions.mistakes.answer import Judged, Mistakes
    from wirecheck.questions.mistakes.judge import Severity
    from wirecheck.questions.mistakes.ordering import Step

DIFFERENCES = 3  # told of one mistake
HEADS: dict[Severity, str] = {
    "hurts someone": "Can hurt someone",
    "destroys something": "Destroys something",
    "protection lost": "Loses a protection",
    "does not do its job": "Does not do its job",
    "seen at once": "Seen at once: by setting what a hand sets",
    "not in this model": "This file does not say what it would do",
    "never seen": "Changes nothing",
}


SPARED = (
    "; harder ones, with a pressure where nothing brings it, a protection tripped before power or while a "
    "meter is used, or a fuse pulled with power on it, are among them only where no easier one shows a "
    "mistake"
)


def method(answer: Mistakes) -> str:
    """How short the list is, in words."""
    cover, tried = answer.acceptance.cover, answer.acceptance.tried
    but = SPARED if answer.acceptance.spared else ""
    if cover.exact:
        return f"exact: no fewer of the {tried} observations tried show as much{but}"
    times = f"{cover.at_most:.1f} times as many steps as the fewest of {tried} observations tried"
    return f"greedy: at most {times}{but}"


def page(answer: Mistakes, width: int) -> list[Line]:
    """The whole answer, folded to a width."""
    matter = [r for r in answer.rows if r.does.matters]
    shown = [r for r in matter if r.shown_by]
    steps = answer.acceptance.steps
    count = f"{len(shown)} of {len(matter)} mistakes that matter show in {len(steps)} observations"
    lines = [
        *para(f"{count} ({len(answer.rows)} mistakes looked at)", width, "", "head"),
        *para(f"{answer.changed.name}, on {answer.changed.before.name}", width, "  "),
        *head("What to do and observe"),
    ]
    for number in range(1, len(steps) + 1):
        lines += step(answer, number, width)
    lines += para(f"The list is {method(answer)}.", width)
    if any(s.observation.kind == "volts" for s in answer.acceptance.steps):
        lines += para(LIVE, width)
    lines += not_shown(answer, width)
    for severity in SEVERITIES:
        lines += group(answer, severity, width)
    return [*lines, Line(), *para(LAST, width)]


def step(answer: Mistakes, number: int, width: int) -> Iterator[Line]:
    """One step, and what it would show of each kind of mistake."""
    at = answer.acceptance.steps[number - 1]
    yield from para(do(answer, number), width, f"  {number:2}. ", "head", 5)
    yield from para(f"look at {observe(at)}: {expect(at)}", width, "      ")
    for text, rows in by_text(answer, at).items():
        names = rows[0].mistake.words + (f", and {len(rows) - 1} more" if len(rows) > 1 else "")
        yield from para(f"{text}: {names}", width, "      - ")


def by_text(answer: Mistakes, at: Step) -> dict[str, list[Judged]]:
    """What the step would show -> the mistakes that show so, the most first."""
    found: dict[str, list[Judged]] = {}
    for row in answer.rows:
        if row.alike is not None and row.alike in at.shows:
            found.setdefault(at.shows[row.alike], []).append(row)
    return dict(sorted(found.items(), key=lambda item: -len(item[1])))


def not_shown(answer: Mistakes, width: int) -> list[Line]:
    """The mistakes that matter and that no step shows."""
    unseen = "None of the observations tried shows these: look before you close the panel"
    lines = head(unseen) if answer.not_shown else []
    for row in answer.not_shown:
        lines += para(f"{row.mistake.words}: {what(row)}", width, "  - ", "fail", 3)
    return lines


def group(answer: Mistakes, severity: Severity, width: int) -> list[Line]:
    """The mistakes of one severity, each with what it does and the steps that show it."""
    rows = [r for r in answer.rows if r.does.severity == severity]
    lines = head(f"{HEADS[severity]} ({len(rows)})") if rows else []
    for row in rows:
        steps = f" [step {said([str(n) for n in row.shown_by])}]" if row.shown_by else ""
        does = f": {what(row)}{where(answer, row)}" if row.does.matters else ""
        passed = " (verify passes it)" if row.does.matters and row.verify.verdict == "pass" else ""
        lines += para(f"{row.mistake.words}{does}{steps}{passed}", width, "  - ")
    return lines


def what(row: Judged) -> str:
    """What a mistake does, in a few words."""
    loads = [f"{d.name} {d.wrong} where it should be {d.right}" for d in row.does.differs[:DIFFERENCES]]
    more = len(row.does.differs) - DIFFERENCES
    loads += [f"and {more} more"] if more > 0 else []
    return "; ".join((*row.does.says[:1], *loads)) or "nothing"


def where(answer: Mistakes, row: Judged) -> str:
    """In which state the first load differs: the switches away from ordinary operation, and those brought."""
    if not row.does.differs:
        return ""
    after = answer.changed.after
    stands = [
        f"{name} {word}"
        for name, word in row.does.differs[0].inputs.items()
        if name in after.inputs
        and (
            after.inputs[name].word(after.inputs[name].normal) != word
            or after.inputs[name].device in answer.changed.brought
        )
    ]
    return f" (with {said(stands)})" if stands else " (every switch as usual)"


def as_json(answer: Mistakes) -> dict[str, Any]:
    """Mistakes, the list, what it does not show, and how short it is proved to be."""
    return {
        "mistakes": [_mistake(answer, row) for row in answer.rows],
        "acceptance": [_step(answer, number) for number in range(1, len(answer.acceptance.steps) + 1)],
        "not_shown": [
            {"id": r.mistake.id, "words": r.mistake.words, "why": what(r)} for r in answer.not_shown
        ],
        "method": "exact" if answer.acceptance.cover.exact else "greedy",
        "says": method(answer),
    }


def _mistake(answer: Mistakes, row: Judged) -> dict[str, Any]:
    steps = {s.number: s.words for s in answer.changed.steps}
    differs = [
        {"load": d.name, "right": d.right, "wrong": d.wrong, "inputs": d.inputs} for d in row.does.differs
    ]
    return {
        "id": row.mistake.id,
        "kind": row.mistake.kind,
        "step": {"number": row.mistake.step, "says": steps[row.mistake.step]} if row.mistake.step else None,
        "words": row.mistake.words,
        "does": {"says": what(row), "found": list(row.does.says), "differs": differs},
        "severity": row.does.severity,
        "verify": {
            "verdict": row.verify.verdict,
            "by": [{"check": check, "subject": subject} for check, subject in row.verify.by],
            "says": CALLED[row.verify.verdict],
        },
        "shown_by": list(row.shown_by),
    }


def _step(answer: Mistakes, number: int) -> dict[str, Any]:
    at = answer.acceptance.steps[number - 1]
    shows = {row.mistake.id: text for text, rows in by_text(answer, at).items() for row in rows}
    return {
        "step": number,
        "do": do(answer, number),
        "observe": observe(at),
        "expect": expect(at),
        "shows": shows,
    }
