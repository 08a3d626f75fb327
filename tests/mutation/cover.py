"""Which tests enter which function: a copy of the code in which each function tells that it is entered."""

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

NAME = "ENTERED"  # a set among the builtins, of `file function`


@dataclass
class Cover:
    """entered: tests by `file function`. seconds: of each test."""

    entered: dict[str, list[str]] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)

    def tests(self, file: str, within: str, most: float) -> list[str]:
        """Tests that enter a function, quickest first, as many as end within so many seconds.

        Of what stands in no function: those that enter any function of the file.
        """
        key = f"{file} {within}"
        found = self.entered.get(key) or [
            t for k, tests in self.entered.items() if k.startswith(f"{file} ") for t in tests
        ]
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
        start = time.perf_counter()
        result = yield
        self.cover.seconds[item.nodeid] = time.perf_counter() - start
        for key in self.hits:
            self.cover.entered.setdefault(key, []).append(item.nodeid)
        return result


def watch(folder: Path, files: Iterable[str]) -> None:
    """Write into the files of a copy that each function tells that it is entered."""
    for file in files:
        path = folder / file
        tree = ast.parse(path.read_text(encoding="utf-8"))
        _watch(tree, file, "")
        path.write_text(ast.unparse(tree), encoding="utf-8")


def _watch(node: ast.AST, file: str, within: str) -> None:
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        within = f"{within}.{node.name}".lstrip(".")
    for child in ast.iter_child_nodes(node):
        _watch(child, file, within)
    if isinstance(node, ast.FunctionDef):
        node.body.insert(0, ast.parse(f"{NAME}.add({f'{file} {within}'!r})").body[0])
