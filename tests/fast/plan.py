"""A random circuit before it is built: parts between numbered nets, and the inputs."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Input


@dataclass
class Thing:
    """One part: its kind, its tag, the nets of its terminals, its figures."""

    kind: str
    tag: str
    nets: list[int]
    figures: dict[str, object] = field(default_factory=dict)


@dataclass
class Plan:
    """A circuit before it is built: parts between numbered nets, and the inputs."""

    things: list[Thing] = field(default_factory=list)
    inputs: dict[str, Input] = field(default_factory=dict)
    impossible: list[tuple[object, str]] = field(default_factory=list)
    hertz: float = 60.0
    nets: int = 0

    def net(self) -> int:
        self.nets += 1
        return self.nets - 1
