"""`find` in the terminal and as JSON: the faults that fit, and what to look at or measure next."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wirecheck.circuit.elements import Motor
from wirecheck.questions.find.evidence import Measured
from wirecheck.report import standing
from wirecheck.report.caution import DEAD, LIVE
from wirecheck.report.lines import LAST, Line, head, items, para, said

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.world import Setting
    from wirecheck.questions.find.answer import Found, Group
    from wirecheck.questions.find.evidence import Evidence
    from wirecheck.questions.find.tell import Shows, Test

LOOKED_AT = (
    "Looked at: each single conductor open, each contact that stays open or closed, each relay or switch "
    "that sticks, each open winding, coil, element or capacitor, shorted coils, elements and capacitors, "
    "blown fuses. Not: two faults at once, a seized motor, a loose joint, anything outside this file."
)


def page(answer: Found, width: int, brief: bool = False) -> list[Line]:
    """The whole answer, folded to a width. brief: without what holds of every answer."""
    lines = [
        *count(answer, width),
        *states(answer, width),
        *fitting(answer, width),
        *following(answer, width),
    ]
    return lines if brief else [*lines, Line(), *para(LOOKED_AT, width), *para(LAST, width)]


def count(answer: Found, width: int) -> list[Line]:
    """How many faults fit, in a line that stands alone."""
    return para(headline(answer), width, "", "head")


def headline(answer: Found) -> str:
    """How many faults fit, in words."""
    faults, kinds = len(answer.faults), len(answer.groups)
    total = faults + answer.ruled_out
    if answer.right:
        return "Nothing is wrong yet: without any fault the unit does the same in this state."
    if not total:
        return "There is no single fault to look at: nothing in this file is wired."
    if not faults:
        return f"No single fault fits, of {total} looked at."
    if kinds == 1:
        return (
            "One is left:" if faults == 1 else f"One place is left, where {faults} faults are one to a meter:"
        )
    fit = f"{faults} single faults fit, of {total} looked at"
    if kinds == faults:
        return f"{fit}:"
    return f"{fit}, on {kinds} lines; on one line stand those that are one to a meter:"


def states(answer: Found, width: int) -> list[Line]:
    """What was found, state by state."""
    by_state: dict[str, list[str]] = {}
    for e in answer.evidence:
        by_state.setdefault(_state(answer, e.setting), []).append(told(answer, e))
    lines = [line for at, found in by_state.items() for line in para(_found(at, found), width, "  ")]
    if not answer.faults and not answer.right:
        text = (
            "Was every switch where it is said to stand? Say it with --when. Else two things are wrong at "
            "once, or the unit is not wired as the file says."
        )
        lines += para(text, width)
    return lines


def _found(at: str, found: list[str]) -> str:
    return f"With {at}: {'; '.join(found)}"


def told(answer: Found, e: Evidence) -> str:
    """What was found, in words."""
    if isinstance(e, Measured):
        return f"{e.points[0]} to {e.points[1]} {e.reading()}"
    return ", ".join(f"{n} {one_word(answer.bench.right, n, how)}" for n, how in e.look.items())


def one_word(circuit: Circuit, name: str, how: frozenset[str]) -> str:
    """One word for how something looks: motors run, all else is on."""
    order = ["runs", "on", "off", "hums", "runs backward", "chatters", "in", "out"]
    if not isinstance(circuit.loads.get(name), Motor):
        order.remove("runs")
    return next((w for w in order if w in how), min(how, default="?"))


def _state(answer: Found, setting: Setting) -> str:
    return standing.words(answer.bench.right, answer.bench.scene.world, setting)


def fitting(answer: Found, width: int) -> list[Line]:
    """The faults, those that nothing tells apart on one entry; where nothing is wrong, none."""
    if answer.right:
        text = "What you saw is right for this state. What does it do that it should not? Say it with --when."
        return para(text, width)
    lines: list[Line] = []
    for group in answer.groups:
        words = "; or ".join(f.words for f in group.faults)
        lines += items([words[0].upper() + words[1:]], width)
    return lines


def following(answer: Found, width: int) -> list[Line]:
    """The best next test, and what each outcome would leave."""
    test = answer.test
    if answer.right or len(answer.groups) < 2:
        return []
    if test is None:
        return [
            *head("Next"),
            *para("No look, no volts and no ohms that were tried tell these apart.", width, "  "),
        ]
    lines = [*head("Next"), *para(do(answer, test), width, "  ", "note", 0)]
    for show in test.shows:
        lines += para(leaves(answer, show), width, "    ")
    if sum(len(left(answer, s)) for s in test.shows) > len(answer.groups):
        lines += para("A fault that may show one or the other is counted in each.", width, "    ")
    return [*lines, *(para(caution(test), width, "  ") if test.kind != "look" else [])]


def do(answer: Found, test: Test) -> str:
    """What hands do, in words."""
    state = _state(answer, test.setting)
    if test.kind == "look":
        return f"With {state}: look at {said(test.names)}."
    if test.points is None:
        raise ValueError(f"{test.kind} has no points")
    a, b = test.points
    if test.kind == "ohms":
        loose = list(answer.bench.kept_by_running)
        stand = f"; {said(loose)} as {'it stands' if len(loose) == 1 else 'they stand'}" if loose else ""
        return f"Power off, {state}{stand}: ohms from {a} to {b}."
    return f"With {state}: volts from {a} to {b}, on a low-impedance meter."


def caution(test: Test) -> str:
    """What a measurement asks of whoever makes it."""
    return DEAD if test.kind == "ohms" else LIVE


def left(answer: Found, show: Shows) -> list[Group]:
    """The entries that one outcome of a test leaves."""
    return [g for g in answer.groups if g.faults[0].id in show.faults]


def leaves(answer: Found, show: Shows) -> str:
    """What one outcome of a test would leave."""
    groups = left(answer, show)
    if len(groups) == 1:
        return f"{show.words}: {'; or '.join(f.words for f in groups[0].faults)}"
    return f"{show.words}: {len(groups)} left"


def as_json(answer: Found) -> dict[str, Any]:
    """The faults that fit, and the next test."""
    test = answer.test
    return {
        "found": [{"says": told(answer, e), "state": _state(answer, e.setting)} for e in answer.evidence],
        "without_fault": answer.right,
        "faults": [
            {"id": f.id, "kind": f.kind, "part": f.part, "words": f.words, "alike": k}
            for k, g in enumerate(answer.groups, 1)
            for f in g.faults
        ],
        "ruled_out": answer.ruled_out,
        "next": None if test is None else _test(answer, test),
        "says": headline(answer),
        "looked_at": LOOKED_AT,
    }


def _test(answer: Found, test: Test) -> dict[str, Any]:
    return {
        "kind": test.kind,
        "do": do(answer, test),
        "state": dict(answer.bench.scene.world.words(test.setting, listed_only=False)),
        "points": None if test.points is None else list(test.points),
        "look_at": list(test.names),
        "shows": [{"says": s.words, "value": s.value, "faults": list(s.faults)} for s in test.shows],
        "left_on_average": round(test.left, 2),
    }
