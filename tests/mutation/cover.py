"""Which tests reach which statement: a copy of the code in which each statement tells that it is reached."""

from __future__ import annotations

import ast
import builtins
import json
import time
from dataclasses import dataclass, field
from math import ceil
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

        statement: its line; 0 for what stands in no function, which any test may read: one of every so many.
        """
        if not statement:
            every = sorted(self.seconds, key=self._quickest)
            return every[:: ceil(sum(self.seconds.values()) / most)]
        chosen, left = [], most
        for test in sorted(set(self.reached.get(f"{file}:{statement}", [])), key=self._quickest):
            left -= self.seconds[test]
            if left < 0:
                break
            chosen.append(test)
        return chosen

    def _quickest(self, test: str) -> tuple[float, str]:
        return self.seconds[test], test

    def keep(self, file: Path, code: str) -> None:
        """Write it to a file. code: what the code is known by."""
        number = {test: k for k, test in enumerate(self.seconds)}
        reached = {at: [number[t] for t in tests] for at, tests in self.reached.items()}
        file.write_text(json.dumps([code, reached, self.seconds]), encoding="utf-8")

    @classmethod
    def kept(cls, file: Path | None, code: str) -> Cover:
        """What a file keeps of the same code; else nothing."""
        if file is None or not file.exists():
            return cls()
        known, reached, seconds = json.loads(file.read_text(encoding="utf-8"))
        if known != code:
            return cls()
        tests = list(seconds)
        return cls({at: [tests[k] for k in numbers] for at, numbers in reached.items()}, seconds)


class Watch:
    """A plugin of pytest that adds to a `Cover` what the tests reach that are not in it."""

    def __init__(self, cover: Cover) -> None:
        self.cover = cover
        self.hits: set[str] = set()
        setattr(builtins, NAME, self.hits)

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Leave what is known; forget what is there no more."""
        there, cover = {item.nodeid for item in items}, self.cover
        cover.seconds = {test: took for test, took in cover.seconds.items() if test in there}
        cover.reached = {at: [t for t in tests if t in there] for at, tests in cover.reached.items()}
        items[:] = [item for item in items if item.nodeid not in cover.seconds]

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
