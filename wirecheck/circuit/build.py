"""A unit file as a circuit, names bound, all its problems at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.reading import circuit_of, read, texts_of
from wirecheck.design import load
from wirecheck.problem import BadInput, Problem

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.circuit.graph import Circuit
    from wirecheck.design import models

__all__ = ["build", "load_circuit", "texts_of"]


def load_circuit(path: str | Path) -> Circuit:
    """The circuit of the unit file at `path`. Raises BadInput."""
    return build(load.load_unit(path))


def build(unit: models.UnitFile) -> Circuit:
    """The unit alone as a circuit. Raises BadInput with every problem."""
    problems: list[Problem] = []
    circuit = circuit_of(unit, read(unit, problems), problems)
    if problems:
        raise BadInput(problems, texts_of(unit))
    return circuit
