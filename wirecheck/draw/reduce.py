"""Series-parallel reduction of a part of a circuit; of what is not series-parallel the least is taken out.

Reference: J. Valdes, R. E. Tarjan, E. L. Lawler, "The recognition of series parallel digraphs", 1982
(from memory): any order of the two merges comes to the same end.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.draw.tree import Leaf, Tree, leaves, parallel, reverse, series

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

TRIES = 2000  # combinations looked at before every remaining branch gets a rung of its own
AT_ONCE = 3  # branches taken out together


class Branch(Struct, frozen=True):
    """A tree between two nets, left and right."""

    left: str
    right: str
    tree: Tree

    def turned(self) -> Branch:
        return Branch(self.right, self.left, reverse(self.tree))

    def from_(self, net: str) -> Branch:
        return self if self.left == net else self.turned()


class Reduced(Struct, frozen=True):
    """spanning: from rail to rail. apart: dead ends and what was taken out, each between any two nets."""

    spanning: tuple[Branch, ...]
    apart: tuple[Branch, ...]


def reduced(branches: Sequence[Branch], rails: frozenset[str], cost: Callable[[Branch], int]) -> Reduced:
    """Take out as little as lets the rest reduce to branches from rail to rail.

    branches: of one connected part, in the circuit's order. cost: what it is worth to keep a branch in.
    """
    core, dead = _merge_all(branches, rails)
    if all(_spans(branch, rails) for branch in core):
        return Reduced(tuple(core), tuple(dead))
    tries = 0
    for size in range(1, AT_ONCE + 1):
        best: tuple[tuple[int, int, int], Reduced] | None = None
        for number, taken in enumerate(combinations(range(len(core)), size)):
            tries += 1
            if tries > TRIES:
                break
            rest, more = _merge_all([b for i, b in enumerate(core) if i not in taken], rails)
            if not rest or not all(_spans(branch, rails) for branch in rest):
                continue
            out = [core[i] for i in taken]
            rank = (len(more), sum(cost(b) for b in out), number)
            if best is None or rank < best[0]:
                best = rank, Reduced(tuple(rest), (*dead, *out, *more))
        if best is not None:
            return best[1]
    spanning = tuple(b for b in core if _spans(b, rails))
    return Reduced(spanning, (*dead, *(b for b in core if not _spans(b, rails))))


def _spans(branch: Branch, rails: frozenset[str]) -> bool:
    return branch.left in rails and branch.right in rails and branch.left != branch.right


def _merge_all(branches: Iterable[Branch], rails: frozenset[str]) -> tuple[list[Branch], list[Branch]]:
    """Merge what is in parallel or in line until nothing is; rings on one net and dead ends stand aside."""
    core, aside = list(branches), list[Branch]()
    while True:
        loops = [b for b in core if b.left == b.right]
        if loops:
            core = [b for b in core if b.left != b.right]
            aside.extend(loops)
            continue
        pair = _in_parallel(core) or _in_line(core, rails)
        if pair is not None:
            first, second, joined = pair
            core[core.index(first)] = joined
            core.remove(second)
            continue
        dead = _dead_end(core, rails)
        if dead is None:
            return core, aside
        core.remove(dead)
        aside.append(dead)


def _in_parallel(core: list[Branch]) -> tuple[Branch, Branch, Branch] | None:
    seen: dict[frozenset[str], Branch] = {}
    for branch in core:
        pair = frozenset((branch.left, branch.right))
        first = seen.setdefault(pair, branch)
        if first is not branch:
            tree = parallel([first.tree, branch.from_(first.left).tree])
            return first, branch, Branch(first.left, first.right, tree)
    return None


def _at(core: list[Branch]) -> dict[str, list[Branch]]:
    nets: dict[str, list[Branch]] = {}
    for branch in core:
        for net in (branch.left, branch.right):
            nets.setdefault(net, []).append(branch)
    return nets


def _in_line(core: list[Branch], rails: frozenset[str]) -> tuple[Branch, Branch, Branch] | None:
    for net, there in _at(core).items():
        if net not in rails and len(there) == 2:
            first, second = there
            left, right = first.from_(net).turned(), second.from_(net)
            return first, second, Branch(left.left, right.right, series([left.tree, right.tree]))
    return None


def _dead_end(core: list[Branch], rails: frozenset[str]) -> Branch | None:
    """A branch with a free end."""
    for net, there in _at(core).items():
        if net not in rails and len(there) == 1:
            return there[0]
    return None


def oriented(branch: Branch, rank: dict[str, int]) -> Branch:
    """Left rail to right rail; else a rail at the left; else by the first key, so that the tree is told once.

    rank: of the rails' nets, left to right.
    """
    left, right = (rank.get(net) for net in (branch.left, branch.right))
    if left is not None and right is not None and left != right:
        return branch if left < right else branch.turned()
    if (left is None) != (right is None):
        return branch if left is not None else branch.turned()
    first = min(leaves(branch.tree), key=lambda leaf: leaf.key)
    return branch.turned() if first.flipped else branch


def branch_of(key: str, left: str, right: str) -> Branch:
    """One edge between the nets of its two ends."""
    return Branch(left, right, Leaf(key))
