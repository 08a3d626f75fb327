"""Conductors, links and contacts of one circuit as a tree of blocks, and which of them carry, as vectors.

With every contact closed, a block is what no single terminal parts: mostly one conductor. A block's edge
carries current where it is closed and no single terminal parts it from the places where current goes in and
out: then two ways without a terminal in common lead to two of these (Menger), a simple way through it.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Link, Transformer

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from wirecheck.engine.solver import Solver

Places = dict[str, int]  # terminal -> the settings in which current comes in or goes out
Shut = dict[str, int]  # contact -> where it is closed
Phasor = tuple[complex, bool]  # A; does it lie anywhere within a quarter turn of that?


class Block:
    """Terminals, and by pair of them the conductors, links and contacts between."""

    def __init__(self, pairs: Mapping[tuple[str, str], tuple[str, ...]]) -> None:
        self.pairs = dict(pairs)
        self.terminals = tuple(dict.fromkeys(t for pair in pairs for t in pair))
        self.near: dict[str, list[tuple[str, tuple[str, str]]]] = defaultdict(list)
        for a, b in pairs:
            self.near[a].append((b, (a, b)))
            self.near[b].append((a, (a, b)))


class Rings:
    """The blocks of one circuit. sources: the poles that can give or take what the rest leaves over."""

    def __init__(self, plain: Solver) -> None:
        import networkx as nx

        self.plain, circuit = plain, plain.circuit
        edges = [(w.id, w.a, w.b) for w in circuit.conductors.values()]
        edges += [(e.id, e.a, e.b) for e in circuit.elements.values() if isinstance(e, Link)]
        edges += [(c.id, c.a, c.b) for c in circuit.contacts.values()]
        between: dict[tuple[str, str], list[str]] = {}
        for i, a, b in edges:
            between.setdefault((min(a, b), max(a, b)), []).append(i)
        graph: nx.Graph[str] = nx.Graph([pair for pair in between if pair[0] != pair[1]])
        self.blocks = [
            Block({(min(p), max(p)): tuple(between[min(p), max(p)]) for p in block})
            for block in nx.biconnected_component_edges(graph)
        ]
        self.at: dict[str, list[Block]] = defaultdict(list)
        for block in self.blocks:
            for t in block.terminals:
                self.at[t].append(block)
        self._piece = {t: k for k, piece in enumerate(nx.connected_components(graph)) for t in piece}
        self.idle = never_in_a_loop(plain)
        self.sources = tuple(p for p in circuit.poles if p in graph and p not in self.idle)
        self._far: dict[tuple[int, str], frozenset[str]] = {}

    def piece(self, terminal: str) -> int | str:
        """What is joined to a terminal with every contact closed; one by itself where nothing is."""
        return self._piece.get(terminal, terminal)

    def beyond(self, terminal: str, found: Mapping[str, set[Phasor]]) -> set[Phasor]:
        """What is found anywhere in the piece of a terminal, but at itself."""
        piece = self.piece(terminal)
        return {p for t, each in found.items() if t != terminal and self.piece(t) == piece for p in each}

    def _idle(self, block: Block) -> bool:
        return len(block.pairs) == 1 and all(i in self.idle for ids in block.pairs.values() for i in ids)

    # --- vectors -------------------------------------------------------------------------------------

    def reached(self, start: str, places: Places, shut: Shut) -> int:
        """Where something joined to a terminal takes or gives current."""
        return self._out(start, None, places, shut, {})

    def carrying(self, places: Places, shut: Shut, clear: int) -> dict[str, int]:
        """Edge -> where it carries."""
        found: dict[str, int] = {}
        kept: dict[tuple[str, int], int] = {}
        for block in self.blocks:
            if self._idle(block):
                continue
            live = {t: self._out(t, block, places, shut, kept) for t in block.terminals}
            if sum(1 for where in live.values() if where) < 2:
                continue
            for pair, where in self._in_block(block, live, shut, clear).items():
                for i in block.pairs[pair]:
                    if here := where & shut.get(i, clear):
                        found[i] = here
        return found

    def _out(
        self, t: str, block: Block | None, places: Places, shut: Shut, kept: dict[tuple[str, int], int]
    ) -> int:
        """Where current goes in or out at a terminal or beyond it, seen from a block."""
        key = (t, id(block))
        if key not in kept:
            found = places.get(t, 0)
            for other in self.at.get(t, ()):
                if other is not block and not self._idle(other):
                    found |= self._through(other, t, places, shut, kept)
            kept[key] = found
        return kept[key]

    def _through(
        self, block: Block, start: str, places: Places, shut: Shut, kept: dict[tuple[str, int], int]
    ) -> int:
        live = {t: self._out(t, block, places, shut, kept) for t in block.terminals if t != start}
        if not any(live.values()):
            return 0
        return spread(block, live | {start: 0}, closing(block, shut), "")[start]

    def _in_block(self, block: Block, live: Places, shut: Shut, clear: int) -> dict[tuple[str, str], int]:
        closed = closing(block, shut)
        if len(block.pairs) == 1:
            ((a, b),) = block.pairs
            return {(a, b): live[a] & live[b]}
        found = {pair: where if where is not None else clear for pair, where in closed.items()}
        for w in block.terminals:
            without = spread(block, live, closed, w)
            for pair in found:
                a, b = pair
                found[pair] &= without[b if w == a else a]
        return found

    # --- what may cancel ------------------------------------------------------------------------------

    def never_cancel(
        self, phasors: Mapping[str, set[Phasor]], one_sided: Callable[[set[Phasor]], bool]
    ) -> bool:
        """Can the currents of no side of any block add up to nothing?"""
        blocks = (block for block in self.blocks if not self._idle(block))
        return all(self._told(block, phasors, one_sided) for block in blocks)

    def _told(
        self, block: Block, phasors: Mapping[str, set[Phasor]], one_sided: Callable[[set[Phasor]], bool]
    ) -> bool:
        sides = [self._beyond(block, t) for t in block.terminals]
        each = [{p for t in side for p in phasors.get(t, ())} for side in sides]
        fed = [bool(side.intersection(self.sources)) for side in sides]
        if any(fed):
            return one_sided({p for f, found in zip(fed, each, strict=True) if not f for p in found})
        return any(
            one_sided({p for k, found in enumerate(each) if k != balance for p in found})
            for balance in range(len(each))
        )

    def _beyond(self, block: Block, t: str) -> frozenset[str]:
        """The terminals on a block's terminal and beyond it."""
        key = (id(block), t)
        if key not in self._far:
            found, queue = {t}, [(t, block)]
            for at, came in queue:
                for other in self.at[at]:
                    if other is not came and not self._idle(other):
                        new = [x for x in other.terminals if x not in found]
                        found.update(new)
                        queue += [(x, other) for x in new]
            self._far[key] = frozenset(found)
        return self._far[key]


def never_in_a_loop(plain: Solver) -> frozenset[str]:
    """Conductors, links, contacts and poles that no loop passes, whatever the contacts do: no current can.

    A loop goes through impedances and windings too, and from pole to pole through the supply.
    """
    import networkx as nx

    circuit = plain.circuit
    rows = [(w.id, w.a, w.b) for w in circuit.conductors.values()]
    rows += [(p, p, "") for p in circuit.poles]
    for e in circuit.elements.values():
        pairs = e.windings if isinstance(e, Transformer) else ((e.a, e.b, 1.0),)
        rows += [(e.id, a, b) for a, b, _ in pairs]
    between: dict[frozenset[str], list[str]] = {}
    for i, a, b in rows:
        between.setdefault(frozenset((a, b)), []).append(i)
    graph: nx.Graph[str] = nx.Graph((a, b) for _, a, b in rows if a != b)
    alone = (between[frozenset(pair)] for pair in nx.bridges(graph))
    return frozenset(ids[0] for ids in alone if len(ids) == 1)


def closing(block: Block, shut: Shut) -> dict[tuple[str, str], int | None]:
    """Where each pair of terminals is joined; None: always."""
    found: dict[tuple[str, str], int | None] = {}
    for pair, ids in block.pairs.items():
        where: int | None = 0
        for i in ids:
            where = None if where is None or i not in shut else where | shut[i]
        found[pair] = where
    return found


def spread(block: Block, live: Places, closed: Mapping[tuple[str, str], int | None], w: str) -> Places:
    """Where each terminal leads to a live one, with terminal w away: the least solution, by passes."""
    found = {t: 0 if t == w else where for t, where in live.items()}
    queue = [t for t, where in found.items() if where]
    while queue:
        at = queue.pop()
        for to, pair in _leads(block, at, w):
            shut = closed[pair]
            new = found[to] | (found[at] if shut is None else found[at] & shut)
            if new != found[to]:
                found[to] = new
                queue.append(to)
    return found


def _leads(block: Block, at: str, w: str) -> Iterator[tuple[str, tuple[str, str]]]:
    return ((to, pair) for to, pair in block.near[at] if to != w)
