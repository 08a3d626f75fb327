"""One check of one change, files given as text."""

from __future__ import annotations

from textwrap import dedent
from typing import TYPE_CHECKING

from wirecheck.checks.pair import Pair
from wirecheck.circuit.apply import load_change_pair

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from wirecheck.checks.finding import Finding

    Check = Callable[[Pair], Iterator[Finding]]


def findings(folder: Path, check: Check, unit: str, change: str) -> dict[str, Finding]:
    """Subject -> finding."""
    for name, text in (("unit", unit), ("change", change)):
        (folder / f"{name}.yaml").write_text(dedent(text), encoding="utf-8")
    changed = load_change_pair(folder / "unit.yaml", folder / "change.yaml")
    found = list(check(Pair(changed)))
    assert len({f.subject for f in found}) == len(found)
    return {f.subject: f for f in found}
