"""What is kept of one job: a line of JSON, which is all that the page and the other forms are made of."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from wirecheck.report.fleet.places import found_at, near
from wirecheck.report.verdict import why

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.circuit.graph import Changed
    from wirecheck.problem import BadInput, Place
    from wirecheck.questions.verify import Verified

Line = dict[str, Any]  # its keys: KEYS
FAULT, FAIL, BAD, UNKNOWN, PASS = "fault", "fail", "bad input", "unknown", "pass"
WORST = (FAULT, FAIL, BAD, UNKNOWN, PASS)  # the worst first
NOTHING: Line = {"says": "", "states": 0, "findings": [], "problems": []}
KEYS = {"unit", "change", "digests", "version", "verdict", "seconds", *NOTHING}


def answered(changed: Changed, answer: Verified, change: str) -> Line:
    """A verdict with the checks that do not pass, each with where it is and what else it is about."""
    rows = [
        {
            "check": f.check,
            "subject": f.subject,
            "verdict": f.verdict,
            "says": f.says,
            "at": _place(near(changed, f, change)),
            "about": _place(found_at(changed, f)),
        }
        for f in answer.findings
        if f.verdict in ("fail", "unknown")
    ]
    told = {"verdict": answer.verdict, "says": why(answer), "states": answer.states, "findings": rows}
    return NOTHING | told


def refused(bad: BadInput) -> Line:
    """Files that cannot be read, or a step that cannot be done."""
    rows = [{"code": p.code, "says": p.message, "at": _place(p.place)} for p in bad.problems]
    more = f" (and {len(rows) - 1} more)" if len(rows) > 1 else ""
    says = f"{rows[0]['says']}{more} [{rows[0]['code']}]"
    return NOTHING | {"verdict": BAD, "says": says, "problems": rows}


def broken(says: str) -> Line:
    """A fault of wirecheck, which is no verdict."""
    return NOTHING | {"verdict": FAULT, "says": says}


def told(row: Line) -> str:
    """A finding or problem in words, what it is about named once."""
    subject, says = row.get("subject", ""), row["says"]
    if not subject or subject in says or subject == "unit":
        return str(says)
    return f"{subject}: {says}"


def _place(place: Place | None) -> Line | None:
    if place is None:
        return None
    return {"file": place.file, "line": place.line, "column": place.column, "width": place.width}


def text(line: Line) -> str:
    """A line of the file."""
    return json.dumps(line, ensure_ascii=False) + "\n"


def read(content: str) -> list[Line]:
    """The lines of a file; one that is cut short, or none of this version's, is left out."""
    found = []
    for row in content.split("\n"):
        try:
            line = json.loads(row)
        except ValueError:
            continue
        if isinstance(line, dict) and line.keys() >= KEYS and line["verdict"] in WORST:
            found.append(line)
    return found


def key(line: Line) -> tuple[object, ...]:
    """What a line answers: these files, as they were, by this version."""
    return line["unit"], line["change"], *line["digests"].values(), line["version"]


def worst_first(lines: Iterable[Line]) -> list[Line]:
    """By verdict, then by name."""
    return sorted(lines, key=lambda n: (WORST.index(n["verdict"]), n["unit"], n["change"] or ""))
