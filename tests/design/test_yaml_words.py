"""Syntax errors in plain words: none of the parser's own terms reach a reader."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from wirecheck.design.reader import parse
from wirecheck.problem import BadInput, render

CASES = yaml.safe_load((Path(__file__).parent / "yaml-words.yaml").read_text(encoding="utf-8"))
PARSERS = ("block end", "block mapping", "flow", "scalar", "token", "stream", "node", "while")


@pytest.mark.parametrize("case", CASES, ids=[c["says"][:30] for c in CASES])
def test_it_is_said_in_plain_words(case: dict[str, Any]) -> None:
    with pytest.raises(BadInput) as bad:
        parse(case["text"], "unit.yaml")
    (problem,) = bad.value.problems
    assert problem.code == "not-yaml"
    assert problem.place.line == case["line"]
    assert problem.message.startswith(f"not understood as YAML: {case['says']}")
    assert not [word for word in PARSERS if word in render(problem, bad.value.texts)]
