"""Runs the tests on mutants, in a copy of this folder: a process each, forked from one that is warm."""

from __future__ import annotations

import compileall
import contextlib
import hashlib
import importlib
import multiprocessing
import os
import pkgutil
import resource
import shutil
import signal
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.mutation.cover import Cover, Watch, watch
from tests.mutation.swap import CannotSwap, put_in

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from multiprocessing.connection import Connection

    from tests.mutation.mutants import Mutant

ROOT = Path(__file__).parents[2]
COPIED = ("wirecheck", "tests", "examples", "schemas", "pyproject.toml", "README.md", "DEVELOPERS.md")
QUICK = (
    "tests/battery",
    "tests/checks",
    "tests/circuit",
    "tests/specimens",
    "tests/fast/test_differential.py",
    "tests/fast/test_beyond.py",
    "tests/fast/test_parts.py",
    "tests/outside/test_resistance_distance.py",
)
# What is tried on a mutant that the quick ones leave alive, where `--wide` asks for it.
WIDE = ("tests/battery", "tests/checks", "tests/circuit", "tests/specimens", "tests/fast", "tests/mistakes")
WIDE = (*WIDE, "tests/laws", "tests/outside")

READ_THE_CODE = ("tests/circuit/test_problems.py::test_every_code_has_a_page",)  # its text, not what it does

WARM = ("lark", "networkx", "numpy", "pydantic", "yaml")
SECONDS = 10  # of the processor, beyond ten times what a test takes; a mutant that takes longer hangs
BYTES = 3_000_000_000

NONE_LEFT = f"pytest ends with {int(pytest.ExitCode.NO_TESTS_COLLECTED)}"
KILLED, HANGS, SURVIVED, CANNOT = "killed", "killed: hangs", "survived", "cannot be put in"


class _First:
    """A plugin of pytest: runs tests in the order named; ends one that hangs. red: the first to fail."""

    def __init__(self, tests: list[str] | None, seconds: dict[str, float] | None = None) -> None:
        self.red = ""
        self.order = None if tests is None else {test: k for k, test in enumerate(tests)}
        self.seconds = seconds or {}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        if self.order is not None:
            order = self.order
            items[:] = sorted((i for i in items if i.nodeid in order), key=lambda i: order[i.nodeid])

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> None:
        signal.setitimer(signal.ITIMER_VIRTUAL, SECONDS + 10 * self.seconds.get(item.nodeid, 0.0))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed and not self.red:
            self.red = report.nodeid


class _Served:
    """A plugin of pytest: in place of running tests, a fork for each mutant that comes through a pipe."""

    def __init__(self, pipe: Connection, first: _First) -> None:
        self.pipe, self.first = pipe, first

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        for found in pkgutil.walk_packages([str(Path.cwd() / "wirecheck")], "wirecheck."):
            if not found.name.endswith("__main__"):
                importlib.import_module(found.name)
        self.pipe.send("warm")
        while (asked := self.pipe.recv()) is not None:
            mutant, text, tests = asked
            self.pipe.send(forked(lambda m=mutant, x=text, t=tests: self._red(m, x, [items[n] for n in t])))
        return True

    def _red(self, mutant: Mutant, text: str, items: list[pytest.Item]) -> str:
        """The first test that a mutant turns red, if any."""
        try:
            put_in(mutant, text)
        except CannotSwap:
            return CANNOT
        self.first.red = ""
        for item, then in zip(items, [*items[1:], None], strict=True):  # what tests share is made once
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=then)
            if self.first.red:
                break
        return self.first.red


class Warm:
    """A process with every test collected and every module loaded, in a copy of its own."""

    def __init__(self, folder: Path, paths: tuple[str, ...], seconds: dict[str, float]) -> None:
        self.folder = folder
        fork = multiprocessing.get_context("fork")
        self.pipe, there = fork.Pipe()
        first = _First(None, seconds)
        self.process = fork.Process(
            target=lambda: _first_red(folder, paths, None, _Served(there, first), first=first)
        )
        self.process.start()
        there.close()
        self.pipe.recv()

    def tried(self, one: Mutant, tests: list[str]) -> tuple[str, str]:
        """Put a mutant in, run tests until one fails. What came of it, and the test."""
        self.pipe.send((one, (self.folder / one.file).read_text(encoding="utf-8"), tests))
        red = self.pipe.recv()
        if red == CANNOT:
            return tried(one, self.folder, tests)
        return (HANGS, "") if red is None else (KILLED, red) if red else (SURVIVED, "")

    def end(self) -> None:
        self.pipe.send(None)
        self.process.join()


def copied(folder: Path) -> None:
    """Put what the tests need into a folder, compiled, so that a run compiles the mutant only."""
    for part in COPIED:
        if (ROOT / part).is_dir():
            shutil.copytree(ROOT / part, folder / part, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(ROOT / part, folder / part)
    compileall.compile_dir(folder / "wirecheck", quiet=2)


def tried(one: Mutant, folder: Path, tests: list[str]) -> tuple[str, str]:
    """The same for a mutant outside of functions: its file is changed, loaded anew, and put right again."""
    file = folder / one.file
    text = file.read_text(encoding="utf-8")
    file.write_text(one.of(text), encoding="utf-8")
    try:
        files = list(dict.fromkeys(test.partition("::")[0] for test in tests))
        red = forked(lambda: _first_red(folder, files, tests))
        return (HANGS, "") if red is None else (KILLED, red) if red else (SURVIVED, "")
    finally:
        file.write_text(text, encoding="utf-8")


def covered(folder: Path, files: list[str], tests: tuple[str, ...], file: Path | None) -> Cover:
    """Run tests on a copy that tells which statements they reach; what Python compiles of the tests is kept.

    file: keeps what is found; of the same code only the tests that it does not know are run.
    Exits where a test is red with nothing changed.
    """
    texts = {name: (folder / name).read_text(encoding="utf-8") for name in files}
    code = hashlib.sha256("".join(texts.values()).encode()).hexdigest()
    watch(folder, files)

    def run() -> tuple[str, dict[str, list[str]], dict[str, float]]:
        plugin = Watch(Cover.kept(file, code))
        return _first_red(folder, tests, None, plugin), plugin.cover.reached, plugin.cover.seconds

    try:
        found = forked(run)
    finally:
        for name, text in texts.items():
            (folder / name).write_text(text, encoding="utf-8")
    if found is None or found[0] not in ("", NONE_LEFT):
        sys.exit(f"red with nothing changed: {found[0] if found else 'ended by a signal'}")
    cover = Cover(*found[1:])
    if file is not None:
        cover.keep(file, code)
    return cover


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


def _first_red(
    folder: Path,
    paths: Sequence[str],
    tests: list[str] | None,
    *plugins: object,
    first: _First | None = None,
) -> str:
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
    first = first or _First(tests)
    options = ["-x", "-q", "--tb=no", "-p", "no:cacheprovider", "-o", "tmp_path_retention_policy=none"]
    options += [f"--basetemp={folder / 'tmp'}", *(f"--deselect={test}" for test in READ_THE_CODE)]
    code = pytest.main([*options, *paths], plugins=[first, *plugins])
    return "" if code == 0 else first.red or f"pytest ends with {int(code)}"
