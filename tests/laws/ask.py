"""What the laws ask: a unit or a change written to files, as the commands read them."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from hypothesis import reject

from tests.laws.strategies import Data, text
from wirecheck import api
from wirecheck.engine.answers import TooMany
from wirecheck.problem import BadInput
from wirecheck.questions.states import Row, States
from wirecheck.questions.states import states as table
from wirecheck.questions.verify import Verified, verify

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Changed, Circuit

NOTHING: Data = {"change": {"name": "nothing"}}
HIDES = frozenset({"given-hides-trip", "impossible-hides-trip"})


def circuit(unit: Data) -> Circuit:
    """A drawn unit. One whose `given` hides a trip is no example."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "unit.yaml"
        file.write_text(text(unit), encoding="utf-8")
        try:
            return api.unit_of(str(file))
        except BadInput as bad:
            if {p.code for p in bad.problems} <= HIDES:
                reject()
            raise


def pair(unit: Data, change: Data) -> Changed:
    """A drawn unit and its change."""
    with tempfile.TemporaryDirectory() as folder:
        files = Path(folder) / "unit.yaml", Path(folder) / "change.yaml"
        for file, data in zip(files, (unit, change), strict=True):
            file.write_text(text(data), encoding="utf-8")
        try:
            return api.pair_of(str(files[0]), str(files[1]))
        except BadInput as bad:
            if {p.code for p in bad.problems} <= HIDES:
                reject()
            raise


def states(of: Circuit) -> States:
    """Its table; one of more states than can be listed is no example."""
    try:
        return table(of)
    except TooMany:
        reject()


def judged(unit: Data, change: Data) -> Verified:
    found = verify(pair(unit, change))
    if any(f.check == "states" for f in found.findings):
        reject()
    return found


def plain(row: Row) -> tuple[frozenset[tuple[str, str]], ...]:
    """A row without the terminals of its short and the fields of what is unknown."""
    parts = [frozenset(words.items()) for words in (row.inputs, row.loads, row.relays)]
    return (*parts, frozenset({("short", str(bool(row.short))), ("power-up", str(row.power_up))}))


def rows(of: States) -> frozenset[tuple[frozenset[tuple[str, str]], ...]]:
    return frozenset(plain(row) for row in of.rows)


def troubles(found: Verified) -> list[str]:
    """What fails or is unknown, in words."""
    bad = [f for f in found.findings if f.verdict in ("fail", "unknown")]
    return [f"{f.check} {f.subject} {f.verdict}: {f.says}" for f in bad]
