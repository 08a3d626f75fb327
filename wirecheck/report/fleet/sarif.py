"""Findings as SARIF 2.1.0, the OASIS standard for results of checks, positions included."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from wirecheck.report.fleet.line import BAD, FAULT, told
from wirecheck.report.html import inert

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from wirecheck.report.fleet.line import Line

LEVELS = {"fail": "error", "unknown": "warning"}


def log(lines: Iterable[Line], version: str, titles: Mapping[str, str]) -> dict[str, Any]:
    """One run over all jobs. titles: what each check or code means, in a sentence.

    A failed check is an error, one that is not decided a warning, a file that cannot be read an error.
    """
    results = [result for line in lines for result in _results(line)]
    rules = list(dict.fromkeys(r["ruleId"] for r in results))
    for result in results:
        result["ruleIndex"] = rules.index(result["ruleId"])
    driver = {
        "name": "wirecheck",
        "semanticVersion": version,
        "rules": [{"id": rule, "shortDescription": {"text": titles.get(rule, rule)}} for rule in rules],
    }
    if not version[:1].isdigit():
        del driver["semanticVersion"]
    return {
        "$schema": "https://json.schemastore.org/sarif-2.1.0.json",  # from memory
        "version": "2.1.0",
        "runs": [{"tool": {"driver": driver}, "columnKind": "unicodeCodePoints", "results": results}],
    }


def _results(line: Line) -> Iterator[dict[str, Any]]:
    pair = f"{line['change'] or 'as it stands'}, on {line['unit']}"
    for finding in line["findings"]:
        text = f"{told(finding)} ({pair})"
        level = LEVELS[finding["verdict"]]
        yield _result(finding["check"], level, text, finding["at"], finding["about"])
    for problem in line["problems"]:
        yield _result(problem["code"], "error", problem["says"], problem["at"], None)
    if line["verdict"] == FAULT or (line["verdict"] == BAD and not line["problems"]):
        at = {"file": line["change"] or line["unit"], "line": 1, "column": 1, "width": 1}
        yield _result("fault", "error", f"{line['says']} ({pair})", at, None)


def _result(rule: str, level: str, text: str, at: Line, about: Line | None) -> dict[str, Any]:
    found: dict[str, Any] = {
        "ruleId": rule,
        "level": level,
        "message": {"text": inert(text)},
        "locations": [_location(at)],
    }
    if about is not None and about != at:
        found["relatedLocations"] = [_location(about) | {"message": {"text": "what it is about"}}]
    return found


def _location(at: Line) -> dict[str, Any]:
    region = {"startLine": at["line"], "startColumn": at["column"], "endColumn": at["column"] + at["width"]}
    place = {"uri": quote(at["file"].replace("\\", "/")), "uriBaseId": "%SRCROOT%"}
    return {"physicalLocation": {"artifactLocation": place, "region": region}}
