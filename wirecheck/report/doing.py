"""The acceptance list in words: what to do at each step, what to look at, what to expect."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from wirecheck.checks.pair import range_words
from wirecheck.questions.mistakes.looks import alike
from wirecheck.report.lines import ohms_text, volts_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.engine.variables import Variable
    from wirecheck.engine.world import Setting, World
    from wirecheck.questions.mistakes.acceptance import Step
    from wirecheck.questions.mistakes.answer import Mistakes


def do(answer: Mistakes, number: int) -> str:
    """What hands do for a step: from the step before, or from power-up."""
    step = answer.acceptance.steps[number - 1]
    world = answer.scene.world
    if not step.again:
        before = answer.acceptance.steps[number - 2].observation.probe[-1].setting
        moved = list(_moves(answer, [before, *(a.setting for a in step.way)], [a.delay for a in step.way]))
        return f"{'; then '.join(moved)}." if moved else "Leave it so."
    first, *rest = step.way
    if step.observation.kind == "ohms":
        earlier = answer.acceptance.steps[: number - 1][-1:]
        if earlier and earlier[0].observation.probe[-1].setting == first.setting:
            return "Leave it so."
        placed = ", ".join(_stands(answer, world, first.setting))
        return f"Power off, locked out and proved dead, capacitors empty: {placed}."
    placed = ", ".join(_stands(answer, world, first.setting))
    start = "Power off" if number > 1 else "Before power"
    settings = [first.setting, *(a.setting for a in rest)]
    moves = _moves(answer, settings, [a.delay for a in rest])
    return "; then ".join((f"{start}: {placed}", "power on", *moves)) + "."


def _stands(answer: Mistakes, world: World, setting: Setting) -> Iterator[str]:
    """Where quantities lie, and the switches that stand away from ordinary operation or are new."""
    for k, name in enumerate(world.quantities):
        yield f"{name} {_range(answer, name, setting.ranges[k])}"
    for v, moved in zip(world.variables, setting.bits, strict=True):
        if v.by_motor and moved == v.normal:
            continue  # no hand sets it
        device = answer.changed.after.inputs[v.name].device
        if moved != v.normal or (
            v.held is None and (v.set_points is None or device in answer.changed.brought)
        ):
            yield _placed(v, moved)


def _placed(v: Variable, moved: bool) -> str:
    """Where a switch is put; what a motor moves is waited for."""
    by_itself = ", by the motor itself" if v.by_motor else ""
    return f"{v.name} {v.word(moved)}{by_itself}"


def _moves(answer: Mistakes, settings: list[Setting], delays: list[str | None]) -> Iterator[str]:
    """Each move from one setting to the next; a quantity that moves on and on is one."""
    world = answer.scene.world
    shown: list[tuple[str, str]] = []
    for (one, other), delay in zip(itertools.pairwise(settings), delays, strict=True):
        turned = [v for v, a, b in zip(world.variables, one.bits, other.bits, strict=True) if a != b]
        words = [_placed(v, other.bits[world.index[v.name]]) for v in turned]
        if delay is not None:
            shown.append(("", f"wait until {delay} has run out"))
            continue
        q = next((q for q, (a, b) in enumerate(zip(one.ranges, other.ranges, strict=True)) if a != b), None)
        if q is None:
            shown.append(("", ", ".join(words)))
            continue
        name = world.quantities[q]
        way = f"{name} {'rises' if other.ranges[q] > one.ranges[q] else 'falls'}"
        if shown and shown[-1][0] == way:
            _, _, moved = shown.pop()[1].partition(": ")
            words = [*([moved] if moved else []), *words]
        text = f"wait until {way} to {_range(answer, name, other.ranges[q])}"
        shown.append((way, text + (f": {', '.join(words)}" if words else "")))
    return iter(text for _, text in shown)


def _range(answer: Mistakes, quantity: str, k: int) -> str:
    unit = answer.changed.after.quantities[quantity].unit
    words = range_words(unit, *answer.scene.world.interval(quantity, k))
    return words if words.startswith(("above", "below")) else f"between {words.replace(' to ', ' and ')}"


def observe(step: Step) -> str:
    """What to look at."""
    o = step.observation
    if o.points is None:
        return "which loads run"
    meter = ", on a low-impedance meter" if o.kind == "volts" else ""
    return f"{o.kind} from {o.points[0]} to {o.points[1]}{meter}"


def expect(step: Step) -> str:
    """What it shows where all is right."""
    o = step.observation
    match o.kind:
        case "look":
            return alike(o.look)
        case "volts":
            return volts_text(o.value or 0.0)
        case "ohms":
            return "open" if o.value is None else ohms_text(o.value)
