"""One state to be drawn: levels, words and how contacts stand, of a unit or of both sides of a change.

Inputs that are not held stand at normal, relays as settled from power-up, as for a reading of the meter.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.graph import Changed
from wirecheck.engine.answers import UNKNOWN as UNKNOWN_WORD
from wirecheck.engine.ask import ask
from wirecheck.engine.levels import UNKNOWN, Meters
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer, Joint
from wirecheck.engine.world import World
from wirecheck.questions.meter import at_normal, chosen

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Estimate
    from wirecheck.circuit.graph import Circuit, Replacement
    from wirecheck.engine.answers import Bits, Outcome
    from wirecheck.engine.levels import Levels
    from wirecheck.engine.world import Setting
    from wirecheck.questions.holding import Holding


class Picture(Struct, frozen=True):
    """One side in one state. words: of loads and relays; closed: contact -> does it stand closed?

    One that chatters, or that a race decides, is shown closed; its level is unknown.
    """

    levels: Levels
    words: dict[str, str]
    closed: dict[str, bool]


class Pictured(Struct, frozen=True):
    """The state in words, delays that are held included; its sides: `before`, of a change `after` too."""

    inputs: dict[str, str]
    sides: dict[str, Picture]


def pictured(drawn: Changed | Circuit, holding: Holding) -> Pictured | None:
    """The state that has all that is held; None where none is reached. Raises Impossible, TooMany."""
    changed = drawn if isinstance(drawn, Changed) else None
    before = changed.before if changed is not None else None
    held = {
        **(at_normal(before, {}) if before is not None else {}),
        **at_normal(holding.circuit, holding.inputs),
    }
    replaced = changed.replaced if changed is not None else ()
    fixed = World(holding.circuit, before, replaced, held={**held, **holding.inputs})
    setting = chosen(fixed, holding.inputs)

    def run(scenario: Mapping[str, int]) -> tuple[dict[str, Picture] | None, list[Estimate]]:
        after, old = Plain(holding.circuit, scenario), None if before is None else Plain(before, scenario)
        ends = _ends(holding, replaced, fixed, setting, Explorer(fixed, after, old))
        sensitive = [*after.sensitive.values(), *(old.sensitive.values() if old is not None else ())]
        if ends is None:
            return None, sensitive
        sides = {"after": _picture(after, fixed.inputs(True, setting), ends.after)}
        if old is not None:
            sides["before"] = _picture(old, fixed.inputs(False, setting), ends.before)
        return sides if before is not None else {"before": sides["after"]}, sensitive

    asked = ask(run)
    found = [sides for sides in asked.answers.values() if sides is not None]
    if len(found) < len(asked.answers):
        return None
    sides = {side: blended([each[side] for each in found]) for side in found[0]}
    delays = {d: "moved" if moved else "rest" for d, moved in holding.delays.items()}
    return Pictured(fixed.words(setting, listed_only=False) | delays, sides)


class Ends(Struct, frozen=True):
    """Where both units stand: several outcomes where the order of relays decides."""

    after: tuple[Outcome, ...]
    before: tuple[Outcome, ...]


def _ends(
    holding: Holding, replaced: tuple[Replacement, ...], fixed: World, setting: Setting, at: Explorer
) -> Ends | None:
    if not holding.relays and not holding.delays:
        cold = at.after.settle(fixed.inputs(True, setting), at.after.cold())
        if at.before is None:
            return Ends(cold, ())
        return Ends(cold, at.before.settle(fixed.inputs(False, setting), at.before.cold()))
    joint = _reached(holding, replaced, fixed, setting, at)
    return None if joint is None else Ends((joint.after,), joint.befores)


def _reached(
    holding: Holding, replaced: tuple[Replacement, ...], fixed: World, setting: Setting, at: Explorer
) -> Joint | None:
    """Where some way leads, with every input free on the way and as in `setting` at its end."""
    world = World(holding.circuit, fixed.before, replaced, named=fixed.index)
    explorer = Explorer(world, at.after, at.before).run()
    wanted = fixed.words(setting, listed_only=False)
    for joint in explorer.came:
        words = explorer.words(True, joint.setting, joint.after)
        delays = {d: "moved" if m else "rest" for d, m in words.delays.items()}
        stands = world.words(joint.setting, listed_only=False)
        if all(stands.get(n, w) == w for n, w in wanted.items()) and holding.admits(delays, words.relays):
            return joint
    return None


def _picture(plain: Plain, inputs: Bits, outcomes: tuple[Outcome, ...]) -> Picture:
    meters, each = Meters(plain), []
    for outcome in outcomes:
        words = plain.words(inputs, outcome)
        ways = [plain.closed(inputs, *member) for member in outcome.members]
        closed = {c: any(w[k] for w in ways) for k, c in enumerate(plain.circuit.contacts)}
        each.append(Picture(meters.of_outcome(inputs, outcome), {**words.loads, **words.relays}, closed))
    return blended(each)


def blended(each: list[Picture]) -> Picture:
    """What all of these have in common; `unknown` where they differ."""
    first = each[0]
    levels = {t: x if all(p.levels[t] == x for p in each) else UNKNOWN for t, x in first.levels.items()}
    words = {n: w if all(p.words[n] == w for p in each) else UNKNOWN_WORD for n, w in first.words.items()}
    closed = {c: any(p.closed[c] for p in each) for c in first.closed}
    return Picture(levels, words, closed)
