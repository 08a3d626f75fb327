"""`meter` in the terminal: the reading, what is live with it, and in which state."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.figures import LIVE_VOLTS
from wirecheck.questions.standing import Standing, dead_of
from wirecheck.report.lines import Line, hot, ohms_text, para, said, volts_text

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.ohms import Ohms


def volts(circuit: Circuit, a: str, b: str, answer: Reading, width: int) -> list[Line]:
    """A voltmeter's reading, and what each end stands at to earth."""
    lines = para(f"{a} to {b}: {volts_words(answer)}", width, "", "head", len(f"{a} to {b}:"))
    if answer.remark and answer.reads not in ("short", "chatters"):
        lines += para(f"{answer.remark[0].upper()}{answer.remark[1:]}.", width)
    for end, earth in zip((a, b), answer.to_earth, strict=True):
        lines += _earth(end, earth, answer, width)
    if answer.reads not in ("short", "chatters"):
        if is_low(answer) and any((v or 0.0) > LIVE_VOLTS for v in answer.to_earth):
            lines += para("0 V between them does not mean dead: test each one to earth.", width)
        lines += _off(circuit, answer, width)
    return [*lines, *_needs(answer, width), *_state(circuit, answer, width)]


def is_low(answer: Reading) -> bool:
    """Does a meter show next to nothing?"""
    return answer.reads in ("value", "floating") and (answer.volts or 0.0) < LIVE_VOLTS


def live(circuit: Circuit, answer: Reading, width: int) -> list[Line]:
    """No meter put anywhere: everything that is live, and the loads that are off all the same."""
    lines = para(f"{circuit.name}: what is live", width, "", "head")
    if answer.reads in ("short", "chatters"):
        return [*lines, *para(f"{volts_words(answer)}.".capitalize(), width), *_state(circuit, answer, width)]
    groups = answer.standing.live
    wide = max((len(volts_text(g.volts)) for g in groups), default=0)
    for earthed, title in ((True, "To earth"), (False, "Not tied to earth: volts within the circuit")):
        own = [g for g in groups if g.earthed == earthed]
        lines += para(title, width) if own else []
        for group in own:
            lines += para(", ".join(group.terminals), width, f"  {volts_text(group.volts):>{wide}}  ")
    lines += para("Nothing stands above 10 V to earth.", width) if not groups else []
    off = [n for n in answer.standing.off if n not in dead_of(answer.standing, circuit, answer.touching)]
    lines += _off(circuit, answer, width)
    lines += (
        para(f"{said(off)} off, no terminal of {'theirs' if len(off) > 1 else 'it'} live.", width)
        if off
        else []
    )
    return [*lines, *_state(circuit, answer, width)]


def _off(circuit: Circuit, answer: Reading, width: int) -> list[Line]:
    """Loads that are off and live all the same, and loose ends that are live."""
    lines = []
    for load, found in dead_of(answer.standing, circuit, answer.touching).items():
        lines += para(f"{load} is off, not dead: {hot(found)} to earth.", width)
    loose = {t: v for t, v in answer.standing.volts.items() if t in circuit.loose}
    lines += (
        para(f"Loose and live: {hot(loose)} to earth. No power before they are capped.", width)
        if loose
        else []
    )
    return lines


def volts_words(answer: Reading) -> str:
    """What a meter shows."""
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
    """The relays and the switches of the state that was read."""
    shown = [f"{n} {w}" for n, w in answer.inputs if n not in circuit.inputs or circuit.inputs[n].listed]
    stands = getattr(answer, "standing", Standing())
    relays = [f"{n} {w}" for n, w in stands.relays.items()]
    lines = para(f"With {', '.join(shown + relays)}.", width) if shown or relays else []
    for name in stands.could_hold:
        says = (
            f'{name} is out, as from power-up. Once in it would stay in here: --when "{name} in" reads that.'
        )
        lines += para(says, width)
    return lines
