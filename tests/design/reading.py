"""What the tests of this folder share: reading a specimen as the commands do, up to the first problems."""

from __future__ import annotations

from pathlib import Path

from wirecheck.circuit.apply import apply
from wirecheck.circuit.build import build
from wirecheck.design.load import read_pair
from wirecheck.problem import BadInput

INVALID = Path(__file__).parent.parent / "specimens" / "invalid"


def concise(path: Path, unit: Path | None = None) -> str:
    """The problem lines of a file, its name without a folder. A change is read with `unit`."""
    try:
        made, change = read_pair(unit or path, path if unit else None)
        if change is None:
            build(made)
        else:
            apply(made, change)
    except BadInput as bad:
        return "".join(
            f"{Path(p.place.file).name}:{p.place.line}:{p.place.column}: {p.code}: {p.message}\n"
            for p in bad.problems
        )
    return ""
