"""How hard a way is to go: what in it neither a hand nor the running unit brings about. Project rules."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from wirecheck.engine.figures import LIVE_VOLTS
from wirecheck.questions.mistakes.driven import Driven, runs

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.engine.answers import Bits, Outcome
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.world import Setting, World

# At power-up, a pressure that stands where only the running unit brings it, or a protection tripped: most
# trip while the unit runs. A pressure that stands or moves where nothing brings it. A fuse pulled with power
# on it. A meter put to a unit while a protection stands tripped.
CARRIED, FORCED, LIVE, METERED_TRIPPED = 1, 4, 1, 1


@dataclass
class Strain:
    """The strain of power-up and of moves in the unit as it should be."""

    right: Plain
    world: World

    def __post_init__(self) -> None:
        self.driven = Driven(self.right, self.world)

    def at_power_up(self, setting: Setting) -> int:
        """The strain of power-up in a setting."""
        felt = {v.name for v in self.world.variables if v.set_points is not None}
        tripped = sum(name not in felt for name in self.tripped(setting))
        away = self.driven.away(setting, frozenset())
        return CARRIED * tripped + sum(FORCED if m.how == "forced" else CARRIED for m in away)

    def tripped(self, setting: Setting) -> Iterator[str]:
        """The protections that stand tripped, other than fuses and what is so in ordinary operation."""
        circuit = self.right.circuit
        for v, moved in zip(self.world.variables, setting.bits, strict=True):
            i = circuit.inputs[v.name]
            if i.tripped == moved != v.normal and not circuit.devices[i.device].fuse:
                yield v.name

    def of_move(self, bits: Bits, outcome: Outcome, before: Setting, to: Setting) -> int:
        """The strain of a move from where settling ended."""
        moved = self.driven.moved(before, to, runs(self.right.words(bits, outcome)))
        forced = FORCED * (moved is not None and moved.how == "forced")
        return forced + LIVE * sum(self.is_live(t, bits, outcome) for t in self._fuses(before, to))

    def _fuses(self, before: Setting, to: Setting) -> Iterator[str]:
        """The fuses that are pulled or put in."""
        circuit = self.right.circuit
        for v, a, b in zip(self.world.variables, before.bits, to.bits, strict=True):
            if a != b and circuit.devices[circuit.inputs[v.name].device].fuse:
                yield circuit.inputs[v.name].device

    def is_live(self, tag: str, bits: Bits, outcome: Outcome) -> bool:
        """Has a terminal of a device volts, to earth or on a secondary that floats, if only by turns?"""
        terminals = self.right.circuit.devices[tag].terminals
        found = (v.potential(t) for v in self.right.views(bits, outcome) for t in terminals)
        return any(p.driven and (p.ref != "" or abs(p.volts) > LIVE_VOLTS) for p in found)
