"""From a circuit to rungs: which elements hang in line and beside each other between which two rails."""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.circuit.elements import Capacitor, Contact, Motor, Transformer, Winding
from wirecheck.draw.reduce import Branch, branch_of, oriented, reduced
from wirecheck.draw.tree import Leaf, ThreePhase, Tree, keys, leaves, reverse, series

if TYPE_CHECKING:
    from wirecheck.draw.wiring import Edge, Wiring


class Group(IntEnum):
    """The order of rungs within a section."""

    SOURCE = 0
    MOTOR = 1
    LOAD = 2
    TRANSFORMER = 3
    APART = 4


SUPPLY, LOOSE = ("supply",), ("loose",)


class Rung(Struct, frozen=True):
    """section: the keys of its rails, or SUPPLY or LOOSE. left, right: the rail it meets there, else None."""

    section: tuple[str, ...]
    left: str | None
    right: str | None
    tree: Tree
    group: Group


def rungs_of(wiring: Wiring) -> tuple[Rung, ...]:
    """Every edge of the circuit in exactly one rung; not in the order in which they are drawn."""
    fed = {key for rail in wiring.rails.values() for key in rail.feed}
    found = list(_feeds(wiring))
    for part in _parts(wiring, fed):
        found.extend(_rungs_of_part(wiring, part))
    return tuple(_placed(rung, found) for rung in found)


def _feeds(wiring: Wiring) -> list[Rung]:
    """What lies between a pole and its rail, each pole in a line of its own."""
    found = []
    for rail in wiring.rails.values():
        if rail.feed:
            net, line = wiring.net(rail.key), list[Tree]()
            for key in rail.feed:
                edge = wiring.edges[key]
                flipped = wiring.net(edge.a) != net
                line.append(Leaf(key, flipped))
                net = wiring.net(edge.a if flipped else edge.b)
            found.append(Rung(SUPPLY, None, None, series(line), Group.SOURCE))
    return found


def _parts(wiring: Wiring, fed: set[str]) -> list[list[Edge]]:
    """The edges that hang together other than through a rail, in the circuit's order."""
    parts: list[list[Edge]] = []
    seen = set(fed)
    for first in wiring.edges:
        if first in seen:
            continue
        stack, part = [first], {first}
        while stack:
            edge = wiring.edges[stack.pop()]
            for net in {wiring.net(edge.a), wiring.net(edge.b)} - wiring.rails.keys():
                new = set(wiring.at[net]) - part - fed
                part |= new
                stack.extend(new)
        seen |= part
        parts.append([edge for key, edge in wiring.edges.items() if key in part])
    return parts


def _rungs_of_part(wiring: Wiring, part: list[Edge]) -> list[Rung]:
    branches = [branch_of(e.key, wiring.net(e.a), wiring.net(e.b)) for e in part]
    three = _three_phase(wiring, branches)
    if three is not None:
        return three
    rails = frozenset(wiring.rails)
    rank = {net: i for i, net in enumerate(wiring.rails)}
    result = reduced(branches, rails, lambda branch: _worth(wiring, branch))
    found = [_rung(wiring, oriented(b, rank)) for b in result.spanning]
    touched = tuple(r.key for n, r in wiring.rails.items() if any(n in (b.left, b.right) for b in branches))
    home = found[0].section if found else touched[:2] if len(touched) > 1 else touched or LOOSE
    apart = (oriented(b, rank) for b in result.apart)
    return found + [replace(_rung(wiring, b), section=home, group=Group.APART) for b in apart]


def _rung(wiring: Wiring, branch: Branch) -> Rung:
    left, right = (wiring.rails[n].key if n in wiring.rails else None for n in (branch.left, branch.right))
    if branch.left == branch.right:
        right = None
    section = (left, right) if left is not None and right is not None else LOOSE
    return Rung(section, left, right, branch.tree, _group(wiring, branch.tree))


def _placed(rung: Rung, rungs: list[Rung]) -> Rung:
    """A rung that meets one rail only goes where that rail is drawn; to the loose ones where none is."""
    section = rung.section
    if len(section) == 1 and section not in (SUPPLY, LOOSE):
        drawn = [r.section for r in rungs if len(r.section) == 2]
        beside = sorted((s.index(section[0]), n) for n, s in enumerate(drawn) if section[0] in s)
        section = drawn[beside[0][1]] if beside else LOOSE
    if len(section) != 2:
        return replace(rung, section=section, left=None, right=None)
    tree, left, right = rung.tree, rung.left, rung.right
    if left == section[1] or right == section[0]:
        tree, left, right = reverse(tree), right, left
    return Rung(
        section,
        left if left == section[0] else None,
        right if right == section[1] else None,
        tree,
        rung.group,
    )


def _group(wiring: Wiring, tree: Tree) -> Group:
    edges = [wiring.edges[key] for key in keys(tree)]
    elements = [wiring.circuit.elements[edge.element] for edge in edges]
    if any(edge.secondary for edge in edges):
        return Group.SOURCE
    if any(isinstance(element, Transformer) for element in elements):
        return Group.TRANSFORMER
    return Group.MOTOR if any(isinstance(element, Winding) for element in elements) else Group.LOAD


_WORTH = ((Winding, 100), (Contact, 10), (Capacitor, 5))


def _worth(wiring: Wiring, branch: Branch) -> int:
    """What it costs the reader when a branch is taken out of its rung: motors most, then contacts."""
    elements = [wiring.circuit.elements[wiring.edges[leaf.key].element] for leaf in leaves(branch.tree)]
    return sum(next((cost for kind, cost in _WORTH if isinstance(e, kind)), 1) for e in elements)


def _three_phase(wiring: Wiring, branches: list[Branch]) -> list[Rung] | None:
    """Three chains into one three-phase motor, if that is all that the part is."""
    there = {b.tree.key: b for b in branches if isinstance(b.tree, Leaf)}
    motors = [m for m in wiring.circuit.loads.values() if isinstance(m, Motor) and m.kind == "3ph"]
    motor = next((m for m in motors if set(m.main) <= there.keys()), None)
    if motor is None:
        return None
    windings = [there[key] for key in motor.main]
    star = set.intersection(*({w.left, w.right} for w in windings))
    if len(star) != 1 or len(wiring.at[next(iter(star))]) != 3:
        return None
    inner = next(iter(star))
    outer = [w.left if w.right == inner else w.right for w in windings]
    chains = _chains(wiring, [b for b in branches if b not in windings], outer)
    if chains is None:
        return None
    rank = {rail.key: i for i, rail in enumerate(wiring.rails.values())}
    lines = sorted(zip(chains, windings, outer, strict=True), key=lambda line: rank[line[0][0]])
    order = (lines[0], lines[1], lines[2])
    first, second, third = (chain[1] for chain, _, _ in order)
    ends = [Leaf(_key(w), flipped=w.left == inner) for _, w, _ in order]
    tree = ThreePhase(motor.name, (first, second, third), (ends[0], ends[1], ends[2]))
    return [Rung(tuple(chain[0] for chain, _, _ in order), None, None, tree, Group.MOTOR)]


def _key(winding: Branch) -> str:
    return next(leaves(winding.tree)).key


def _chains(wiring: Wiring, rest: list[Branch], outer: list[str]) -> list[tuple[str, Tree | None]] | None:
    """For each of three nets the rail it comes from and the tree between; None where it is otherwise."""
    fixed = frozenset(wiring.rails) | frozenset(outer)
    result = reduced(rest, fixed, lambda _: 0) if rest else None
    spanning = list(result.spanning) if result is not None else []
    if len(set(outer)) != 3 or (result is not None and result.apart):
        return None
    found: list[tuple[str, Tree | None]] = []
    for net in outer:
        if net in wiring.rails:
            found.append((wiring.rails[net].key, None))
            continue
        ways = [b for b in spanning if net in (b.left, b.right)]
        if len(ways) != 1:
            return None
        way = ways[0].from_(net).turned()
        if way.left not in wiring.rails:
            return None
        spanning.remove(ways[0])
        found.append((wiring.rails[way.left].key, way.tree))
    return found if not spanning and len({key for key, _ in found}) == 3 else None
