"""Readings, steps and lists of a job sheet in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.questions.ohms import Ohms
from wirecheck.report.doing import expect, observe
from wirecheck.report.job.blocks import Do, Table
from wirecheck.report.lifting import look_alike
from wirecheck.report.lines import ohms_text, said, volts_text
from wirecheck.report.mistaken import by_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.questions.job.hands import Hand
    from wirecheck.questions.job.readings import AtStep, Expected
    from wirecheck.questions.job.sheet import JobSheet
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.mistakes.answer import Mistakes
    from wirecheck.questions.mistakes.ordering import Step

FOUND = "found"
WRITE_DOWN = "write it down"
LABEL = "Label it before it comes off; cap the loose end until it is landed or spliced."


def shown(found: Ohms | Reading) -> str:
    """What a meter shows; what the file does not decide is to be measured and written down."""
    if isinstance(found, Ohms):
        return _ohms(found)
    match found.reads:
        case "value":
            return volts_text(found.volts or 0.0)
        case "floating":
            return "0 V on a low-impedance meter (floats)"
        case "short":
            return "a short: do not power up"
        case "chatters":
            return "comes and goes: a relay chatters"
    return f"not decided ({found.remark}): {WRITE_DOWN}"


def _ohms(found: Ohms) -> str:
    if found.reads == "open":
        return "open"
    if found.reads == "value":
        return ohms_text(found.ohms or 0.0)
    return f"not decided without {said(found.fields)}: {WRITE_DOWN}"


def readings(found: Iterable[Expected], unit: str) -> Table:
    """Readings to take, with room for what was found."""
    rows = []
    for e in found:
        about = ", ".join(t for t in (e.about, e.where) if t)
        rows.append((f"{e.a} and {e.b} ({about})", shown(e.found), ""))
    return Table((f"{unit} between", "expect", FOUND), tuple(rows), room=True)


def step(sheet: JobSheet, hand: Hand) -> Do:
    """A plain step with all that belongs to it."""
    number = hand.step.number
    beware = tuple(c.says for c in sheet.cautions if c.moment == "step" and c.step == number)
    notes = [*_looks(hand)]
    notes += [LABEL] if hand.step.kind in ("lift", "cut") else []
    if hand.taken is not None:
        notes += [look_alike(other, hand.taken, "the load") for other in hand.taken.alike]
    read = next((r for r in sheet.at_lifts if r.step == number), None)
    of = f" ({hand.step.of})" if hand.step.of else ""
    return Do(number, f"{hand.step.words}{of}", beware, tuple(notes), _proof(read), hand)


def _proof(read: AtStep | None) -> str:
    if read is None:
        return ""
    between = f"from the loose end of {read.wire} to {read.to}"
    return f"Power off, proved dead, capacitors empty: {between} {_ohms(read.found)}"


def _looks(hand: Hand) -> Iterator[str]:
    """What the conductors of a step look like and where both their ends go."""
    for wire in hand.wires:
        looks = [wire.color or "colour not given", wire.gauge or "gauge not given"]
        looks += [f"marked {wire.label}"] if wire.label else []
        looks += [f"route {wire.route}"] if wire.route else []
        yield f"{wire.id}: {', '.join(looks)}; from {plain_end(wire.a)} to {plain_end(wire.b)}"


def plain_end(node: str) -> str:
    """A loose end in words."""
    return f"loose end (was on {node.partition(':')[2]})" if ":" in node else node


def look_at(step: Step, volts: Iterable[tuple[str, str, float]]) -> Table:
    """What to look at once a step is done: what shows the mistakes first, then volts to see beside it."""
    rows = [(observe(step), expect(step), "")]
    # Another meter may show a ghost where nothing holds the 0.
    low = " on a low-impedance meter"
    rows += [(f"volts from {a} to {b}", volts_text(v) + ("" if v else low), "") for a, b, v in volts]
    return Table(("look at", "expect", FOUND), tuple(rows), room=True)


def otherwise(answer: Mistakes, at: Step, most: int = 4) -> tuple[str, ...]:
    """What a step would show of each kind of mistake, the most frequent first."""
    found = []
    for text, rows in list(by_text(answer, at).items())[:most]:
        others = len(rows) - 1
        more = f", or {others} other mistake{'s' if others > 1 else ''}" if others else ""
        found.append(f"{text}: {rows[0].mistake.words}{more}")
    return tuple(found)
