"""`states` in the terminal: a plain table; rows wider than the terminal fold onto several lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.report.lines import Line, para

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.states import Row, States


def page(circuit: Circuit, answer: States, width: int) -> list[Line]:
    """A row for each state; what is the same in all of them is said once, above."""
    rows = [cells(answer, row) for row in answer.rows]
    count = "1 state" if len(rows) == 1 else f"{len(rows)} states"
    lines = para(f"{circuit.name}: {count} that can be reached", width, "", "head")
    if not rows:
        return lines
    same = [n for n in rows[0] if len({r[n] for r in rows}) == 1] if len(rows) > 1 else []
    if same:
        lines += para(f"In all of them: {', '.join(f'{n} {rows[0][n]}' for n in same)}", width)
    names = [n for n in rows[0] if n not in same]
    lines += [Line(), *table(names, [[r[n] for n in names] for r in rows], width)]
    for number, row in enumerate(answer.rows, 1):
        lines += remarks(number, row, width)
    return lines


def cells(answer: States, row: Row) -> dict[str, str]:
    """Column -> word; the last tells whether power-up leads here."""
    found = {n: row.inputs[n] for n in answer.inputs} | row.loads | row.relays
    return found | {"reached by": "power-up" if row.power_up else "moves"}


def table(names: list[str], rows: list[list[str]], width: int) -> list[Line]:
    """Numbered rows under their names; columns that do not fit go on further lines of the same row."""
    widths = [max(len(n), *(len(r[k]) for r in rows)) for k, n in enumerate(names)]
    number = len(str(len(rows)))
    chunks = chunked(widths, width - number - 2)
    lines = [Line(_part(names, widths, chunk, "", number), "head") for chunk in chunks]
    for k, row in enumerate(rows, 1):
        for j, chunk in enumerate(chunks):
            lines.append(Line(_part(row, widths, chunk, str(k) if j == 0 else "", number)))
    return lines


def chunked(widths: list[int], room: int) -> list[list[int]]:
    """Columns put on as few lines as their widths allow."""
    chunks: list[list[int]] = [[]]
    left = room
    for k, w in enumerate(widths):
        if chunks[-1] and w > left:
            chunks.append([])
            left = room
        chunks[-1].append(k)
        left -= w + 2
    return chunks


def _part(row: list[str], widths: list[int], chunk: list[int], label: str, number: int) -> str:
    return "  ".join((label.rjust(number), *(row[k].ljust(widths[k]) for k in chunk))).rstrip()


def remarks(number: int, row: Row, width: int) -> list[Line]:
    """What a word alone does not say: the way of a short, the field that would decide an `unknown`."""
    lines = []
    if row.short:
        lines += para(f"State {number} is shorted: {' - '.join(row.short)}", width)
    if row.fields:
        lines += para(f"State {number} is not decided without {', '.join(row.fields)}", width)
    return lines
