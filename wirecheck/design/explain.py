"""The page of each problem's code: meaning, a wrong example, a right one."""

from __future__ import annotations

from functools import cache
from importlib.resources import files


@cache
def codes() -> tuple[str, ...]:
    """Every code and word that has a page, sorted."""
    folder = files("wirecheck") / "library" / "explain"
    return tuple(sorted(f.name.removesuffix(".md") for f in folder.iterdir() if f.name.endswith(".md")))


def explain(code: str) -> str:
    """The page of a code, as Markdown. Raises KeyError where there is none."""
    if code not in codes():
        raise KeyError(code)
    return (files("wirecheck") / "library" / "explain" / f"{code}.md").read_text(encoding="utf-8")
