"""The script of mutation makes mutants that can run, of what it is meant for; its survivors fit the code."""

from __future__ import annotations

import ast
import builtins
from types import SimpleNamespace
from typing import TYPE_CHECKING

import pytest

from tests.mutation.__main__ import chosen, every_file
from tests.mutation.cover import NAME, Cover, Watch, watch
from tests.mutation.mutants import Mutant, mutants
from tests.mutation.run import ROOT
from tests.mutation.survivors import Survivor, survivors
from tests.mutation.swap import CannotSwap, put_in
from wirecheck.engine import judge

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

TEXT = '''"""Page 1."""
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from x import y

@cached(1)
def f(a: Literal[1]) -> bool:
    """Of 2."""
    for é in a:
        if é < 0.5 and not b:
            break
        note(f"{a + 1}", "3 and 4")
    return any(x - 1 for x in a if é is None)
'''
BECOMES = [
    "if é <= 0.5 and not b:",
    "if é >= 0.5 and not b:",
    "if é < 0.625 and not b:",
    "if é < 0.4 and not b:",
    "if é < 0.5 and b:",
    "if é < 0.5 or not b:",
    "if True:",
    "if False:",
    "pass",
    "pass",
    "return not any(x - 1 for x in a if é is None)",
    "return all(x - 1 for x in a if é is None)",
    "return any(x + 1 for x in a if é is None)",
    "return any(x - 2 for x in a if é is None)",
    "return any(x - 0 for x in a if é is None)",
    "return any(x - 1 for x in a if True)",
    "return any(x - 1 for x in a if False)",
    "return any(x - 1 for x in a if é is not None)",
]


BRANCHES = """
def f(a):
    for b in range(a):
        return a + 1
    if a == 0:
        return a
    return 2
"""


def strings(text: str) -> list[str]:
    found = (node.value for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Constant))
    return [value for value in found if isinstance(value, str)]


def same(text: str) -> str:
    """A line without the brackets that mutants put around what they change."""
    return text.replace("(", "").replace(")", "")


def test_each_kind() -> None:
    made = mutants("f.py", TEXT)
    assert sorted(same(m.becomes) for m in made) == sorted(map(same, BECOMES))
    assert {m.within for m in made} == {"f"}


@pytest.mark.parametrize("file", every_file())
def test_mutants_can_run(file: str) -> None:
    text = (ROOT / file).read_text(encoding="utf-8")
    for one in chosen([file], 3, 1, None):
        changed = one.of(text)
        assert ast.dump(ast.parse(changed)) != ast.dump(ast.parse(text)), one
        replaced = text[one.start : one.end]
        lost = strings(f"({replaced})" if "\n" in replaced else replaced)
        assert len(strings(text)) - len(strings(changed)) <= len(lost), one


def test_the_seed_alone_decides() -> None:
    file = "wirecheck/engine/judge.py"
    assert chosen([file], 5, 1, None) == chosen([file], 5, 1, None) != chosen([file], 5, 2, None)


def test_quick_tests_first() -> None:
    cover = Cover({"a:1": ["slow", "quick"], "a:2": ["other"]}, {"slow": 9.0, "quick": 1.0, "other": 2.0})
    assert cover.tests("a", 1, 20) == ["quick", "slow"]
    assert cover.tests("a", 1, 5) == ["quick"]
    assert cover.tests("a", 3, 5) == []
    assert cover.tests("a", 0, 20) == ["quick", "other", "slow"]
    assert cover.tests("b", 0, 6) == ["quick", "slow"]


def test_what_is_kept_of_the_same_code(tmp_path: Path) -> None:
    cover, file = Cover({"a:1": ["slow", "quick"]}, {"slow": 9.0, "quick": 1.0}), tmp_path / "cover"
    assert Cover.kept(file, "code") == Cover.kept(None, "code") == Cover()
    cover.keep(file, "code")
    assert Cover.kept(file, "code") == cover
    assert Cover.kept(file, "other code") == Cover()


def test_what_is_there_no_more_is_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(builtins, NAME, set(), raising=False)
    watch_of = Watch(Cover({"a:1": ["gone", "known"]}, {"gone": 1.0, "known": 1.0}))
    items = [SimpleNamespace(nodeid=test) for test in ("known", "new")]
    watch_of.pytest_collection_modifyitems(items)  # type: ignore[arg-type]
    assert [item.nodeid for item in items] == ["new"]
    assert watch_of.cover == Cover({"a:1": ["known"]}, {"known": 1.0})


def test_each_statement_tells_that_it_is_reached(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told: set[str] = set()
    monkeypatch.setattr(builtins, NAME, told, raising=False)
    (tmp_path / "m.py").write_text(BRANCHES, encoding="utf-8")
    watch(tmp_path, ["m.py"])
    scope: dict[str, Callable[[int], int]] = {}
    exec((tmp_path / "m.py").read_text(encoding="utf-8"), scope)  # noqa: S102 - written above
    assert scope["f"](1) == 2
    assert told == {"m.py:3", "m.py:4"}
    assert scope["f"](0) == 0
    assert told == {f"m.py:{line}" for line in (3, 4, 5, 6)}


def of_judge(becomes: str) -> Mutant:
    file = "wirecheck/engine/judge.py"
    made = mutants(file, (ROOT / file).read_text(encoding="utf-8"))
    return next(m for m in made if same(m.becomes) == same(becomes))


def test_a_mutant_is_put_into_what_is_loaded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    monkeypatch.setattr(judge.torque, "__code__", judge.torque.__code__)  # put right again
    was = judge.torque(1 + 1j, 2 + 3j)
    one = of_judge("return -(main.conjugate() * aux).imag")
    put_in(one, (ROOT / one.file).read_text(encoding="utf-8"))
    assert judge.torque(1 + 1j, 2 + 3j) == -was != 0


def test_what_stands_in_no_function_is_loaded_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    file = "wirecheck/engine/figures.py"
    text = (ROOT / file).read_text(encoding="utf-8")
    with pytest.raises(CannotSwap):
        put_in(mutants(file, text)[0], text)


@pytest.mark.parametrize("one", survivors(), ids=lambda s: f"{s.within}: {s.becomes}")
def test_survivors_stand_in_the_code(one: Survivor) -> None:
    made = mutants(one.file, (ROOT / one.file).read_text(encoding="utf-8"))
    assert any(_fits(m, one) for m in made), f"no such mutant of {one.file}"
    assert len(one.why.split()) > 3


def _fits(mutant: Mutant, one: Survivor) -> bool:
    return (mutant.within, mutant.was, mutant.becomes) == (one.within, one.was, one.becomes)
