"""One reachable joint state of a pair, with its words: what a check looks at."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

if TYPE_CHECKING:
    from wirecheck.engine.answers import Outcome, State, Words
    from wirecheck.engine.plain.explore import Explorer, Joint
    from wirecheck.engine.world import Setting


class Case(Struct, frozen=True, dict=True):
    """One reachable joint state; its words are worked out when asked for."""

    joint: Joint
    explorer: Explorer

    @cached_property
    def after(self) -> Words:
        """The words of the unit after."""
        return self.explorer.words(True, self.joint.setting, self.joint.after)

    @cached_property
    def befores(self) -> tuple[Words, ...]:
        """Those of the unit before: one entry, but where it races; none of a unit alone."""
        return tuple(self.explorer.words(False, self.joint.setting, o) for o in self.joint.befores)

    @property
    def setting(self) -> Setting:
        return self.joint.setting

    @property
    def shorted(self) -> bool:
        return self.joint.after.short is not None

    def why(self, load: str) -> tuple[str, ...]:
        """The fields that would decide an unknown word of this load, before or after."""
        found = dict.fromkeys(f for w in (self.after, *self.befores) for f in w.why.get(load, ()))
        return tuple(found)


class Told(NamedTuple):
    """A reachable state of one unit in words. short: the terminals from pole to pole."""

    setting: Setting
    words: Words
    power_up: bool
    short: tuple[str, ...] = ()

    @property
    def key(self) -> tuple[object, ...]:
        """Sorts states of one setting."""
        w = self.words
        return tuple(w.delays.items()), tuple(w.relays.items()), tuple(w.loads.items()), self.short


def in_order(setting: Setting) -> tuple[object, ...]:
    """A key that sorts settings that are equally far from ordinary operation."""
    return setting.bits, setting.ranges


def ends_in_order(joint: Joint) -> tuple[object, ...]:
    """A key that sorts joint states of one setting; the same for a short whichever way it takes."""
    return _end(joint.after), *sorted({_end(o) for o in joint.befores})


def _end(outcome: Outcome) -> tuple[str, tuple[State, ...], tuple[str, ...]]:
    supplies = outcome.short.supplies if outcome.short is not None else ()
    return outcome.kind, outcome.members, tuple(sorted(supplies))
