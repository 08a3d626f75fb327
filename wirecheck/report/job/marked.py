"""A job sheet as Markdown: to read on a phone, to keep beside the files."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from wirecheck.report.html import inert
from wirecheck.report.job.blocks import Beware, Do, Fill, Points, Section, Sheet, Table, Text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.report.job.blocks import Block

ACTIVE = re.compile(r"([\\`*_{}\[\]<>|#])")
LEAD = re.compile(r"^(\s*)([-+]|\d+\.)(?=\s)")


def text(sheet: Sheet) -> str:
    """The whole file. User text cannot become markup."""
    lines = [f"# {plain(sheet.title)}", ""]
    lines += [f"{plain(t)}  " for t in sheet.about]
    lines += ["", f"**{plain(sheet.verdict)}**: {plain(sheet.why)}", ""]
    for section in sheet.sections:
        lines += [*_section(section)]
    return "\n".join(lines).rstrip() + "\n"


def plain(words: str) -> str:
    """Text that stands as it is written: nothing in it is markup."""
    return LEAD.sub(
        lambda m: f"{m[1]}\\{m[2]}" if not m[2][0].isdigit() else f"{m[1]}{m[2][:-1]}\\.",
        ACTIVE.sub(r"\\\1", inert(words)),
    )


def _section(section: Section) -> Iterator[str]:
    yield f"## {plain(section.title)}"
    yield ""
    for block in section.blocks:
        yield from _block(block)
        yield ""


def _block(block: Block) -> Iterator[str]:
    match block:
        case Text():
            yield f"**{plain(block.text)}**" if block.strong else plain(block.text)
        case Beware():
            yield f"> **Caution.** {plain(block.text)}"
        case Points():
            yield from (f"- {'[ ] ' if block.boxes else ''}{plain(t)}" for t in block.texts)
        case Table():
            yield from _table(block)
        case Do():
            yield from _do(block)
        case Fill():
            yield from (f"{plain(label)}: ______________________________  " for label in block.labels)
            yield from ("______________________________________________  " for _ in range(block.empty))


def _table(table: Table) -> Iterator[str]:
    yield _row(table.heads)
    yield "|" + " --- |" * len(table.heads)
    for cells in table.rows:
        yield _row((*cells[:-1], "__________") if table.room else cells)


def _row(cells: tuple[str, ...]) -> str:
    return "| " + " | ".join(plain(c) if not c or set(c) != {"_"} else c for c in cells) + " |"


def _do(do: Do) -> Iterator[str]:
    yield f"**{do.number}.** [ ] {plain(do.text)}"
    for caution in do.beware:
        yield ""
        yield f"> **Caution.** {plain(caution)}"
    yield ""
    yield from (f"- {plain(note)}" for note in do.notes)
    if do.reading:
        yield f"- {plain(do.reading)}; found: __________"
