"""What was seen and measured on a unit, and in which state: as values."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

if TYPE_CHECKING:
    from wirecheck.engine.world import Setting
    from wirecheck.questions.mistakes.looks import Look

# What the eye and ear tell of a load or a relay, and the plain words for it.
DEAD = "dead (breaker or fuse opens)"
LOAD_SEEN: dict[str, frozenset[str]] = {
    "runs": frozenset({"runs", "on"}),
    "on": frozenset({"runs", "on"}),
    "off": frozenset({"off", DEAD}),
    "dead": frozenset({"off", DEAD}),
    "hums": frozenset({"hums"}),
    "stalls": frozenset({"hums"}),
    "backward": frozenset({"runs backward"}),
    "chatters": frozenset({"chatters"}),
}
RELAY_SEEN: dict[str, frozenset[str]] = {
    "in": frozenset({"in"}),
    "out": frozenset({"out"}),
    "chatters": frozenset({"chatters"}),
}
Meter = Literal["volts", "ohms"]


class Seen(Struct, frozen=True):
    """How loads and relays look in one state."""

    setting: Setting
    look: Look
    text: str = ""


class Measured(Struct, frozen=True):
    """A meter's reading between two terminals in one state. value: volts or ohms; None of ohms where open.

    With ohms the supplies are away and the disconnects open. continuity: not open, of whatever ohms.
    named: the switches of which was said where they stood.
    """

    setting: Setting
    meter: Meter
    points: tuple[str, str]
    value: float | None
    text: str = ""
    continuity: bool = False
    named: frozenset[str] = frozenset()

    def reading(self, ohm: str = "Ω") -> str:
        """24 V, 12 Ω, open, continuity."""
        if self.continuity:
            return "continuity"
        return "open" if self.value is None else f"{self.value:g} {'V' if self.meter == 'volts' else ohm}"


Evidence = Seen | Measured
