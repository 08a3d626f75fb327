"""The summary of many verdicts: a page, and the terminal."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from wirecheck.report.fleet.line import BAD, FAIL, FAULT, PASS, UNKNOWN, WORST, told, worst_first
from wirecheck.report.html import template
from wirecheck.report.lines import LAST, head, para
from wirecheck.report.lines import Line as Shown

if TYPE_CHECKING:
    from wirecheck.report.fleet.line import Line
    from wirecheck.report.lines import Style

CALLED = {FAULT: "fault of wirecheck", FAIL: "FAIL", BAD: "bad input", UNKNOWN: "not decided", PASS: "pass"}
STYLES: dict[str, Style] = {FAULT: "fail", FAIL: "fail", BAD: "fail", UNKNOWN: "unknown", PASS: "pass"}
SHOWN = 10  # of those that do not pass, in the terminal


def counts(lines: list[Line]) -> list[tuple[str, int]]:
    """How many of each verdict, the worst first."""
    found = Counter(line["verdict"] for line in lines)
    return [(verdict, found[verdict]) for verdict in WORST if found[verdict]]


def page(lines: list[Line], folder: str, date: str, version: str) -> str:
    """The page, one file, nothing loaded from elsewhere."""
    return template("sweep.html").render(
        lines=worst_first(lines), counts=counts(lines), called=CALLED, told=told, folder=folder, date=date,
        version=version, last=LAST, seconds=sum(line["seconds"] for line in lines),
    )  # fmt: skip


def screen(lines: list[Line], kept: int, out: str, width: int) -> list[Shown]:
    """How many of each verdict, and why those that do not pass do not."""
    told = ", ".join(f"{count} {CALLED[verdict]}" for verdict, count in counts(lines))
    before = f", {kept} of them from before" if kept else ""
    rows = para(f"{len(lines)} pairs{before}: {told}", width, "", STYLES[worst_first(lines)[0]["verdict"]])
    bad = [line for line in worst_first(lines) if line["verdict"] != PASS]
    rows += head("What does not pass") if bad else []
    for line in bad[:SHOWN]:
        name = f"{line['change'] or 'as it stands'}, on {line['unit']}"
        rows += para(f"{CALLED[line['verdict']]}  {name}", width, "  ", STYLES[line["verdict"]])
        rows += para(line["says"], width, "    ")
    if len(bad) > SHOWN:
        rows += para(f"and {len(bad) - SHOWN} more", width, "  ")
    return [*rows, Shown(), *para(f"All of it stands in {out}.", width), *para(LAST, width)]
