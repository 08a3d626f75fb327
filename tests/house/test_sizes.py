"""How long files and functions are, by `ast`: of functions the body without its docstring."""

from __future__ import annotations

import ast
from pathlib import Path
from statistics import median, quantiles

ROOM = Path(__file__).parents[2] / "wirecheck"
MADE = ROOM / "grammar" / "parser.py"  # by lark
FUNCTIONS = {"median": 8, "p90": 30, "most": 60}
FILES = {"p90": 300, "most": 400}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def body_lines(function: Function) -> int:
    """From the first statement after the docstring to the last line."""
    body = function.body
    if (
        isinstance(body[0], ast.Expr)
        and isinstance(body[0].value, ast.Constant)
        and isinstance(body[0].value.value, str)
    ):
        body = body[1:]
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def written() -> list[Path]:
    """What people have written."""
    return [path for path in ROOM.rglob("*.py") if path != MADE]


def functions() -> dict[str, int]:
    """file:name -> lines."""
    found = {}
    for path in written():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, Function):
                found[f"{path.relative_to(ROOM)}:{node.lineno} {node.name}"] = body_lines(node)
    return found


def files() -> dict[str, int]:
    return {
        str(path.relative_to(ROOM)): len(path.read_text(encoding="utf-8").splitlines())
        for path in written()
        if path.stat().st_size
    }


def over(sizes: dict[str, int], most: int) -> dict[str, int]:
    return {name: size for name, size in sizes.items() if size > most}


def test_functions() -> None:
    sizes = functions()
    assert over(sizes, FUNCTIONS["most"]) == {}
    assert median(sizes.values()) <= FUNCTIONS["median"]
    assert quantiles(sizes.values(), n=10)[-1] <= FUNCTIONS["p90"]


def test_files() -> None:
    sizes = files()
    assert over(sizes, FILES["most"]) == {}
    assert quantiles(sizes.values(), n=10)[-1] <= FILES["p90"]


def test_no_stub_or_note_to_self() -> None:
    words = ("TO" + "DO", "FIX" + "ME", "XX" + "X", "NotImplemented" + "Error")
    found = [
        f"{path.relative_to(ROOM)}: {word}"
        for path in written()
        for word in words
        if word in path.read_text(encoding="utf-8")
    ]
    assert found == []
