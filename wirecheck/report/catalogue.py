"""`devices` and `explain` in the terminal: lists, and one type on a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.report.lines import Line, columns, head, para

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.design.catalogue import ElementSheet, FieldSheet, TypeSheet


def devices(sheets: Iterable[TypeSheet], width: int) -> list[Line]:
    """Every type with its terminals and what it is."""
    rows = [(s.name, f"{s.about}. Terminals {' '.join(s.terminals)}") for s in sheets]
    wide = max(len(name) for name, _ in rows)
    lines = [Line(text) for text in columns(rows, (wide, width - wide - 2))]
    return [*lines, Line(), *para("`wirecheck devices TYPE` shows one with its elements and fields.", width)]


def device(sheet: TypeSheet, width: int) -> list[Line]:
    """One type: terminals, positions, elements, fields."""
    lines = para(f"{sheet.name}: {sheet.about}", width, "", "head", len(sheet.name))
    lines += para(" ".join(sheet.terminals), width, "Terminals: ")
    lines += para(", ".join(sheet.positions), width, "Positions: ") if sheet.positions else []
    if sheet.elements:
        wide = max(len(e.name) for e in sheet.elements)
        lines += head("Elements")
        for element in sheet.elements:
            lines += para(_element(element), width, f"  {element.name.ljust(wide)}  ")
    return [*lines, *head("Fields"), *fields(sheet.fields, width)]


def _element(element: ElementSheet) -> str:
    words = f"{element.kind} {element.between}"
    words += f", rests {element.rests}" if element.rests else ""
    words += f", moved by {element.moved_by}" if element.moved_by else ""
    return words + (f", late {element.late}" if element.late else "")


def fields(sheets: tuple[FieldSheet, ...], width: int) -> list[Line]:
    """Each field: what it takes, its default, what it is."""
    wide = max(len(f.name) for f in sheets)
    lines = []
    for field in sheets:
        parts = [field.takes, _default(field.default), field.about]
        lines += para("; ".join(p for p in parts if p), width, f"  {field.name.ljust(wide)}  ")
    return lines


def _default(text: str) -> str:
    return text if text in ("", "required") else f"else {text}"


def codes(names: tuple[str, ...], width: int) -> list[Line]:
    """The codes and words that have a page, in columns."""
    wide = max(len(n) for n in names)
    across = max(1, (width + 2) // (wide + 2))
    rows = [names[k : k + across] for k in range(0, len(names), across)]
    lines = [Line("  ".join(n.ljust(wide) for n in row).rstrip()) for row in rows]
    return [*lines, Line(), *para("`wirecheck explain CODE` tells what one means.", width)]
