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
    groups = [
        [n for n in group if n not in same] for group in (answer.inputs, [*rows[0]][len(answer.inputs) :])
    ]
    lines += [Line(), *table(groups, rows, width)]
    for number, row in enumerate(answer.rows, 1):
        lines += remarks(number, row, width)
    return lines


def cells(answer: States, row: Row) -> dict[str, str]:
    """Column -> word; the last tells whether power-up leads here. A load with a switch's name says so."""
    found = {n: row.inputs[n] for n in answer.inputs}
    found |= {f"{n} (load)" if n in found else n: w for n, w in (row.loads | row.relays).items()}
    return found | {"reached by": "power-up" if row.power_up else "moves"}


def table(groups: list[list[str]], rows: list[dict[str, str]], width: int) -> list[Line]:
    """Numbered rows under their names; what does not fit goes on further lines of the same row."""
    wide = {n: max(len(n), *(len(row[n]) for row in rows)) for group in groups for n in group}
    number = len(str(len(rows)))
    chunks = chunked(groups, wide, width - number - 2)
    lines = [Line(_part({n: n for n in chunk}, wide, "", number), "head") for chunk in chunks]
    for k, row in enumerate(rows, 1):
        for j, chunk in enumerate(chunks):
            lines.append(Line(_part({n: row[n] for n in chunk}, wide, str(k) if j == 0 else "", number)))
    return lines


def chunked(groups: list[list[str]], wide: dict[str, int], room: int) -> list[list[str]]:
    """Columns on one line where they fit; else the groups apart, each on as few lines as it needs."""
    if sum(w + 2 for w in wide.values()) - 2 <= room:
        return [[*wide]]
    chunks: list[list[str]] = []
    for group in groups:
        left = 0
        for name in group:
            if wide[name] > left:
                chunks.append([])
                left = room
            chunks[-1].append(name)
            left -= wide[name] + 2
    return chunks


def _part(cells: dict[str, str], wide: dict[str, int], label: str, number: int) -> str:
    return "  ".join((label.rjust(number), *(cell.ljust(wide[n]) for n, cell in cells.items()))).rstrip()


def remarks(number: int, row: Row, width: int) -> list[Line]:
    """What a word alone does not say: the way of a short, the field that would decide an `unknown`."""
    lines = []
    if row.short:
        lines += para(f"State {number} is shorted: {' - '.join(row.short)}", width)
    if row.fields:
        lines += para(f"State {number} is not decided without {', '.join(row.fields)}", width)
    return lines
