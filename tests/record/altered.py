"""Files with one scalar changed: every value of a file in turn, to another one that the reader takes.

`python -m tests.record.altered FILE...` does it for whole files and lists what changes no meaning.
"""

from __future__ import annotations

import re
import sys
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from wirecheck.circuit.apply import read_change
from wirecheck.circuit.build import read_unit
from wirecheck.design.reader import parse, read_text
from wirecheck.design.tree import Items, Table
from wirecheck.problem import BadInput
from wirecheck.questions import meaning

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.problem import Place

ROOT = Path(__file__).parents[2]
NUMBER = re.compile(r"\d+(\.\d+)?")
MOST = 12  # other values tried


class Scalar(NamedTuple):
    path: tuple[str | int, ...]
    text: str
    place: Place

    @property
    def kind(self) -> str:
        """The key that it stands under."""
        return next(str(k) for k in reversed(self.path) if isinstance(k, str))


def scalars(node: Any, path: tuple[str | int, ...] = (), place: Place | None = None) -> Iterator[Scalar]:
    if isinstance(node, Table):
        for key, value in node.items():
            yield from scalars(value, (*path, key), node.places[key])
    elif isinstance(node, Items):
        for k, value in enumerate(node):
            yield from scalars(value, (*path, k), node.places[k])
    elif place is not None:
        yield Scalar(path, node, place)


@cache
def pool() -> dict[str, list[str]]:
    """Key -> the values under it in every example and specimen, the most usual first."""
    counts: dict[str, dict[str, int]] = {}
    for path in sorted(
        [*ROOT.glob("examples/*/[uc]*.yaml"), *ROOT.glob("tests/specimens/valid/*/[uc]*.yaml")]
    ):
        for s in scalars(parse(read_text(path), str(path))):
            at = counts.setdefault(s.kind, {})
            at[s.text] = at.get(s.text, 0) + 1
    return {key: sorted(at, key=lambda v: (-at[v], v)) for key, at in counts.items()}


def others(scalar: Scalar, near: list[Scalar]) -> Iterator[str]:
    """Other values for a scalar: its figure a little more, then what stands elsewhere under its key."""
    number = NUMBER.search(scalar.text)
    if number is not None:
        for factor in (1.02, 0.98, 2.0, 1.5):
            more = float(number[0]) * factor
            yield scalar.text[: number.start()] + f"{more:.6g}" + scalar.text[number.end() :]
    found = [s.text for s in near if s.kind == scalar.kind] + pool().get(scalar.kind, [])
    yield from [v for v in dict.fromkeys(found) if v != scalar.text][:MOST]
    yield from {"open": ("closed",), "closed": ("open",), "true": ("false",), "false": ("true",)}.get(
        scalar.text, ()
    )
    yield scalar.text + "x"
    yield scalar.text.removesuffix(scalar.text[-1])


def edited(text: str, scalar: Scalar, other: str) -> str:
    """The text with another value at a scalar's place, in quotes."""
    lines = text.split("\n")
    at = scalar.place
    line = lines[at.line - 1]
    quoted = '"' + other.replace("\\", "\\\\").replace('"', '\\"') + '"'
    lines[at.line - 1] = line[: at.column - 1] + quoted + line[at.column - 1 + at.width :]
    return "\n".join(lines)


def meant(unit: Path, change: Path | None = None) -> str:
    """The digest of what a unit, or a change on it, means. Raises BadInput."""
    if change is None:
        file, circuit = read_unit(unit)
        return meaning.digest(meaning.canonical(meaning.unit(circuit, file)))
    _, changes, changed = read_change(unit, change)
    return meaning.digest(meaning.canonical(meaning.change(changed, changes)))


class Outcome(NamedTuple):
    scalar: Scalar
    other: str | None  # None: no other value is taken
    changes: bool


def outcome(
    folder: Path, unit: str, change: str | None, scalar: Scalar, near: list[Scalar], was: str
) -> Outcome:
    """What becomes of the meaning with the first other value that is taken. change None: of the unit."""
    for other in others(scalar, near):
        text = edited(unit if change is None else change, scalar, other)
        (folder / "unit.yaml").write_text(text if change is None else unit, encoding="utf-8")
        (folder / "change.yaml").write_text(text, encoding="utf-8")
        try:
            now = meant(folder / "unit.yaml", None if change is None else folder / "change.yaml")
        except BadInput:
            continue
        return Outcome(scalar, other, now != was)
    return Outcome(scalar, None, True)


def outcomes(
    folder: Path, unit: str, change: str | None = None, step: int = 1, start: int = 0
) -> list[Outcome]:
    """One for each scalar of a unit, or of a change; of every `step`-th from `start` on."""
    (folder / "unit.yaml").write_text(unit, encoding="utf-8")
    (folder / "change.yaml").write_text(change or "", encoding="utf-8")
    was = meant(folder / "unit.yaml", None if change is None else folder / "change.yaml")
    near = [*scalars(parse(unit if change is None else change, "file"))]
    return [outcome(folder, unit, change, s, near, was) for s in near[start::step]]


if __name__ == "__main__":
    import tempfile

    for name in sys.argv[1:]:
        path = Path(name)
        unit = (path.parent / "unit.yaml").read_text(encoding="utf-8")
        change = path.read_text(encoding="utf-8") if path.name.startswith("change") else None
        with tempfile.TemporaryDirectory() as folder:
            found = outcomes(Path(folder), unit, change)
        print(name, len(found), "scalars;", sum(o.other is None for o in found), "take no other value")
        for o in found:
            if o.other is None:
                print("   fixed", o.scalar.path, repr(o.scalar.text))
            elif not o.changes:
                print("   SAME ", o.scalar.path, repr(o.scalar.text), "->", repr(o.other))
