"""Runs the tests on mutants, in a copy of this folder: a process each, forked from one that is warm."""

from __future__ import annotations

import compileall
import contextlib
import multiprocessing
import os
import resource
import shutil
import signal
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.mutation.cover import Cover, Watch, watch

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tests.mutation.mutants import Mutant

ROOT = Path(__file__).parents[2]
COPIED = ("wirecheck", "tests", "examples", "schemas", "pyproject.toml", "README.md", "DEVELOPERS.md")
QUICK = ("tests/battery", "tests/checks", "tests/specimens", "tests/fast/test_differential.py")
# What is tried on a mutant that the quick ones leave alive, where `--wide` asks for it.
WIDE = (*QUICK, "tests/circuit", "tests/mistakes", "tests/fast", "tests/laws", "tests/outside")

WARM = ("lark", "networkx", "numpy", "pydantic", "yaml")
SECONDS = 60  # of one test; a mutant that takes longer hangs
BYTES = 3_000_000_000

KILLED, HANGS, SURVIVED = "killed", "killed: hangs", "survived"


class _First:
    """A plugin of pytest: runs tests in the order named; ends one that hangs. red: the first to fail."""

    def __init__(self, tests: list[str] | None) -> None:
        self.red = ""
        self.order = None if tests is None else {test: k for k, test in enumerate(tests)}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        if self.order is not None:
            order = self.order
            items[:] = sorted((i for i in items if i.nodeid in order), key=lambda i: order[i.nodeid])

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_setup(self) -> None:
        signal.alarm(SECONDS)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed and not self.red:
            self.red = report.nodeid


def copied(folder: Path) -> None:
    """Put what the tests need into a folder, compiled, so that a run compiles the mutant only."""
    for part in COPIED:
        if (ROOT / part).is_dir():
            shutil.copytree(ROOT / part, folder / part, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(ROOT / part, folder / part)
    compileall.compile_dir(folder / "wirecheck", quiet=2)


def tried(one: Mutant, folder: Path, tests: list[str]) -> tuple[str, str]:
    """Put a mutant in, run tests until one fails, put the file right again. What came of it, and the test."""
    file = folder / one.file
    text = file.read_text(encoding="utf-8")
    file.write_text(one.of(text), encoding="utf-8")
    try:
        files = list(dict.fromkeys(test.partition("::")[0] for test in tests))
        red = forked(lambda: _first_red(folder, files, tests))
        return (HANGS, "") if red is None else (KILLED, red) if red else (SURVIVED, "")
    finally:
        file.write_text(text, encoding="utf-8")


def covered(folder: Path, files: list[str], tests: tuple[str, ...]) -> Cover:
    """Run tests on a copy that tells which functions they enter; what Python compiles of the tests is kept.

    Exits where a test is red with nothing changed.
    """
    texts = {file: (folder / file).read_text(encoding="utf-8") for file in files}
    watch(folder, files)

    def run() -> tuple[str, dict[str, list[str]], dict[str, float]]:
        plugin = Watch()
        return _first_red(folder, tests, None, plugin), plugin.cover.entered, plugin.cover.seconds

    try:
        found = forked(run)
    finally:
        for file, text in texts.items():
            (folder / file).write_text(text, encoding="utf-8")
    if found is None or found[0]:
        sys.exit(f"red with nothing changed: {found[0] if found else 'ended by a signal'}")
    return Cover(*found[1:])


def forked(work: Callable[[], Any]) -> Any:
    """What a function returns in a process forked for it; None where that ends by a signal."""
    fork = multiprocessing.get_context("fork")
    here, there = fork.Pipe(duplex=False)
    process = fork.Process(target=lambda: there.send(work()))
    process.start()
    there.close()
    found = None
    with contextlib.suppress(EOFError):
        found = here.recv()
    process.join()
    return found


def _first_red(folder: Path, paths: Sequence[str], tests: list[str] | None, *plugins: object) -> str:
    """The first test that fails, or how pytest ended; empty where none does. tests: these alone, if given."""
    os.chdir(folder)
    resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))
    null = os.open(os.devnull, os.O_WRONLY)
    for descriptor in (1, 2):
        os.dup2(null, descriptor)
    sys.dont_write_bytecode = tests is not None
    for name in [n for n in sys.modules if n.partition(".")[0] in ("tests", "wirecheck")]:
        del sys.modules[name]
    sys.path[:] = [str(folder), *(p for p in sys.path if p not in ("", str(ROOT)))]
    first = _First(tests)
    code = pytest.main(["-x", "-q", "--tb=no", "-p", "no:cacheprovider", *paths], plugins=[first, *plugins])
    return "" if code == 0 else first.red or f"pytest ends with {int(code)}"
