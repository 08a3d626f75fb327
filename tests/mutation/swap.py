"""Puts a mutant into modules that are loaded: the code of one function is exchanged, nothing loads anew."""

from __future__ import annotations

import ast
import functools
import importlib
import types
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.mutation.mutants import Mutant


class CannotSwap(Exception):
    """The mutant stands outside of functions, or its function is out of reach."""


@dataclass(frozen=True, slots=True)
class _Found:
    """A function of a module or of a class of it. path: its names. first, last: lines of its body."""

    path: tuple[str, ...]
    first: int
    last: int


def _functions(tree: ast.Module) -> Iterator[_Found]:
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            yield _Found((node.name,), node.body[0].lineno, node.end_lineno or 0)
        elif isinstance(node, ast.ClassDef):
            for one in node.body:
                if isinstance(one, ast.FunctionDef):
                    yield _Found((node.name, one.name), one.body[0].lineno, one.end_lineno or 0)


def put_in(one: Mutant, text: str) -> None:
    """Exchange the code of the function in which a mutant stands. text: of its file, unchanged.

    Raises CannotSwap.
    """
    found = [f for f in _functions(ast.parse(text)) if f.first <= one.line <= f.last]
    if not one.statement or len(found) != 1:
        raise CannotSwap(one.within)
    path = found[0].path
    module = importlib.import_module(one.file.removesuffix(".py").removesuffix("/__init__").replace("/", "."))
    if module.__file__ != str(Path.cwd() / one.file):
        raise CannotSwap(one.file)
    function = _function(module, path)
    code = _code(compile(one.of(text), module.__file__, "exec", dont_inherit=True), ".".join(path))
    try:
        function.__code__ = code
    except ValueError as why:
        raise CannotSwap(path) from why


def _function(module: types.ModuleType, path: tuple[str, ...]) -> types.FunctionType:
    """The function itself, without what decorates it; what it kept of answers is forgotten."""
    found: Any = module
    for name in path:
        found = vars(found)[name]
    if isinstance(found, property):
        found = found.fget
    if isinstance(found, functools.cached_property):
        found = found.func
    if isinstance(found, staticmethod | classmethod):
        found = found.__func__
    while hasattr(found, "__wrapped__"):
        if hasattr(found, "cache_clear"):
            found.cache_clear()
        found = found.__wrapped__
    if not isinstance(found, types.FunctionType) or found.__code__.co_qualname != ".".join(path):
        raise CannotSwap(path)
    return found


def _code(code: types.CodeType, path: str) -> types.CodeType:
    """The code of the one function of this path."""
    inner = [c for c in code.co_consts if isinstance(c, types.CodeType)]
    parts = [c for one in inner for c in (one, *one.co_consts) if isinstance(c, types.CodeType)]
    found = [c for c in parts if c.co_qualname == path]
    if len(found) != 1:
        raise CannotSwap(path)
    return found[0]
