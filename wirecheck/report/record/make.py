"""A record made of what `verify` answered, sealed, as text."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from wirecheck.questions import meaning
from wirecheck.report import as_json
from wirecheck.report.record import tool
from wirecheck.report.record.models import FORM, Record
from wirecheck.report.record.scope import not_checked
from wirecheck.report.verdict import why

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date

    from wirecheck.checks.finding import Finding
    from wirecheck.circuit.graph import Changed
    from wirecheck.questions.verify import Verified


class People(Struct, frozen=True):
    """Who, as typed in, and when."""

    date: date
    made_by: str = ""
    reviewed_by: str = ""


class Seen(Struct, frozen=True):
    """A file as it was read. way: how the record calls it. means: its meaning as a tree."""

    way: str
    name: str
    data: bytes
    means: meaning.Tree

    def told(self) -> dict[str, Any]:
        """As the record tells it."""
        return {
            "file": self.way,
            "name": self.name,
            "bytes": meaning.digest(self.data),
            "meaning": meaning.digest(meaning.canonical(self.means)),
            "parts": meaning.parts(self.means),
        }


def text(
    changed: Changed, answer: Verified, unit: Seen, change: Seen, people: People, checks: Iterable[str]
) -> str:
    """The text of the record. checks: the names of all that this version makes."""
    made = tuple(checks)
    content = {
        "record": FORM,
        "tool": {"name": tool.NAME, "version": tool.version(), "code": tool.code()},
        "people": {
            "made_by": people.made_by,
            "reviewed_by": people.reviewed_by,
            "date": people.date.isoformat(),
        },
        "unit": unit.told(),
        "change": change.told(),
        "changed": {"meaning": meaning.digest(meaning.canonical(meaning.unit(changed.after)))},
        "meaning_form": meaning.FORM,
        "verdict": answer.verdict,
        "says": why(answer),
        "states": answer.states,
        "steps": [step.words for step in changed.steps],
        "effect": {n: {"before": e.before or None, "after": e.after} for n, e in answer.effect.items()},
        "checks": [_check(finding) for finding in answer.findings],
        "checks_made": list(made),
        "assumes": list(answer.assumes),
        "not_checked": list(not_checked(answer, made)),
    }
    return laid_out(content | {"seal": seal(content)})


def laid_out(content: Mapping[str, Any]) -> str:
    """The one layout of a record: ASCII, so that no character of a name can hide in it."""
    return json.dumps(content, indent=1) + "\n"


def seal(content: Mapping[str, Any]) -> str:
    """The digest over all but the seal itself; "" of what no record can hold."""
    try:
        return meaning.digest(meaning.canonical({k: v for k, v in content.items() if k != "seal"}))
    except ValueError:  # half a surrogate pair, a figure beyond what JSON can say
        return ""


def record(text: str) -> Record:
    """A record's text as the model. Raises pydantic.ValidationError."""
    return Record.model_validate_json(text)


def _check(finding: Finding) -> dict[str, Any]:
    found: dict[str, Any] = {"check": finding.check, "subject": finding.subject}
    found |= {"other": finding.other} if finding.other else {}
    found |= {"verdict": finding.verdict, "says": finding.says}
    found |= {"counterexample": as_json.state(finding.witness)} if finding.witness is not None else {}
    return found | ({"fields": list(finding.fields)} if finding.fields else {})
