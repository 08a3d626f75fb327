"""Two circuits in one set of slots, so that what did not change stands in the same place in both pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.circuit.elements import Motor as MotorLoad
from wirecheck.draw.tree import (
    Leaf,
    Motor,
    Parallel,
    Series,
    ThreePhase,
    Tree,
    keys,
    merged,
    on_side,
    parallel,
    reverse,
    series,
    sided,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from wirecheck.draw.rungs import Group, Rung
    from wirecheck.draw.tree import Sides
    from wirecheck.draw.wiring import Wiring


class Slot(Struct, frozen=True):
    """Room for one rung in both pictures: one tree with slots, or two trees that share only the room."""

    section: tuple[str, ...]
    group: Group
    order: int
    rungs: tuple[Rung, ...]  # one, or the one before and the one after


def slots(before: Sequence[Rung], after: Sequence[Rung], order: Mapping[str, int]) -> tuple[Slot, ...]:
    """Pair the rungs that share most, and give each pair, and each rung left over, its slot.

    order: a number for each edge key, the circuits' order.
    """
    found: list[Slot] = []
    left_before, left_after = list(before), list(after)
    for b, a in _pairs(before, after):
        left_before.remove(b)
        left_after.remove(a)
        found.extend(_joined(b, a, order))
    for side, rest in (("before", left_before), ("after", left_after)):
        found.extend(_slot(_sided(rung, side), order) for rung in rest)  # type: ignore[arg-type]
    return tuple(sorted(found, key=lambda slot: (slot.group, slot.order)))


def alone(rungs: Sequence[Rung], order: Mapping[str, int]) -> tuple[Slot, ...]:
    """The slots of a picture of one circuit."""
    return tuple(sorted((_slot(rung, order) for rung in rungs), key=lambda slot: (slot.group, slot.order)))


def _pairs(before: Sequence[Rung], after: Sequence[Rung]) -> list[tuple[Rung, Rung]]:
    """Greedily, most shared edges first; ties by place, which is the circuit's order."""
    ranked = sorted(
        (-len(keys(b.tree) & keys(a.tree)), i, j)
        for i, b in enumerate(before)
        for j, a in enumerate(after)
        if b.section == a.section and keys(b.tree) & keys(a.tree)
    )
    taken: tuple[set[int], set[int]] = (set(), set())
    pairs = []
    for _, i, j in ranked:
        if i not in taken[0] and j not in taken[1]:
            taken[0].add(i)
            taken[1].add(j)
            pairs.append((before[i], after[j]))
    return pairs


def _joined(before: Rung, after: Rung, order: Mapping[str, int]) -> list[Slot]:
    kept = keys(before.tree) & keys(after.tree)
    if (before.left, before.right) == (after.left, after.right):
        tree = _one_tree(before.tree, after.tree, kept)
        if tree is None and before.left is None and before.right is None:
            tree = _one_tree(before.tree, reverse(after.tree), kept)
        if tree is not None:
            return [_slot(replace(before, tree=tree, group=min(before.group, after.group)), order)]
    first, second = _sided(before, "before"), _sided(after, "after")
    slot = _slot(first, order)
    return [replace(slot, group=min(first.group, second.group), rungs=(first, second))]


def _one_tree(before: Tree, after: Tree, kept: frozenset[str]) -> Tree | None:
    if not isinstance(before, ThreePhase) and not isinstance(after, ThreePhase):
        return merged(before, after, kept)
    if (
        not isinstance(before, ThreePhase)
        or not isinstance(after, ThreePhase)
        or before.windings != after.windings
    ):
        return None
    chains = [_one_chain(b, a, kept) for b, a in zip(before.chains, after.chains, strict=True)]
    if any(chain == () for chain in chains):
        return None
    one, two, three = (chain[0] if chain else None for chain in chains)
    return replace(before, chains=(one, two, three))


def _one_chain(before: Tree | None, after: Tree | None, kept: frozenset[str]) -> tuple[Tree | None, ...]:
    """The chain in a tuple of one; an empty tuple where the two do not fit each other."""
    if before is None or after is None:
        side: Sides = "after" if before is None else "before"
        alone = after if before is None else before
        return (sided(alone, side) if alone is not None else None,)
    if not keys(before) & kept and not keys(after) & kept:
        return (series([sided(before, "before"), sided(after, "after")]),)
    chain = merged(before, after, kept)
    return () if chain is None else (chain,)


def _sided(rung: Rung, side: Sides) -> Rung:
    tree = rung.tree
    if not isinstance(tree, ThreePhase):
        return replace(rung, tree=sided(tree, side))
    one, two, three = (None if chain is None else sided(chain, side) for chain in tree.chains)
    first, second, third = (replace(w, sides=side) for w in tree.windings)
    return replace(rung, tree=replace(tree, chains=(one, two, three), windings=(first, second, third)))


def _slot(rung: Rung, order: Mapping[str, int]) -> Slot:
    return Slot(rung.section, rung.group, min(order[key] for key in keys(rung.tree)), (rung,))


def with_motors(found: Iterable[Slot], wirings: Mapping[Sides, Wiring]) -> tuple[Slot, ...]:
    """Main and aux of a motor wired as such become one circle; its taps that end nowhere go into it."""
    held = [
        replace(s, rungs=tuple(replace(r, tree=_motors(r.tree, wirings)) for r in s.rungs)) for s in found
    ]
    whole = {m.name: m for s in held for r in s.rungs for m in _circles(r.tree)}
    unused = {name: _unused(motor, held, wirings) for name, motor in whole.items()}
    gone = {leaf.key for taps in unused.values() for leaf in taps}
    kept = [s for s in held if not any(keys(r.tree) <= gone for r in s.rungs)]
    return tuple(
        replace(s, rungs=tuple(replace(r, tree=_with_taps(r.tree, unused)) for r in s.rungs)) for s in kept
    )


def _circles(tree: Tree) -> list[Motor]:
    match tree:
        case Motor():
            return [tree]
        case Series(parts) | Parallel(parts):
            return [motor for part in parts for motor in _circles(part)]
        case _:
            return []


def _with_taps(tree: Tree, unused: Mapping[str, tuple[Leaf, ...]]) -> Tree:
    match tree:
        case Motor():
            return replace(tree, unused=unused[tree.name])
        case Series(parts) | Parallel(parts):
            return replace(tree, parts=tuple(_with_taps(part, unused) for part in parts))
        case _:
            return tree


def _unused(motor: Motor, held: Sequence[Slot], wirings: Mapping[Sides, Wiring]) -> tuple[Leaf, ...]:
    """Windings of the motor that are a rung by themselves, from its common terminal to an open end."""
    taps = []
    for slot in held:
        tree = slot.rungs[0].tree
        if len(slot.rungs) == 1 and isinstance(tree, Leaf) and tree.sides == motor.main.sides:
            lines = [w for side, w in wirings.items() if tree.sides in ("both", side)]
            if all(_is_spare(w, motor, tree.key) for w in lines):
                taps.append(tree)
    return tuple(taps)


def _is_spare(wiring: Wiring, motor: Motor, key: str) -> bool:
    load = wiring.circuit.loads.get(motor.name)
    if not isinstance(load, MotorLoad) or key not in load.main:
        return False
    main, tap = wiring.edges[motor.main.key], wiring.edges[key]
    shared = {main.a, main.b} & {tap.a, tap.b}
    free = {tap.a, tap.b} - shared
    return len(shared) == 1 and all(len(wiring.at[wiring.net(t)]) == 1 for t in free)


def _motors(tree: Tree, wirings: Mapping[Sides, Wiring]) -> Tree:
    match tree:
        case Series(parts):
            return Series(tuple(_motors(part, wirings) for part in parts))
        case Parallel(parts):
            for main in parts:
                for line in parts:
                    motor = _motor(main, line, wirings)
                    if motor is not None:
                        rest = [_motors(p, wirings) for p in parts if p is not main and p is not line]
                        return parallel([motor, *rest])
            return Parallel(tuple(_motors(part, wirings) for part in parts))
        case _:
            return tree


def _motor(main: Tree, line: Tree, wirings: Mapping[Sides, Wiring]) -> Motor | None:
    """The circle for a main winding and a line that begins or ends with the aux winding of the same motor."""
    if not isinstance(main, Leaf) or not isinstance(line, Series):
        return None
    for aux, below, mirrored in (
        (line.parts[0], line.parts[1:], False),
        (line.parts[-1], line.parts[:-1], True),
    ):
        if isinstance(aux, Leaf) and aux.sides == main.sides and below:
            sides = [side for side in wirings if aux.sides in ("both", side)]
            names = {_name(wirings[side], main, aux, mirrored) for side in sides}
            whole = all(on_side(series(below), side) for side in sides)
            windings = {k for w in wirings.values() for m in _psc(w) for k in (*m.main, m.aux)}
            name = names.pop() if len(names) == 1 else None
            if whole and name is not None and not windings & keys(series(below)):
                return Motor(name, main, aux, series(below), mirrored)
    return None


def _psc(wiring: Wiring) -> list[MotorLoad]:
    loads = wiring.circuit.loads.values()
    return [m for m in loads if isinstance(m, MotorLoad) and m.kind == "psc" and m.aux is not None]


def _name(wiring: Wiring, main: Leaf, aux: Leaf, mirrored: bool) -> str | None:
    """The motor whose main and aux these are, if they meet in one terminal of it."""
    for motor in _psc(wiring):
        if main.key in motor.main and aux.key == motor.aux:
            inner = [_end(wiring, leaf, right=mirrored) for leaf in (main, aux)]
            return motor.name if inner[0] == inner[1] else None
    return None


def _end(wiring: Wiring, leaf: Leaf, right: bool) -> str:
    edge = wiring.edges[leaf.key]
    return edge.b if leaf.flipped != right else edge.a
