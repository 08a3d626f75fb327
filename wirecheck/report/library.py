"""`library` in the terminal: the kinds of units, and the changes of one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.report.lines import Line, columns, head, para

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.design.library import Modification, UnitKind

MORE = "`wirecheck library KIND` shows where its files are, and the changes that people make to it."
USE = "Copy a unit or a change beside your own files and make it yours: names, figures, colours, routes."


def kinds(found: Iterable[UnitKind], width: int) -> list[Line]:
    """Every kind on a line."""
    rows = [(k.name, (k.about or k.title) + ("" if k.ours else " (your own)")) for k in found]
    wide = max(len(name) for name, _ in rows)
    return [*(Line(t) for t in columns(rows, (wide, width - wide - 2))), Line(), *para(MORE, width)]


def kind(unit: UnitKind, changes: Iterable[Modification], width: int) -> list[Line]:
    """One kind: its file, its changes, the ways in which these are done wrong."""
    about = f": {unit.about}" if unit.about else ""
    lines = [*para(f"{unit.name}{about}", width, "", "head", len(unit.name)), Line(f"  {unit.title}")]
    lines += [Line(f"  {unit.path}")]
    for change in changes:
        lines += _change(change, width)
    return [*lines, Line(), *para(USE, width)]


def _change(change: Modification, width: int) -> Iterator[Line]:
    yield from head(change.name)
    yield from para(f"{change.title}: {change.reason}" if change.reason else change.title, width, "  ")
    yield Line(f"  {change.path}")
    if change.wrong:
        yield Line("  done wrong where")
    for way in change.wrong:
        yield from para(f"{way.done} ({way.path.name})", width, "    - ")
