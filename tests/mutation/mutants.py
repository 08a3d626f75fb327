"""Mutants of a source text: one small change each, made by `ast` and put in at its place in the text.

Left alone: strings, annotations, decorators, what is only for type checkers, and `assert_never`.
"""

from __future__ import annotations

import ast
import copy
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
CALLED = {"any": "all", "all": "any", "min": "max", "max": "min"}
NUMBERS = frozenset({"float", "int", "complex"})
ONLY_TYPES = frozenset({"annotation", "returns", "decorator_list", "bases", "type_params"})


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change. start, end: of what is replaced, in characters. was, becomes: the lines, in one.

    statement: the line where the innermost statement begins, 0 outside of functions.
    """

    file: str
    line: int
    statement: int
    within: str
    was: str
    becomes: str
    start: int
    end: int
    put: str

    def of(self, text: str) -> str:
        """The text with the change in it."""
        return text[: self.start] + self.put + text[self.end :]


def mutants(file: str, text: str) -> list[Mutant]:
    """Every mutant of a file, in its order; of two that read alike the first."""
    places = _Places(file, text)
    found: dict[tuple[int, int, str], Mutant] = {}
    tree = ast.parse(text)
    statements = _statements(tree)
    for within, node, changed in _walk(tree, "", ""):
        one = places.mutant(within, statements.get(node, 0), node, changed)
        found.setdefault((one.start, one.end, one.put), one)
    return sorted(found.values(), key=lambda m: (m.start, m.end, m.put))


def _statements(tree: ast.Module) -> dict[ast.AST, int]:
    """The line of the innermost statement that each node of a function's body stands in."""
    found: dict[ast.AST, int] = {}
    for function in ast.walk(tree):  # outer ones first, so that the innermost is kept
        if isinstance(function, ast.FunctionDef):
            for top in function.body:
                for one in [n for n in ast.walk(top) if isinstance(n, ast.stmt)]:
                    found |= dict.fromkeys(ast.walk(one), one.lineno)
    return found


class _Places:
    """Where nodes stand in a text. `ast` counts columns in bytes of a line."""

    def __init__(self, file: str, text: str) -> None:
        self.file, self.text = file, text
        self.lines = text.splitlines(keepends=True)
        self.starts = [0]
        for line in self.lines:
            self.starts.append(self.starts[-1] + len(line))

    def at(self, line: int, column: int) -> int:
        before = self.lines[line - 1].encode()[:column].decode()
        return self.starts[line - 1] + len(before)

    def mutant(self, within: str, statement: int, node: ast.expr | ast.stmt, changed: ast.AST) -> Mutant:
        last = node.end_lineno or node.lineno
        start, end = self.at(node.lineno, node.col_offset), self.at(last, node.end_col_offset or 0)
        put = ast.unparse(changed)
        if isinstance(node, ast.expr) and not isinstance(node, ast.Name | ast.Constant):
            put = f"({put})"
        first, behind = self.starts[node.lineno - 1], self.starts[last]
        was, becomes = self.text[first:behind], self.text[first:start] + put + self.text[end:behind]
        was, becomes = " ".join(was.split()), " ".join(becomes.split())
        return Mutant(self.file, node.lineno, statement, within, was, becomes, start, end, put)


Change = tuple[str, "ast.expr | ast.stmt", ast.AST]


def _walk(node: ast.AST, within: str, returns: str) -> Iterator[Change]:
    """Places and what to put there. within: function or class. returns: the type of its function."""
    if isinstance(node, ast.JoinedStr) or (isinstance(node, ast.If) and _only_types(node.test)):
        return
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        within = f"{within}.{node.name}".lstrip(".")
    if isinstance(node, ast.FunctionDef):
        returns = ast.unparse(node.returns) if node.returns else ""
    if isinstance(node, ast.expr | ast.stmt):
        for place, changed in _changes(node, returns):
            yield within, place, changed
    if isinstance(node, ast.comprehension):
        for test in node.ifs:
            for value in (True, False):
                yield within, test, ast.Constant(value)
    for name, field in ast.iter_fields(node):
        if name not in ONLY_TYPES:
            for child in field if isinstance(field, list) else [field]:
                if isinstance(child, ast.AST):
                    yield from _walk(child, within, returns)


def _only_types(test: ast.expr) -> bool:
    return isinstance(test, ast.Name) and test.id == "TYPE_CHECKING"


def _changes(node: ast.expr | ast.stmt, returns: str) -> Iterator[tuple[ast.expr | ast.stmt, ast.AST]]:
    match node:
        case ast.Compare(ops=ops):
            for k, op in enumerate(ops):
                for other in COMPARED[type(op)][1 if _slack(node) else 0 :]:
                    yield node, _with(node, ops=[*ops[:k], other(), *ops[k + 1 :]])
        case ast.BoolOp(op=op):
            yield node, _with(node, op=ast.Or() if isinstance(op, ast.And) else ast.And())
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield node, operand
        case ast.BinOp(op=ast.Add() | ast.Sub()) | ast.AugAssign(op=ast.Add() | ast.Sub()):
            yield node, _with(node, op=ast.Sub() if isinstance(node.op, ast.Add) else ast.Add())
        case ast.Constant(value=bool(value)):
            yield node, ast.Constant(not value)
        case ast.Constant(value=int(value)):
            yield from ((node, ast.Constant(other)) for other in (value + 1, value - 1))
        case ast.Constant(value=float(value)):
            yield from ((node, ast.Constant(other)) for other in (value * 1.25, value * 0.8) if value)
        case ast.Call(func=ast.Name(id=name)) if name in CALLED:
            yield node, _with(node, func=ast.Name(CALLED[name]))
        case ast.If(test=test) | ast.IfExp(test=test):
            yield from ((test, ast.Constant(value)) for value in (True, False))
        case ast.While(test=test):
            yield test, ast.Constant(False)
        case ast.Return(value=ast.expr() as value) if returns == "bool":
            yield value, ast.UnaryOp(ast.Not(), value)
        case ast.Return(value=ast.expr() as value) if returns in NUMBERS:
            yield value, ast.UnaryOp(ast.USub(), value)
        case ast.Break() | ast.Continue():
            yield node, ast.Pass()
        case ast.Expr(value=ast.Call(func=func)) if ast.unparse(func) != "assert_never":
            yield node, ast.Pass()


def _slack(node: ast.Compare) -> bool:
    """Does this compare with a slack? Then nothing falls on the edge itself, whose side is of no account."""
    return any(
        isinstance(n, ast.Attribute | ast.Name) and ast.unparse(n).endswith("SLACK") for n in ast.walk(node)
    )


def _with(node: ast.AST, **fields: object) -> ast.AST:
    other = copy.copy(node)
    for name, value in fields.items():
        setattr(other, name, value)
    return other
