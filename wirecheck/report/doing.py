"""The acceptance list in words: what to do at each step, what to look at, what to expect."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from wirecheck.checks.pair import range_words
from wirecheck.questions.lookalikes import isolated
from wirecheck.questions.mistakes.looks import alike
from wirecheck.report.caution import PROOF
from wirecheck.report.lines import ohms_text, said, volts_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.engine.variables import Variable
    from wirecheck.engine.world import Setting
    from wirecheck.questions.mistakes.answer import Mistakes
    from wirecheck.questions.mistakes.driven import Moved
    from wirecheck.questions.mistakes.ordering import Step


def do(answer: Mistakes, number: int) -> str:
    """What hands do for a step: from the step before, or from power-up."""
    step = answer.acceptance.steps[number - 1]
    earlier = answer.acceptance.steps[number - 2] if number > 1 else None
    before = earlier.observation.probe[-1].setting if earlier is not None else None
    if not step.again and before is not None:
        moved = list(_moves(answer, step, [before, *(a.setting for a in step.way)]))
        text = f"{'; then '.join(moved)}." if moved else "Leave it so."
        return " ".join((text, *_remarks(answer, step)))
    first = step.way[0].setting
    if step.observation.kind == "ohms" and before == first:
        return "Leave it so."
    placed = ", ".join(_stands(answer, step, first, before))
    if step.observation.kind == "ohms":
        return f"Power off, locked out and proved dead, capacitors empty: {placed}."
    moves = _moves(answer, step, [a.setting for a in step.way])
    start = _start(answer, first, earlier)
    text = "; then ".join((f"{start}: {placed}", "power on", *moves))
    return " ".join((f"{text}.", *_remarks(answer, step)))


def _start(answer: Mistakes, first: Setting, earlier: Step | None) -> str:
    """How the power is off: by a disconnect that stands open, else by the supply ahead of the unit."""
    world, after = answer.scene.world, answer.changed.after
    open_at = isolated(after)
    is_open = any(n in world.index and first.bits[world.index[n]] == moved for n, moved in open_at.items())
    supplies = {p.supply for t, p in after.poles.items() if t not in after.earth}
    away = f"{'supplies' if len(supplies) > 1 else 'supply'} off ahead of the unit, locked and tagged"
    if earlier is not None and earlier.observation.kind != "ohms":
        return away.capitalize()
    off = "Before power" if earlier is None else "Power still off"
    return off if is_open else f"{off}, {away}"


def _stands(answer: Mistakes, step: Step, setting: Setting, before: Setting | None) -> Iterator[str]:
    """Where quantities lie, and the switches that stand away from ordinary operation or are new."""
    world = answer.scene.world
    carried = {m.quantity: m for m in step.carried}
    for k, name in enumerate(world.quantities):
        still = before is not None and before.ranges[k] == setting.ranges[k]
        yield f"{name} {_range(answer, name, setting.ranges[k])}{_from(carried.get(name), still)}"
    for v, moved in zip(world.variables, setting.bits, strict=True):
        if v.by_motor and moved == v.normal:
            continue  # no hand sets it
        device = answer.changed.after.inputs[v.name].device
        if moved != v.normal or (
            v.held is None and (v.set_points is None or device in answer.changed.brought)
        ):
            yield _placed(v, moved)


def _from(carried: Moved | None, still: bool) -> str:
    """Where a pressure comes from that stands at power-up as only the running unit brings it."""
    if carried is None:
        return ""
    if still:
        return " (still, from the step before)"
    if carried.how == "forced":
        return " (by a test pressure at its switches, as nothing here drives it)"
    run = f" with {said(carried.by)} running" if carried.by else ""
    return f" (still, from a run{run} just before)"


def _placed(v: Variable, moved: bool) -> str:
    """Where a switch is put; what a motor moves is waited for."""
    by_itself = ", by the motor itself" if v.by_motor else ""
    return f"{v.name} {v.word(moved)}{by_itself}"


def _moves(answer: Mistakes, step: Step, settings: list[Setting]) -> Iterator[str]:
    """Each move from one setting to the next; a quantity that moves on and on is one."""
    world = answer.scene.world
    skip = len(step.way) + 1 - len(settings)  # power-up is no move
    told = zip(itertools.pairwise(settings), step.way[skip:], step.moved[skip:], strict=True)
    for moved, group in itertools.groupby(told, key=lambda move: move[2]):
        moves = list(group)
        turned = [(pair, v) for pair, *_ in moves for v in _turned(answer, *pair)]
        if moved is not None:
            to = moves[-1][0][1]
            reached = _range(answer, moved.quantity, to.ranges[world.quantities.index(moved.quantity)])
            trips = [v.name for (_, to), v in turned if v.name in answer.scene.hard.tripped(to)]
            words = [_placed(v, to.bits[world.index[v.name]]) for (_, to), v in turned]
            yield _waited(moved, reached, trips) + (f": {', '.join(words)}" if words else "")
            continue
        for (one, other), act, _ in moves:
            words = [_placed(v, other.bits[world.index[v.name]]) for v in _turned(answer, one, other)]
            yield f"wait until {act.delay} has run out" if act.delay is not None else ", ".join(words)


def _turned(answer: Mistakes, one: Setting, other: Setting) -> list[Variable]:
    """The switches that stand otherwise in two settings."""
    variables = answer.scene.world.variables
    return [v for v, a, b in zip(variables, one.bits, other.bits, strict=True) if a != b]


def _waited(moved: Moved, to: str, trips: list[str]) -> str:
    """A quantity that moves: awaited where the unit or the weather moves it, else put there."""
    way = f"{moved.quantity} {'rises' if moved.up else 'falls'} to {to}"
    if moved.how == "forced":
        return f"with a test pressure at its switches, as nothing that runs here drives it, {way}"
    run = f", with {said(moved.by)} running," if moved.by else ""
    if moved.how == "driven" and trips:
        return f"trip {said(trips)} as for a proof of it{run} until {way}"
    return f"wait until {way}{', or make it so at its sensor' if moved.how == 'by hand' else ''}"


def _remarks(answer: Mistakes, step: Step) -> Iterator[str]:
    """What can hurt, what a hand cannot set, and what does not stay."""
    if any(m is not None and m.how in ("driven", "forced") and trips for m, trips in _tripping(answer, step)):
        yield PROOF
    if step.tripped:
        are, it = ("are protections", "each") if len(step.tripped) > 1 else ("is a protection", "it")
        yield (
            f"{said(step.tripped)} {are}: trip {it} by its own test or by what it senses; "
            f"where neither can be done, prove {it} on the bench."
        )
    if step.passing:
        stay = "do not stay" if len(step.passing) > 1 else "does not stay"
        yield f"Read at once: {said(step.passing)} {stay} there."


def _tripping(answer: Mistakes, step: Step) -> Iterator[tuple[Moved | None, bool]]:
    """The quantity that each act moves, and whether a protection stands tripped after it."""
    for moved, act in zip(step.moved, step.way, strict=False):
        yield moved, any(answer.scene.hard.tripped(act.setting))


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
