"""`ramp` in the terminal: what happens in order, and a line for each thing that changes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wirecheck.quantity import show
from wirecheck.report.lines import Line, head, para

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.timeline import Kind
    from wirecheck.questions.ramp import Happening, Ramp

WORKS, RESTS, OTHER = "█", "·", "?"
WORKING = ("runs", "on", "in", "closed", "moved")
RESTING = ("off", "out", "open", "rest")
DELAY = 0.06  # of the whole way, drawn for a delay that runs out

KIND: dict[str, Kind] = {WORKS: "works", RESTS: "rests", OTHER: "other"}


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
    edges = [f"{show(h.at, unit)}" if h.at is not None else "delay" for h in rest]
    label = max([len(n) for n in names] + [0])
    fits = (width - label - 4) // (len(rest) + 1)
    if max(map(len, edges)) + 1 > fits:
        edges = [e.partition(" ")[0] for e in edges]
    wide = max(len(e) for e in edges) + 1
    above = [Line("  " + " " * (label + 2) + "".join(e.rjust(wide) for e in edges))] if wide <= fits else []
    wide = max(1, min(wide, fits))
    return above + [Line(f"  {n:<{label}}  " + "".join(m * wide for m in marks[n])) for n in names]


def _mark(word: str) -> str:
    return WORKS if word in WORKING else RESTS if word in RESTING else OTHER


def picture(circuit: Circuit, answer: Ramp) -> str:
    """The timeline as SVG: the quantity above, everything that changes on the way below."""
    from wirecheck.draw.svg import svg
    from wirecheck.draw.timeline import Stand, Track, Turn, sheet

    unit = circuit.quantities[answer.quantity].unit
    places, path = placed(answer)
    low, high = min(v for _, v, _ in path), max(v for _, v, _ in path)

    def turn(at: float, value: float, text: str) -> Turn:
        return Turn(at, (value - low) / ((high - low) or 1.0), text)

    seen = [(at, value, h) for (at, value), h in zip(places, answer.happenings, strict=True) if h.changes]
    marks = [turn(at, v, show(v, unit) if h.at is not None else h.what) for at, v, h in seen[1:]]
    corners = [turn(at, v, show(v, unit) if is_end else "") for at, v, is_end in path]
    tracks = []
    for name in dict.fromkeys(n for _, _, h in seen[1:] for n in words_of(h)):
        words = [(at, words_of(h)[name]) for at, _, h in seen if name in words_of(h)]
        ends = [at for at, _ in words[1:]] + [1.0]
        stands = (Stand(a, b, w, KIND[_mark(w)]) for (a, w), b in zip(words, ends, strict=True))
        tracks.append(Track(name, tuple(stands)))
    says = "; ".join(f"{_when(h, unit)}: {_happens(h)}" for _, _, h in seen[1:]) or "nothing changes"
    return svg(sheet(f"{circuit.name}: {answer.quantity}", corners, marks, tracks, says))


def words_of(h: Happening) -> dict[str, str]:
    """The words that something has from here on."""
    return {n: now for kind in (h.switches, h.relays, h.loads) for n, (_, now) in kind.items()}


def placed(answer: Ramp) -> tuple[list[tuple[float, float]], list[tuple[float, float, bool]]]:
    """Where each happening lies on the way (0 to 1), and the value there; and the corners of the way.

    A corner is the end of a leg, or where a delay runs out: the quantity stands meanwhile.
    """
    step = DELAY * (sum(abs(b - a) for a, b in answer.ways) or 1.0)
    at, value = 0.0, answer.ways[0][0]
    places, path = [(0.0, value)], [(0.0, value, True)]
    left = list(answer.happenings[1:])
    for start, end in answer.ways:
        while left and (left[0].at is None or _ahead(left[0], value, start, end)):
            there = left.pop(0).at
            if there is None:
                path += [(at, value, False), (at + step, value, False)]
                at += step
            else:
                at, value = at + abs(there - value), there
            places.append((at, value))
        at, value = at + abs(end - value), end
        path.append((at, value, True))
    whole = at or 1.0
    return [(p / whole, v) for p, v in places], [(p / whole, v, is_end) for p, v, is_end in path]


def _ahead(h: Happening, value: float, start: float, end: float) -> bool:
    """Does this happening still lie on a leg?"""
    fits = h.what == ("rises" if end > start else "falls")
    return fits and h.at is not None and min(value, end) <= h.at <= max(value, end)


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
