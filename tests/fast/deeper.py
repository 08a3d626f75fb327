"""What checks ask beside words: live terminals, coil volts, races, the way to a state."""

from __future__ import annotations

from typing import TYPE_CHECKING
from unittest.mock import patch

from tests.fast.compare import shown, sides
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.fast.replay import Disagreement
from wirecheck.engine.world import World

if TYPE_CHECKING:
    import random
    from collections.abc import Iterator

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Outcome
    from wirecheck.engine.fast.side import Stand
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.solver import View
    from wirecheck.engine.world import Setting

IN_EVERY_ORDER = patch("wirecheck.engine.plain.evaluator.ALL_IN_ORDER", 1000)


def deeper(after: Circuit, before: Circuit | None, rng: random.Random, samples: int = 4) -> str:
    """The first difference in some states of each class, or nothing."""
    with IN_EVERY_ORDER:
        world = World(after, before)
        pair = FastPair(after, before, world)
        for c in pair.classes:
            bits = [k for k in range(pair.space.size) if c.reached >> k & 1]
            for bit in rng.sample(bits, min(samples, len(bits))):
                try:
                    joint = c.joint(c.first + bit)
                except Disagreement as lost:
                    return f"{pair.setting(c.first + bit)} {c.key}: {lost}"
                for side, outcomes in (("after", (joint.after,)), ("before", joint.befores)):
                    stands = c.stands(side)
                    if side == "before" and len(stands) != 1:
                        continue
                    unit = pair.units[side].plain
                    inputs = world.inputs(side == "after", joint.setting)
                    for found in _one(unit, inputs, stands[0], outcomes[0], bit):
                        return f"{side} {joint.setting}: {found}"
        return _races(pair)


def _one(
    unit: Plain,
    inputs: tuple[bool, ...],
    stand: Stand,
    outcome: Outcome,
    bit: int,
) -> Iterator[str]:
    views = unit.views(inputs, outcome)
    if any(v.short for v in views):
        return
    for t in unit.circuit.terminals:
        if any(_live(v, t) for v in views) != bool(stand.live(t) >> bit & 1):
            yield f"live {t}"
    for r in unit.circuit.relays:
        words = [_volts(unit, v, r) for v in views]
        word = next((w for w in words if w not in ("on", "off")), words[0])
        if not stand.coil_volts(r).get(word, 0) >> bit & 1:
            yield f"coil volts {r} {word}"


def _live(view: View, terminal: str) -> bool:
    p = view.potential(terminal)
    return p.ref == "" and p.driven and abs(p.volts) > 10


def _volts(unit: Plain, view: View, relay: str) -> str:
    return unit.load_word(unit.circuit.coil_loads[relay], view)


def _races(pair: FastPair) -> str:
    """The settings in which settling ends in more ways than one, and in how many."""
    from tests.fast.compare import InOrder, Whole

    units = [InOrder(pair.units["after"].plain.circuit)]
    if "before" in pair.units:
        units.append(InOrder(pair.units["before"].plain.circuit))
    walked = Whole(pair.world, *units).run()
    theirs = {
        (r.setting, _ends(walked, True, r.setting, r.after), _ends(walked, False, r.setting, r.before))
        for r in walked.races
    }
    mine: set[object] = set()
    for r in pair.races:
        for bit in range(pair.space.size):
            if r.settings >> bit & 1:
                setting = pair.setting((r.chunk << pair.space.low) | bit)
                mine.add(
                    (
                        setting,
                        _shown(pair, "after", r.after, r.chunk, bit),
                        _shown(pair, "before", r.before, r.chunk, bit),
                    )
                )
    many = {t for t in theirs if len(t[1]) > 1 or len(t[2]) > 1}
    some = {m for m in mine if len(m[1]) > 1 or len(m[2]) > 1}  # type: ignore[index, arg-type]
    return (
        ""
        if many == some
        else f"races: plain only {list(many - some)[:2]}, fast only {list(some - many)[:2]}"
    )


def _ends(
    walked: object, of_after: bool, setting: Setting, outcomes: tuple[Outcome, ...]
) -> frozenset[object]:
    return frozenset(shown(walked.words(of_after, setting, o), o.short is not None) for o in outcomes)  # type: ignore[attr-defined]


def _shown(pair: FastPair, side: str, ends: tuple[object, ...], chunk: int, bit: int) -> frozenset[object]:
    from wirecheck.engine.fast.side import Stand

    found = []
    for end in ends:
        stand = Stand(pair.settlers[side], end, chunk, 1 << bit)  # type: ignore[arg-type]
        found += [s for s, where in sides(stand) if where]
    return frozenset(found)
