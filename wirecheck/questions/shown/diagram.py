"""One shared decision diagram: what the engine found of every state, small enough to travel in a page.

A node is (bit, where it leads if the bit is 0, if it is 1); below zero stands a value: -1 for 0, -2 for 1 ….
Each node exists once. Where no state is, the value is whatever makes the diagram smaller.
Source: R. E. Bryant, IEEE Trans. Computers C-35 (1986) 677, from memory.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.levels import at_end

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

Ref = int  # a node's number, or ~value
Values = dict[int, int]  # value -> settings, a bit each


class Diagram:
    """Nodes, each once. `low`: how many bits the settings of one vector take."""

    def __init__(self, low: int) -> None:
        self.low = low
        self.nodes: list[tuple[int, Ref, Ref]] = []
        self._known: dict[tuple[int, Ref, Ref], Ref] = {}
        self._built: dict[tuple[int, int, tuple[tuple[int, int], ...]], Ref] = {}
        self._applied: dict[tuple[str, Ref, Ref], Ref] = {}

    def node(self, bit: int, if0: Ref | None, if1: Ref | None) -> Ref | None:
        """A node; its only branch, where nothing is on the other side. None: nothing is on either."""
        if if0 is None or if1 is None or if0 == if1:
            return if0 if if1 is None else if1
        key = (bit, if0, if1)
        if key not in self._known:
            self._known[key] = len(self.nodes)
            self.nodes.append(key)
        return self._known[key]

    # --- from vectors ------------------------------------------------------------------------------

    def vector(self, values: Values, care: int) -> Ref | None:
        """The function that has each value in its settings; `care`: where there is a state at all."""
        return self._build(
            self.low, care, tuple(sorted((v, w & care) for v, w in values.items() if w & care))
        )

    def _build(self, bits: int, care: int, values: tuple[tuple[int, int], ...]) -> Ref | None:
        if not care:
            return None
        if len(values) == 1:
            return ~values[0][0]
        key = (bits, care, values)
        if key not in self._built:
            half = 1 << (bits - 1)
            low = (1 << half) - 1
            if0 = self._build(bits - 1, care & low, tuple((v, x) for v, w in values if (x := w & low)))
            if1 = self._build(bits - 1, care >> half, tuple((v, x) for v, w in values if (x := w >> half)))
            found = self.node(bits - 1, if0, if1)
            self._built[key] = ~0 if found is None else found
        return self._built[key]

    def joined(self, parts: Sequence[Ref | None], bit: int) -> Ref:
        """Functions of the lower bits as one, numbered by the bits from `bit` upwards."""
        row = list(parts)
        while len(row) > 1:
            row += [None] * (len(row) % 2)
            row = [self.node(bit, row[k], row[k + 1]) for k in range(0, len(row), 2)]
            bit += 1
        return ~0 if not row or row[0] is None else row[0]

    # --- of functions ------------------------------------------------------------------------------

    def highest(self, refs: Sequence[Ref]) -> Ref:
        """The highest of several values everywhere; 0 of none."""
        found = ~0
        for ref in refs:
            found = self._apply("highest", max, found, ref)
        return found

    def lowest(self, refs: Sequence[Ref]) -> Ref:
        """The lowest of several values everywhere."""
        found = refs[0]
        for ref in refs[1:]:
            found = self._apply("lowest", min, found, ref)
        return found

    def end(self, element: Ref, terminal: Ref) -> Ref:
        """The level of a line at an element's terminal, everywhere."""
        return self._apply("end", at_end, element, terminal)

    def renamed(self, ref: Ref, names: Sequence[int], known: dict[Ref, Ref]) -> Ref:
        """The function whose values are `names` of this one's. known: those that were renamed so before."""
        if ref < 0:
            return ~names[~ref]
        if ref not in known:
            bit, *branches = self.nodes[ref]
            found = self.node(bit, *(self.renamed(x, names, known) for x in branches))
            known[ref] = ~0 if found is None else found
        return known[ref]

    def _apply(self, name: str, of: Callable[[int, int], int], a: Ref, b: Ref) -> Ref:
        if a < 0 and b < 0:
            return ~of(~a, ~b)
        key = (name, a, b)
        if key not in self._applied:
            bit = max(self.nodes[r][0] for r in (a, b) if r >= 0)
            (a0, a1), (b0, b1) = self._branches(a, bit), self._branches(b, bit)
            found = self.node(bit, self._apply(name, of, a0, b0), self._apply(name, of, a1, b1))
            self._applied[key] = ~0 if found is None else found
        return self._applied[key]

    def _branches(self, ref: Ref, bit: int) -> tuple[Ref, Ref]:
        if ref >= 0 and self.nodes[ref][0] == bit:
            return self.nodes[ref][1], self.nodes[ref][2]
        return ref, ref

    def value(self, ref: Ref, state: int) -> int:
        """The value of a function in a state, as the page looks it up."""
        while ref >= 0:
            bit, if0, if1 = self.nodes[ref]
            ref = if1 if state >> bit & 1 else if0
        return ~ref

    def kept(self, roots: Sequence[Ref]) -> tuple[list[tuple[int, Ref, Ref]], dict[Ref, Ref]]:
        """The nodes that these functions use, numbered anew, and old number -> new."""
        wanted: set[Ref] = set()
        stack = [r for r in roots if r >= 0]
        while stack:
            ref = stack.pop()
            if ref not in wanted:
                wanted.add(ref)
                stack += [r for r in self.nodes[ref][1:] if r >= 0]
        number = {ref: k for k, ref in enumerate(sorted(wanted))}
        nodes = [self.nodes[ref] for ref in sorted(wanted)]
        return [(b, number.get(x, x), number.get(y, y)) for b, x, y in nodes], number
