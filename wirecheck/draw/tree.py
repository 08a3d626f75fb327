"""Series and parallel trees of elements, from a left end to a right end, and how two of them become one.

A tree is normal: no series within a series, no parallel within a parallel, none with a single part.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

Sides = Literal["both", "before", "after"]


class Leaf(Struct, frozen=True):
    """One edge; `flipped`: its `b` end is at the left. `sides`: in which of the two circuits it is here."""

    key: str
    flipped: bool = False
    sides: Sides = "both"


class Series(Struct, frozen=True):
    """Parts in line, left to right."""

    parts: tuple[Tree, ...]


class Parallel(Struct, frozen=True):
    """Parts beside each other, top to bottom."""

    parts: tuple[Tree, ...]


class Motor(Struct, frozen=True):
    """main ∥ (aux + below), drawn as one circle. `mirrored`: the common terminal is at the right.

    unused: taps of the same motor that end nowhere.
    """

    name: str
    main: Leaf
    aux: Leaf
    below: Tree
    mirrored: bool
    unused: tuple[Leaf, ...] = ()


class ThreePhase(Struct, frozen=True):
    """Three chains into one three-phase motor, top to bottom. `windings` as the chains, star point inside."""

    name: str
    chains: tuple[Tree | None, Tree | None, Tree | None]
    windings: tuple[Leaf, Leaf, Leaf]


Tree = Leaf | Series | Parallel | Motor | ThreePhase


def series(parts: Iterable[Tree]) -> Tree:
    """The parts in line; a single one is itself."""
    return _normal(Series, parts)


def parallel(parts: Iterable[Tree]) -> Tree:
    """The parts beside each other; a single one is itself."""
    return _normal(Parallel, parts)


def _normal(kind: type[Series | Parallel], parts: Iterable[Tree]) -> Tree:
    flat = [inner for part in parts for inner in (part.parts if isinstance(part, kind) else (part,))]
    return flat[0] if len(flat) == 1 else kind(tuple(flat))


def reverse(tree: Tree) -> Tree:
    """The same seen from the other end."""
    match tree:
        case Leaf():
            return replace(tree, flipped=not tree.flipped)
        case Series(parts):
            return Series(tuple(reverse(part) for part in reversed(parts)))
        case Parallel(parts):
            return Parallel(tuple(reverse(part) for part in parts))
        case Motor():
            main, aux = (replace(leaf, flipped=not leaf.flipped) for leaf in (tree.main, tree.aux))
            return replace(tree, main=main, aux=aux, below=reverse(tree.below), mirrored=not tree.mirrored)
        case ThreePhase():
            return tree


def leaves(tree: Tree) -> Iterator[Leaf]:
    """Every leaf, left to right and top to bottom."""
    match tree:
        case Leaf():
            yield tree
        case Series(parts) | Parallel(parts):
            for part in parts:
                yield from leaves(part)
        case Motor():
            yield from (tree.main, tree.aux, *tree.unused)
            yield from leaves(tree.below)
        case ThreePhase():
            for chain, winding in zip(tree.chains, tree.windings, strict=True):
                yield from leaves(chain) if chain else ()
                yield winding


def keys(tree: Tree) -> frozenset[str]:
    """The keys of all its edges."""
    return frozenset(leaf.key for leaf in leaves(tree))


def on_side(tree: Tree, side: Sides) -> bool:
    """Whether anything of the tree is in the circuit of that side."""
    return any(leaf.sides in ("both", side) for leaf in leaves(tree))


def sided(tree: Tree, side: Sides) -> Tree:
    """Every leaf marked as being on that side only. Of trees before motors are found."""
    match tree:
        case Leaf():
            return replace(tree, sides=side)
        case Series(parts):
            return Series(tuple(sided(part, side) for part in parts))
        case Parallel(parts):
            return Parallel(tuple(sided(part, side) for part in parts))
        case _:
            raise TypeError(f"{tree} is no plain tree")


def only(tree: Tree, side: Sides) -> Tree | None:
    """What of a tree is in the circuit of that side, marked as being there only; None where nothing is."""
    match tree:
        case Leaf():
            return replace(tree, sides=side) if tree.sides in ("both", side) else None
        case Series(parts) | Parallel(parts):
            left = [part for whole in parts if (part := only(whole, side)) is not None]
            return _normal(type(tree), left) if left else None
        case Motor():
            below = only(tree.below, side)
            if below is None:
                return None
            main, aux = replace(tree.main, sides=side), replace(tree.aux, sides=side)
            unused = tuple(replace(leaf, sides=side) for leaf in tree.unused)
            return replace(tree, main=main, aux=aux, below=below, unused=unused)
        case ThreePhase():
            one, two, three = (None if chain is None else only(chain, side) for chain in tree.chains)
            first, second, third = (replace(winding, sides=side) for winding in tree.windings)
            return replace(tree, chains=(one, two, three), windings=(first, second, third))


def stripped(tree: Tree, kept: frozenset[str]) -> Tree | None:
    """What is left of a plain tree when only the edges in `kept` stay; parallels in order of their keys."""
    match tree:
        case Leaf():
            return tree if tree.key in kept else None
        case Series(parts):
            left = [s for part in parts if (s := stripped(part, kept)) is not None]
            return series(left) if left else None
        case Parallel(parts):
            left = [s for part in parts if (s := stripped(part, kept)) is not None]
            flat = parallel(left) if left else None
            return Parallel(tuple(sorted(flat.parts, key=_first_key))) if isinstance(flat, Parallel) else flat
        case _:
            raise TypeError(f"{tree} is no plain tree")


def _first_key(tree: Tree) -> str:
    return min(keys(tree))


def merged(before: Tree, after: Tree, kept: frozenset[str]) -> Tree | None:
    """One tree with a slot for everything in either; None where the kept parts are connected otherwise."""
    if stripped(before, kept) != stripped(after, kept):
        return None
    return _merge(before, after, kept)


def _merge(before: Tree, after: Tree, kept: frozenset[str]) -> Tree | None:
    """Peel what only one side has around the common part; then join parts of the same kind."""
    for tree, other, side in ((after, before, "after"), (before, after, "before")):
        if isinstance(tree, Series | Parallel):
            common = [part for part in tree.parts if keys(part) & kept]
            if len(common) == 1:
                inner = _merge(other, common[0], kept) if side == "after" else _merge(common[0], other, kept)
                if inner is None:
                    return None
                parts = (inner if part is common[0] else sided(part, side) for part in tree.parts)  # type: ignore[arg-type]
                return _normal(type(tree), parts)
    if isinstance(before, Leaf):
        return before if before == after else None
    if isinstance(before, Series) and isinstance(after, Series):
        return _merge_series(before, after, kept)
    if isinstance(before, Parallel) and isinstance(after, Parallel):
        return _merge_parallel(before, after, kept)
    return None


def _merge_groups(
    before: list[Tree], after: list[Tree], kind: type[Series | Parallel], kept: frozenset[str]
) -> Tree | None:
    """One group of parts on each side that hold the same kept edges; at most one side may have several."""
    if len(before) > 1 and len(after) > 1:
        return None
    return _merge(_normal(kind, before), _normal(kind, after), kept)


def _merge_series(before: Series, after: Series, kept: frozenset[str]) -> Tree | None:
    """Walk both from the left; close a group wherever both have passed the same kept edges."""
    slots: list[Tree] = []
    groups: tuple[list[Tree], list[Tree]] = ([], [])
    passed: tuple[set[str], set[str]] = (set(), set())
    queues = (list(before.parts), list(after.parts))
    while queues[0] or queues[1] or groups[0] or groups[1]:
        for queue, side in ((queues[0], "before"), (queues[1], "after")):
            while not groups[0] and not groups[1] and queue and not keys(queue[0]) & kept:
                slots.append(sided(queue.pop(0), side))  # type: ignore[arg-type]
        if not queues[0] and not queues[1] and not groups[0]:
            break
        behind = 0 if len(passed[0]) <= len(passed[1]) and queues[0] else 1
        if not queues[behind]:
            return None
        part = queues[behind].pop(0)
        groups[behind].append(part)
        passed[behind].update(keys(part) & kept)
        if passed[0] == passed[1] and groups[0] and groups[1]:
            joined = _merge_groups(groups[0], groups[1], Series, kept)
            if joined is None:
                return None
            slots.append(joined)
            groups[0].clear()
            groups[1].clear()
    return series(slots)


def _merge_parallel(before: Parallel, after: Parallel, kept: frozenset[str]) -> Tree | None:
    """Branches that share kept edges form a group, in the order of the circuit before; new ones below."""
    slots: list[Tree] = []
    left = list(after.parts)
    taken: set[int] = set()
    for index, part in enumerate(before.parts):
        if index in taken:
            continue
        mine, theirs, held = [part], [], keys(part) & kept
        if not held:
            slots.append(sided(part, "before"))
            continue
        grows = True
        while grows:
            grows = False
            for other in [o for o in left if keys(o) & held]:
                left.remove(other)
                theirs.append(other)
                held |= keys(other) & kept
                grows = True
            for later, own in enumerate(before.parts):
                if later > index and later not in taken and keys(own) & held:
                    taken.add(later)
                    mine.append(own)
                    held |= keys(own) & kept
                    grows = True
        joined = _merge_groups(mine, theirs, Parallel, kept)
        if joined is None:
            return None
        slots.append(joined)
    return parallel([*slots, *(sided(part, "after") for part in left)])
