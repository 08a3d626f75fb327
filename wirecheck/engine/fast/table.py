"""Hash-consed AND, OR and NOT over variables: each node exists once (speed.md section 1).

A node is a number. Its arguments have lower numbers, so the table is a straight-line program in that order.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable


class InputBit(Struct, frozen=True):
    """Variable number `variable` of the world stands moved."""

    variable: int


class CoilBit(Struct, frozen=True):
    """A coil of one side is in."""

    side: str
    coil: str


class DelayBit(Struct, frozen=True):
    """A delay of one side is moved."""

    side: str
    delay: str


Variable = InputBit | CoilBit | DelayBit
FALSE, TRUE = 0, 1
CONST, VAR, NOT, AND, OR = range(5)
TRIED = 12  # variables of which every combination is tried to show that a node is never true


class Table:
    """Nodes: operation `op`, arguments `a` and `b`, and the variables they read (`reads`, a bit each)."""

    def __init__(self) -> None:
        self.op = [CONST, CONST]
        self.a = [0, 0]
        self.b = [0, 0]
        self.reads = [0, 0]
        self.names: list[Variable] = []  # of variables, by their number
        self._variables: dict[Variable, int] = {}
        self._known: dict[tuple[int, int, int], int] = {}
        self._never: dict[int, bool] = {}
        self.given: dict[int, tuple[int, dict[int, int]]] = {}  # kept for `Space.given`, by chunk

    def _new(self, op: int, a: int, b: int, reads: int) -> int:
        self.op.append(op)
        self.a.append(a)
        self.b.append(b)
        self.reads.append(reads)
        return len(self.op) - 1

    def variable(self, name: Variable) -> int:
        """The node of a variable; `a` of it is the variable's number."""
        node = self._variables.get(name)
        if node is None:
            node = self._new(VAR, len(self.names), 0, 1 << len(self.names))
            self._variables[name] = node
            self.names.append(name)
        return node

    def variables(self) -> Iterable[tuple[Variable, int]]:
        """Every variable and its node."""
        return self._variables.items()

    def negate(self, x: int) -> int:
        if x <= TRUE:
            return x ^ 1
        if self.op[x] == NOT:
            return self.a[x]
        key = (NOT, x, 0)
        node = self._known.get(key)
        if node is None:
            node = self._known[key] = self._new(NOT, x, 0, self.reads[x])
        return node

    def both(self, x: int, y: int) -> int:
        """x AND y, simplified where one side holds the other."""
        if x > y:
            x, y = y, x
        if x in (FALSE, y):
            return x
        if x == TRUE:
            return y
        return self._pair(AND, OR, x, y)

    def either(self, x: int, y: int) -> int:
        """x OR y, simplified where one side holds the other."""
        if x > y:
            x, y = y, x
        if x in (TRUE, y):
            return x
        if x == FALSE:
            return y
        return self._pair(OR, AND, x, y)

    def _pair(self, op: int, dual: int, x: int, y: int) -> int:
        key = (op, x, y)
        node = self._known.get(key)
        if node is None:
            node = self._known[key] = self._made(op, dual, x, y)
        return node

    def _made(self, op: int, dual: int, x: int, y: int) -> int:
        """Absorption and contradiction one step deep, else a new node."""
        ops, a, b = self.op, self.a, self.b
        for one, other in ((x, y), (y, x)):
            if ops[one] == NOT:
                if a[one] == other:
                    return TRUE if op == OR else FALSE
                below = a[one]
                if ops[below] == op and other in (a[below], b[below]):
                    rest = b[below] if a[below] == other else a[below]
                    return (self.both if op == AND else self.either)(other, self.negate(rest))
            elif ops[one] == dual and other in (a[one], b[one]):
                return other
            elif ops[one] == op:
                if other in (a[one], b[one]):
                    return one
                if self._opposite(a[one], other) or self._opposite(b[one], other):
                    return TRUE if op == OR else FALSE
        return self._new(op, x, y, self.reads[x] | self.reads[y])

    def _opposite(self, x: int, y: int) -> bool:
        return (self.op[x] == NOT and self.a[x] == y) or (self.op[y] == NOT and self.a[y] == x)

    def all(self, nodes: Iterable[int]) -> int:
        found = TRUE
        for n in nodes:
            found = self.both(found, n)
        return found

    def any(self, nodes: Iterable[int]) -> int:
        found = FALSE
        for n in nodes:
            found = self.either(found, n)
        return found

    def never(self, node: int) -> bool:
        """Is a node false whatever its variables are? False too where it reads too many to try them all."""
        if node <= TRUE:
            return node == FALSE
        if node not in self._never:
            count = self.reads[node].bit_count()
            self._never[node] = count <= TRIED and self._tried(node, count) == 0
        return self._never[node]

    def _tried(self, node: int, count: int) -> int:
        """The truth table of a node over the variables that it reads."""
        ones = (1 << (1 << count)) - 1
        free = [pattern(k, count) for k in range(count)]
        values = {FALSE: 0, TRUE: ones}
        for n in self.cone(node):
            op, a, b = self.op[n], self.a[n], self.b[n]
            if op == VAR:
                values[n] = free.pop()
            elif op == NOT:
                values[n] = values[a] ^ ones
            else:
                values[n] = values[a] & values[b] if op == AND else values[a] | values[b]
        return values[node]

    def cone(self, *nodes: int) -> list[int]:
        """The nodes that these are made of, arguments first."""
        seen, queue = set(nodes), list(nodes)
        while queue:
            n = queue.pop()
            if self.op[n] in (NOT, AND, OR):
                for m in (self.a[n], self.b[n]) if self.op[n] != NOT else (self.a[n],):
                    if m not in seen:
                        seen.add(m)
                        queue.append(m)
        return sorted(n for n in seen if n > TRUE)


def pattern(k: int, count: int) -> int:
    """Bit k of 0, 1, 2 … 2^count - 1."""
    found, width = ((1 << (1 << k)) - 1) << (1 << k), 2 << k
    while width < 1 << count:
        found |= found << width
        width *= 2
    return found
