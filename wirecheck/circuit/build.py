"""A unit file as a circuit, names bound, all its problems at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.reading import bound
from wirecheck.design import load

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.circuit.graph import Circuit
    from wirecheck.circuit.wiring import Wiring
    from wirecheck.design import models
    from wirecheck.problem import Problem


def load_circuit(path: str | Path) -> Circuit:
    """The circuit of the unit file at `path`. Raises BadInput with every problem."""
    return read_unit(path)[1]


def read_unit(path: str | Path) -> tuple[models.UnitFile, Circuit]:
    """The unit file at `path` and its circuit. Raises BadInput with every problem."""
    file, _, circuit = wired_unit(load.draft_pair(path, None))
    return file, circuit


def wired_unit(drafted: load.Drafted) -> tuple[models.UnitFile, Wiring, Circuit]:
    """A unit with its wiring and its circuit. Raises BadInput with every problem."""
    problems: list[Problem] = []
    wiring, circuit = bound(drafted, problems)
    drafted.stop_if(problems)
    return drafted.unit, wiring, circuit
