"""What both evaluators say of the same circuit, in a form that can be held side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.circuit.graph import Circuit, Replacement
    from wirecheck.engine.answers import Words
    from wirecheck.engine.fast.side import Stand

Shown = tuple[object, ...]
Answer = dict[Shown, bool]  # a joint state in words -> does power-up lead to it?


class InOrder(Plain):
    """The plain evaluator with every coil moved in every order."""

    def _ordered(self, *_: object) -> frozenset[int]:
        return frozenset(range(len(self.coils)))


class Whole(Explorer):
    """The walk with every move made from every state."""

    def _moves_matter(self) -> bool:
        return True


def shown(words: Words, short: bool) -> Shown:
    return (
        tuple(sorted(words.loads.items())),
        tuple(sorted(words.relays.items())),
        tuple(sorted(words.delays.items())),
        short,
    )


def by_plain(
    world: World, after: Circuit, before: Circuit | None, scenario: Mapping[str, int] | None = None
) -> tuple[Answer, Explorer]:
    unit = InOrder(after, scenario)
    old = None if before is None else InOrder(before, scenario)
    explorer = Whole(world, unit, old).run()
    found: Answer = {}
    for joint in explorer.came:
        now = shown(explorer.words(True, joint.setting, joint.after), joint.after.short is not None)
        was = frozenset(
            shown(explorer.words(False, joint.setting, o), o.short is not None) for o in joint.befores
        )
        key = (joint.setting, now, was)
        found[key] = found.get(key, False) or joint in explorer.power_up
    return found, explorer


def by_fast(pair: FastPair) -> Answer:
    found: Answer = {}
    for c in pair.classes:
        now, was = sides(c.stands("after")[0]), [sides(s) for s in c.stands("before")]
        for k in range(pair.space.size):
            if c.reached >> k & 1:
                key = (
                    pair.setting(c.first + k),
                    next(s for s, where in now if where >> k & 1),
                    frozenset(next(s for s, where in one if where >> k & 1) for one in was),
                )
                found[key] = found.get(key, False) or bool(c.power_up >> k & 1)
    return found


def sides(stand: Stand) -> list[tuple[Shown, int]]:
    """What one end of a class shows -> where."""
    circuit = stand.unit.plain.circuit
    names = [n for load in circuit.loads for n in (load, *stand.unit.taps(load))]
    loaded = _split(sorted((n, stand.load(n)) for n in names), stand.mask)
    related = _split(sorted((n, stand.relay(n)) for n in circuit.relays), stand.mask)
    moved = tuple(sorted((n, bool(stand.delay(n))) for n in circuit.delays))
    short = bool(stand.shorted)
    return [
        ((one, other, moved, short), here & there)
        for one, here in loaded
        for other, there in related
        if here & there
    ]


def _split(each: Iterable[tuple[str, dict[str, int]]], mask: int) -> list[tuple[tuple[object, ...], int]]:
    rows: list[tuple[tuple[object, ...], int]] = [((), mask)]
    for name, words in each:
        rows = [
            ((*row, (name, word)), here & where)
            for row, here in rows
            for word, where in words.items()
            if here & where
        ]
    return rows


def difference(
    after: Circuit,
    before: Circuit | None = None,
    replaced: Iterable[Replacement] = (),
    scenario: Mapping[str, int] | None = None,
) -> str:
    """What the evaluators say differently, or nothing. Raises NotHere, TooLarge, TooMany."""
    world = World(after, before, replaced)
    fast = FastPair(after, before, world, scenario)
    mine = by_fast(fast)
    theirs, explorer = by_plain(world, after, before, scenario)
    if mine != theirs:
        only = [k for k in theirs if k not in mine][:2]
        extra = [k for k in mine if k not in theirs][:2]
        power = [k for k in mine if k in theirs and mine[k] != theirs[k]][:2]
        return f"plain only {only}\nfast only {extra}\npower-up {power}"
    wanted = {**explorer.after.sensitive, **(explorer.before.sensitive if explorer.before else {})}
    lost = set(wanted) - set(fast.sensitive)
    return f"estimates not noted: {lost}" if lost else ""
