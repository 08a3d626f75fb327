"""Verdicts as JUnit XML, as test systems read it: a suite for each unit, a case for each change."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree import ElementTree as Xml

from wirecheck.report.fleet.line import BAD, FAIL, FAULT, PASS, told
from wirecheck.report.html import inert

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.report.fleet.line import Line

ERRORS = (FAULT, BAD)


def xml(lines: Iterable[Line]) -> str:
    """The file. What is not decided is a failure too: a case that is skipped would be taken for well."""
    suites: dict[str, list[Line]] = {}
    for line in lines:
        suites.setdefault(line["unit"], []).append(line)
    root = Xml.Element("testsuites", name="wirecheck")
    for unit, cases in suites.items():
        root.append(_suite(unit, cases))
    Xml.indent(root)
    return Xml.tostring(root, encoding="unicode", xml_declaration=False).join(
        ('<?xml version="1.0" encoding="UTF-8"?>\n', "\n")
    )


def _suite(unit: str, cases: list[Line]) -> Xml.Element:
    suite = Xml.Element(
        "testsuite",
        name=inert(unit),
        tests=str(len(cases)),
        failures=str(sum(c["verdict"] not in (PASS, *ERRORS) for c in cases)),
        errors=str(sum(c["verdict"] in ERRORS for c in cases)),
        time=f"{sum(c['seconds'] for c in cases):.3f}",
    )
    suite.extend(_case(unit, line) for line in cases)
    return suite


def _case(unit: str, line: Line) -> Xml.Element:
    name = inert(line["change"] or "as it stands")
    case = Xml.Element("testcase", classname=inert(unit), name=name, time=f"{line['seconds']:.3f}")
    if line["verdict"] != PASS:
        what = "error" if line["verdict"] in ERRORS else "failure"
        kind = line["verdict"] if line["verdict"] in (FAIL, *ERRORS) else "not decided"
        told = Xml.SubElement(case, what, type=kind, message=inert(line["says"]))
        told.text = "\n".join(map(inert, _rows(line)))
    return case


def _rows(line: Line) -> Iterable[str]:
    for row in line["findings"]:
        yield f"{_at(row['at'])}: {row['check']}: {told(row)}"
    for row in line["problems"]:
        yield f"{_at(row['at'])}: {row['code']}: {row['says']}"


def _at(place: Line) -> str:
    return f"{place['file']}:{place['line']}:{place['column']}"
