"""Volts, amperes and words of a unit written as text, in one position of its switches, settled from
power-up.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from wirecheck.circuit.build import load_circuit
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.world import World
from wirecheck.questions.meter import at_normal, chosen

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Words
    from wirecheck.engine.solver import View


@dataclass(frozen=True)
class Looked:
    view: View
    words: Words

    def volts(self, a: str, b: str) -> complex:
        """Volts from b to a, rms."""
        return self.view.between(a, b, {})

    def amps(self, element: str) -> complex:
        """Amperes into the first end of an element, rms."""
        return self.view.amps(element, {})


def circuit(text: str) -> Circuit:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "unit.yaml"
        file.write_text(text, encoding="utf-8")
        return load_circuit(file)


def look(text: str, moved: Mapping[str, bool] | None = None) -> Looked:
    """moved: inputs that stand moved or at rest, the others at normal."""
    of, held = circuit(text), dict(moved or {})
    world = World(of, held={**at_normal(of, held), **held})
    plain = Plain(of)
    inputs = world.inputs(True, chosen(world, held))
    (end,) = plain.settle(inputs, plain.cold())
    return Looked(plain.views(inputs, end)[0], plain.words(inputs, end))
