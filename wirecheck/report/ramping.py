"""`ramp` in the terminal: what happens in order, and a line for each thing that changes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wirecheck.quantity import show
from wirecheck.report.lines import Line, head, para

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.ramp import Happening, Ramp

WORKS, RESTS, OTHER = "█", "·", "?"
WORKING = ("runs", "on", "in", "closed", "moved")
RESTING = ("off", "out", "open", "rest")


def page(circuit: Circuit, answer: Ramp, width: int) -> list[Line]:
    """The start, each set point passed, and the timeline."""
    unit = circuit.quantities[answer.quantity].unit
    legs = ", ".join(f"{show(a, unit)} to {show(b, unit)}" for a, b in answer.ways)
    lines = para(f"{circuit.name}: {answer.quantity} from {legs}", width, "", "head")
    start, rest = answer.happenings[0], [h for h in answer.happenings[1:] if h.changes]
    at_start = {**start.switches, **start.relays, **start.loads}
    lines += para("at the start: " + ", ".join(f"{n} {now}" for n, (_, now) in at_start.items()), width)
    lines += [Line()]
    for h in rest:
        lines += para(_happens(h), width, f"  {_when(h, unit):<{_widest(rest, unit)}}  ")
    if not rest:
        lines += para("nothing changes on the way.", width, "  ")
    else:
        lines += [*head("Timeline"), *timeline(start, rest, unit, width)]
    if answer.fields:
        lines += para(f"It depends on what the file does not say: {', '.join(answer.fields)}.", width)
    says = "Delays run out here before the quantity goes on. What must be seen on the unit is the same order."
    return [*lines, Line(), *para(says, width)]


def _when(h: Happening, unit: str) -> str:
    return h.what if h.at is None else f"{h.what} past {show(h.at, unit)}"


def _widest(of: list[Happening], unit: str) -> int:
    return max((len(_when(h, unit)) for h in of), default=0)


def _happens(h: Happening) -> str:
    """ "PS closes: FAN runs" in words of the states."""
    moved = [f"{n} {now}" for n, (_, now) in {**h.switches, **h.relays}.items()]
    loads = [f"{n} {now} (was {was})" for n, (was, now) in h.loads.items()]
    raced = ["relays race: one of the ends is shown"] if h.raced else []
    return "; ".join([", ".join(moved), ", ".join(loads), *raced]).strip("; ") or "nothing changes"


def timeline(start: Happening, rest: list[Happening], unit: str, width: int) -> list[Line]:
    """A row for each thing that changes on the way, a column for each stretch between happenings.

    The values stand above where they fit.
    """
    names = dict.fromkeys(n for h in rest for kind in (h.switches, h.relays, h.loads) for n in kind)
    now = {n: w for kind in (start.switches, start.relays, start.loads) for n, (_, w) in kind.items()}
    marks = {n: [_mark(now[n])] for n in names}
    for h in rest:
        for kind in (h.switches, h.relays, h.loads):
            now |= {n: w for n, (_, w) in kind.items()}
        for n in names:
            marks[n].append(_mark(now[n]))
    edges = [f"{show(h.at, unit)}" if h.at is not None else "" for h in rest]
    label = max([len(n) for n in names] + [0])
    fits = (width - label - 4) // (len(rest) + 1)
    wide = max([len(e) for e in edges] + [3]) + 1
    above = [Line("  " + " " * (label + 2) + "".join(e.rjust(wide) for e in edges))] if wide <= fits else []
    wide = max(1, min(wide, fits))
    return above + [Line(f"  {n:<{label}}  " + "".join(m * wide for m in marks[n])) for n in names]


def _mark(word: str) -> str:
    return WORKS if word in WORKING else RESTS if word in RESTING else OTHER


def as_json(circuit: Circuit, answer: Ramp) -> dict[str, Any]:
    """For programs: each happening with the value in the quantity's unit."""
    unit = circuit.quantities[answer.quantity].unit
    return {
        "quantity": answer.quantity,
        "ways": [[show(a, unit), show(b, unit)] for a, b in answer.ways],
        "happenings": [
            {
                "what": h.what,
                "at": None if h.at is None else show(h.at, unit),
                "switches": {n: now for n, (_, now) in h.switches.items()},
                "relays": {n: now for n, (_, now) in h.relays.items()},
                "loads": {n: now for n, (_, now) in h.loads.items()},
                "raced": h.raced,
            }
            for h in answer.happenings
        ],
        "depends_on": list(answer.fields),
    }
