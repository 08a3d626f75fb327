"""Which tests reach which statement: a copy of the code in which each statement tells that it is reached."""

from __future__ import annotations

import ast
import builtins
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

NAME = "REACHED"  # a set among the builtins, of `file:line`


@dataclass
class Cover:
    """reached: tests by `file:line` of a statement in a function. seconds: of each test."""

    reached: dict[str, list[str]] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)

    def tests(self, file: str, statement: int, most: float) -> list[str]:
        """Tests that reach a statement, quickest first, as many as end within so many seconds.

        statement: its line; 0 for what stands in no function, where tests that reach anything of the file count.
        """
        found = self.reached.get(f"{file}:{statement}", [])
        if not statement:
            found = [t for k, tests in self.reached.items() if k.startswith(f"{file}:") for t in tests]
        chosen, left = [], most
        for test in sorted(set(found), key=lambda t: (self.seconds[t], t)):
            left -= self.seconds[test]
            if left < 0:
                break
            chosen.append(test)
        return chosen


class Watch:
    """A plugin of pytest that fills a `Cover`."""

    def __init__(self) -> None:
        self.cover = Cover()
        self.hits: set[str] = set()
        setattr(builtins, NAME, self.hits)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterable[None]:
        self.hits.clear()
        start = time.process_time()
        result = yield
        self.cover.seconds[item.nodeid] = time.process_time() - start
        for key in self.hits:
            self.cover.reached.setdefault(key, []).append(item.nodeid)
        return result


def watch(folder: Path, files: Iterable[str]) -> None:
    """Write into the files of a copy that each statement of a function tells that it is reached."""
    for file in files:
        path = folder / file
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for function in [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)]:
            function.body = list(_told(function.body, file))
        path.write_text(ast.unparse(tree), encoding="utf-8")


def _told(body: Iterable[ast.stmt], file: str) -> Iterable[ast.stmt]:
    """Statements, each behind one that tells of it, and so within. A function in them is told by `watch`."""
    for one in body:
        yield ast.parse(f"{NAME}.add({f'{file}:{one.lineno}'!r})").body[0]
        if not isinstance(one, ast.FunctionDef | ast.ClassDef):
            for part in _with_bodies(one):
                for name in ("body", "orelse", "finalbody"):
                    if getattr(part, name, None):
                        setattr(part, name, list(_told(getattr(part, name), file)))
        yield one


def _with_bodies(one: ast.stmt) -> list[ast.AST]:
    """A statement and its handlers or cases."""
    return [one, *getattr(one, "handlers", ()), *getattr(one, "cases", ())]
