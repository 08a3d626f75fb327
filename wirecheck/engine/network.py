"""A circuit, its contacts in one position: nodes, known potentials, parts (engine.md sections 1 and 2)."""

from __future__ import annotations

from msgspec import Struct

from wirecheck.engine import figures
from wirecheck.engine.answers import Potential, Short

Fixed = dict[int, Potential]  # node -> its known potential


class Part(Struct, frozen=True):
    """One part: its impedances and transformers between local nodes, some at known potentials.

    branches: (impedance id, a, b, coil in?); cores: (transformer id, ((a, b), …) for its windings);
    fixed: local node -> (ref, volts, source). Equal parts compare equal, so their solution is kept.
    """

    branches: tuple[tuple[str, int, int, bool], ...]
    cores: tuple[tuple[str, tuple[tuple[int, int], ...]], ...]
    fixed: tuple[tuple[int, Potential], ...]
    size: int


class Placed(Struct, frozen=True):
    """A part and where its local nodes are in the network."""

    part: Part
    nodes: tuple[int, ...]
    name: str  # of the reference of what floats in it


class Network(Struct, frozen=True):
    """Nodes of one position of all contacts. `node[net]`; fixed potentials; parts; the short, if any."""

    node: tuple[int, ...]
    fixed: Fixed
    parts: tuple[Placed, ...]
    part_of: dict[str, int]  # impedance or transformer id -> index in parts
    ends: dict[str, tuple[int, int]]  # impedance id -> nodes
    short: Short | None = None


def apart(one: Potential, other: Potential) -> bool:
    """Of supplies that nothing puts in step: the volts between them are not known."""
    return bool(one.source and other.source and one.source != other.source)


def unlike(one: Potential, other: Potential) -> bool:
    """Are two known potentials different, or not known to be the same?"""
    if one.ref != other.ref:
        return True
    if apart(one, other):
        return True
    return abs(one.volts - other.volts) > figures.SLACK * max(1.0, abs(one.volts), abs(other.volts))
