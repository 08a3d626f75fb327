"""Whatever is written, the answer is an answer or a problem with its place: never a traceback."""

from __future__ import annotations

import random
import tempfile
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import hypothesis.strategies as st
from hypothesis import given, settings

from tests.laws.strategies import Data, Kind, changes, text, units
from wirecheck import api
from wirecheck.engine.answers import TooMany
from wirecheck.problem import BadInput
from wirecheck.questions.meter import Impossible

if TYPE_CHECKING:
    from collections.abc import Callable

SMALL = Kind(extra=3)


def mangled(whole: str, seed: int) -> str:
    """One to three faults of hand: a line lost or doubled, a letter lost, two words exchanged, an indent."""
    rng = random.Random(seed)  # noqa: S311 - the seed is hypothesis's
    lines = whole.splitlines()
    for _ in range(rng.randint(1, 3)):
        k = rng.randrange(len(lines))
        other = rng.choice(lines)
        lines[k : k + 1] = rng.choice([
            [], [lines[k]] * 2, [lines[k][:-1]], [" " + lines[k]], [lines[k].strip()],
            [lines[k].partition(":")[0] + ":" + other.partition(":")[2]],
            [lines[k].replace(" ", "", 1)], [lines[k] + " #"], [lines[k].replace(".", ":")],
        ])  # fmt: skip
        lines = lines or [""]
    return "\n".join(lines) + "\n"


def answered(ask: Callable[[], object]) -> bool:
    """Is there an answer, a limit that is told, or problems each with a code, a message and a line?"""
    try:
        return ask() is not None
    except BadInput as bad:
        told = [p.place.line >= 1 and bool(p.message and p.code) for p in bad.problems]
        return bool(told) and all(told)
    except (TooMany, Impossible):
        return True


@given(units(SMALL), st.data(), st.integers(0, 10**6))
@settings(max_examples=120)
def test_a_mangled_unit(unit: Data, data: st.DataObject, seed: int) -> None:
    change = data.draw(changes(unit))
    with tempfile.TemporaryDirectory() as folder:
        files = [Path(folder) / name for name in ("unit.yaml", "change.yaml")]
        wholes = [text(unit), text(change)]
        wholes[seed % 2] = mangled(wholes[seed % 2], seed)
        for file, whole in zip(files, wholes, strict=True):
            file.write_text(whole, encoding="utf-8")
        assert answered(lambda: api.pair_of(*map(str, files)))


@given(units(SMALL), st.data())
@settings(max_examples=12)
def test_every_question_of_a_drawn_unit(unit: Data, data: st.DataObject) -> None:
    change = data.draw(changes(unit))
    with tempfile.TemporaryDirectory() as folder:
        files = [str(Path(folder) / name) for name in ("unit.yaml", "change.yaml")]
        for file, said in zip(files, (unit, change), strict=True):
            Path(file).write_text(text(said), encoding="utf-8")
        load = next(n for n in unit["devices"] if n.startswith("A"))
        ends = [w[end] for w in unit["wires"][:3] for end in ("from", "to")]
        assert answered(lambda: api.verify(*files))
        assert answered(lambda: api.states(*files))
        assert answered(lambda: api.lift(files[0], load))
        for a, b in pairwise(ends):
            assert answered(lambda a=a, b=b: api.meter(files[0], None, a, b))  # type: ignore[misc]
            assert answered(lambda a=a, b=b: api.ohms(*files, a, b))  # type: ignore[misc]
