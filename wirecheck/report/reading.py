"""`meter` in the terminal: the reading, what is live with it, and in which state."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.figures import LIVE_VOLTS
from wirecheck.report.lines import Line, ohms_text, para, volts_text

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.ohms import Ohms


def volts(circuit: Circuit, a: str, b: str, answer: Reading, width: int) -> list[Line]:
    """A voltmeter's reading, and what each end stands at to earth."""
    lines = para(f"{a} to {b}: {_volts(answer)}", width, "", "head", len(f"{a} to {b}:"))
    if answer.remark and answer.reads not in ("short", "chatters"):
        lines += para(f"{answer.remark[0].upper()}{answer.remark[1:]}.", width)
    for end, earth in zip((a, b), answer.to_earth, strict=True):
        lines += _earth(end, earth, answer, width)
    low = answer.reads in ("value", "floating") and (answer.volts or 0.0) < LIVE_VOLTS
    if low and any((v or 0.0) > LIVE_VOLTS for v in answer.to_earth):
        lines += para("0 V between them does not mean dead: test each one to earth.", width)
    return [*lines, *_needs(answer, width), *_state(circuit, answer, width)]


def _volts(answer: Reading) -> str:
    match answer.reads:
        case "value":
            return volts_text(answer.volts or 0.0)
        case "floating":
            return "floating, no steady reading"
        case "short":
            return "no reading: the supply is shorted here"
        case "chatters":
            return "no steady reading: a relay finds no rest here"
        case _:
            return "not decided"


def _earth(end: str, value: float | None, answer: Reading, width: int) -> list[Line]:
    if answer.reads in ("short", "chatters", "unknown"):
        return []
    words = "not tied to earth" if value is None else f"{volts_text(value)} to earth"
    return para(f"{end}: {words}", width, "  ")


def ohms(circuit: Circuit, a: str, b: str, answer: Ohms, width: int) -> list[Line]:
    """An ohmmeter's reading, and how to take it."""
    match answer.reads:
        case "value":
            words = ohms_text(answer.ohms or 0.0)
        case "open":
            words = "open, no reading"
        case _:
            words = "not decided"
    lines = para(f"{a} to {b}: {words}", width, "", "head", len(f"{a} to {b}:"))
    if answer.remark:
        lines += para(f"{answer.remark[0].upper()}{answer.remark[1:]}.", width)
    lines += para("Lock out, empty the capacitors, prove the circuit dead before you measure ohms.", width)
    return [*lines, *_needs(answer, width), *_state(circuit, answer, width)]


def _needs(answer: Reading | Ohms, width: int) -> list[Line]:
    return para(f"Needs: {', '.join(answer.fields)}", width) if answer.fields else []


def _state(circuit: Circuit, answer: Reading | Ohms, width: int) -> list[Line]:
    shown = [f"{n} {w}" for n, w in answer.inputs if n not in circuit.inputs or circuit.inputs[n].listed]
    return para(f"With {', '.join(shown)}.", width) if shown else []
