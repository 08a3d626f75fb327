"""The whole file: every section's plan carried out on the text, and the change recorded at its end."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.design.edits import Edit, edited, flow, line_end, one_line, scalar
from wirecheck.report.asbuilt.said import Saying
from wirecheck.report.asbuilt.section import Section, newline
from wirecheck.report.asbuilt.wires import Wires

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wirecheck.circuit.graph import Changed
    from wirecheck.design.tree import Table

WIDE = 110  # columns of the record: a name and a digest fit


class Written(Struct, frozen=True):
    """The text of the unit as changed. remarks: what could not be kept, in words."""

    text: str
    remarks: tuple[str, ...]


def written(
    unit: Table, change: Table, changed: Changed, names: Mapping[str, str], record: str, expand: bool
) -> Written:
    """The unit's text with the change carried out. record: lines for its end.

    names: splice -> the name that it must have in a unit file. expand: write out every rung touched.
    """
    sections = [s for s in planned(unit, change, changed, names, expand) if s.changes]
    if unit.flow:
        return Written(_anew(unit, sections) + record, (_lost("the file"),))
    tidy = [s for s in sections if s.tidy]
    others = [s for s in sections if not s.tidy]
    braces = [s for s in others if s.name in unit]
    edits = [edit for s in tidy for edit in s.edits()]
    edits += [_replaced(unit, s) for s in braces]
    edits += [_added(unit, [s for s in others if s.name not in unit])]
    text = edited(unit.source.text, edits)
    end = newline(text)
    closed = text if text.endswith("\n") else text + end
    remarks = tuple(_lost(f"`{s.name}`") for s in braces if s.node)
    return Written(closed + record.replace("\n", end), remarks)


def planned(
    unit: Table, change: Table, changed: Changed, names: Mapping[str, str], expand: bool
) -> Iterator[Section]:
    """Every section that a change can touch, with its plan."""
    saying = Saying(unit, change, changed)
    wires = Wires(unit, change, changed, names, expand)
    for name in ("supplies", "conditions", "types"):
        yield Section(unit, name, saying.brought(name))
    yield Section(unit, "devices", saying.devices())
    rungs = wires.rungs()
    yield Section(unit, "wires", wires.wires())
    yield Section(unit, "rungs", rungs)
    for name in ("expects", "given", "impossible"):
        yield Section(unit, name, getattr(saying, name)())


def _lost(what: str) -> str:
    return f"{what} is written in braces: it was laid out anew, and comments in it are lost."


def _anew(unit: Table, sections: list[Section]) -> str:
    """A file in braces, laid out in lines."""
    changed = {s.name: s for s in sections}
    lines: list[str] = []
    for name in [*unit, *(n for n in changed if n not in unit)]:
        lines += changed[name].whole() if name in changed else [f"{scalar(name)}: {flow(unit[name])}"]
    return "\n".join(lines) + "\n"


def _replaced(unit: Table, section: Section) -> Edit:
    """A section in braces, or otherwise not in lines of its own, as lines."""
    text, start = unit.source.text, unit.key_starts[section.name]
    return Edit(start, unit.stretches[section.name].end, newline(text).join(section.whole()))


def _added(unit: Table, sections: list[Section]) -> Edit:
    """Sections that the file did not have, after its last one."""
    text = unit.source.text
    at = line_end(text, max(stretch.end for stretch in unit.stretches.values()))
    end = newline(text)
    return Edit(at, at, "".join(end * 2 + end.join(s.whole()) for s in sections))


def record(change: Table, changed: Changed, files: tuple[tuple[str, str], ...], date: str) -> str:
    """The change as comment lines. files: name and digest of the unit's file and of the change's."""
    head = change["change"]
    (unit_name, unit_digest), (change_name, change_digest) = files
    rows = [("reason", one_line(changed.reason)), ("date", one_line(date))]
    rows += [("unit", f"{one_line(unit_name)}, sha256 {unit_digest}")]
    rows += [("change", f"{one_line(change_name)}, sha256 {change_digest}")]
    rows += [(name, one_line(flow(value))) for name, value in head.items() if name not in ("name", "reason")]
    lines = [f"# Changed: {one_line(changed.name)}"]
    lines += [line for name, words in rows if words for line in _folded(f"#   {name}: ", words)]
    for step in changed.steps:
        lines += _folded(f"#   {step.number:2}. ", one_line(step.words))
    return "\n".join(["", *lines]) + "\n"


def _folded(start: str, words: str) -> list[str]:
    after = "#" + " " * (len(start) - 1)
    return textwrap.wrap(
        words, WIDE, initial_indent=start, subsequent_indent=after,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
