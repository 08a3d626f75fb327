"""The script of mutation makes mutants that can run, of what it is meant for; its survivors fit the code."""

from __future__ import annotations

import ast

import pytest

from tests.mutation.__main__ import chosen, every_file
from tests.mutation.cover import Cover
from tests.mutation.mutants import Mutant, mutants
from tests.mutation.run import ROOT
from tests.mutation.survivors import Survivor, survivors

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
        assert len(strings(text)) - len(strings(changed)) <= len(strings(text[one.start : one.end])), one


def test_the_seed_alone_decides() -> None:
    file = "wirecheck/engine/judge.py"
    assert chosen([file], 5, 1, None) == chosen([file], 5, 1, None) != chosen([file], 5, 2, None)


def test_quick_tests_first() -> None:
    cover = Cover({"a f": ["slow", "quick"], "a g": ["other"]}, {"slow": 9.0, "quick": 1.0, "other": 2.0})
    assert cover.tests("a", "f", 20) == ["quick", "slow"]
    assert cover.tests("a", "f", 5) == ["quick"]
    assert cover.tests("a", "", 5) == ["quick", "other"]


@pytest.mark.parametrize("one", survivors(), ids=lambda s: f"{s.within}: {s.becomes}")
def test_survivors_stand_in_the_code(one: Survivor) -> None:
    made = mutants(one.file, (ROOT / one.file).read_text(encoding="utf-8"))
    assert any(_fits(m, one) for m in made), f"no such mutant of {one.file}"
    assert len(one.why.split()) > 3


def _fits(mutant: Mutant, one: Survivor) -> bool:
    return (mutant.within, mutant.was, mutant.becomes) == (one.within, one.was, one.becomes)
