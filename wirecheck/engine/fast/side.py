"""What one unit shows where settling ended: words of loads and relays as vectors of settings."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.engine.answers import CHATTERS, IN, OFF, ON, OUT, SHORT

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Estimate
    from wirecheck.engine.fast.frame import Frame, Words
    from wirecheck.engine.fast.settle import End, Settler
    from wirecheck.engine.fast.unit import Unit


class Stand(Struct, frozen=True, dict=True):
    """One unit at one end of settling, over the settings of `mask` in one chunk; vectors lie within it."""

    settler: Settler
    end: End
    chunk: int
    mask: int

    @property
    def unit(self) -> Unit:
        """The circuit as it stands: without the supplies that a short has put out."""
        return self.settler.of(self.end.supplies).unit

    def frames(self) -> list[Frame]:
        """The positions of the tracked relays: one, but for a set never left."""
        return self._frames

    @cached_property
    def _frames(self) -> list[Frame]:
        return [self.settler.of(self.end.supplies).frame(s, self.chunk) for s in self.end.members]

    def _cut(self, words: Words) -> Words:
        return {w: v for w, where in words.items() if (v := where & self.mask)}

    def load(self, name: str) -> Words:
        """Word -> settings, of a load or a motor's tap; `short` on every supply that takes part in one."""
        for supply in self.end.supplies:
            hung = self.unit.plain.hanging(supply)[0]
            if name in hung or name.rpartition(".")[0] in hung:
                return {SHORT: self.mask}
        return self._cut(varying([f.load(name) for f in self.frames()], self.mask))

    def relay(self, name: str) -> Words:
        """in, out, chatters -> settings, of a relay."""
        coil = self.unit.plain.circuit.relays[name].coil
        if any(coil in self.unit.plain.hanging(s)[1] for s in self.end.supplies):
            return {OUT: self.mask}
        ones = self.unit.space.ones
        each = [f.coil(coil) for f in self.frames()]
        return self._cut(varying([{IN: x, OUT: x ^ ones} for x in each], self.mask))

    def coil_volts(self, relay: str) -> Words:
        """on, weak, over, off -> settings, by the volts across a relay's coil.

        In a chattering set the first that is not plain on or off.
        """
        found: Words = {}
        left = self.mask
        each = [self._cut(f.volts(relay)) for f in self.frames()]
        for words in each:
            for word in words.keys() - {ON, OFF}:
                found[word] = found.get(word, 0) | words[word] & left
                left &= words[word] ^ self.unit.space.ones
        for word, where in each[0].items():
            found[word] = found.get(word, 0) | where & left
        return self._cut(found)

    def delay(self, name: str) -> int:
        """The settings in which a delay is moved."""
        k = list(self.unit.plain.circuit.delays).index(name)
        return self.mask if self.end.members[0][1][k] else 0

    @property
    def shorted(self) -> int:
        return self.mask if self.end.kind == "short" else 0

    def _some(self, node: int) -> int:
        found = 0
        for f in self.frames():
            found |= f.value(node)
        return found & self.mask

    def live(self, terminal: str) -> int:
        """Where a terminal's potential to earth is fixed and above 10 V."""
        found = 0
        for f in self.frames():
            found |= f.live(terminal)
        return found & self.mask

    def fed(self, name: str, through: str | None) -> int:
        """Where a load or coil is not off and is fed through another; None: through some other one."""
        found = 0
        for f in self.frames():
            for others, where in f.fed(name).items():
                found |= where if others and through in (None, *others) else 0
        return found & self.mask

    def heats(self, load: str) -> int:
        """Where a three-phase motor runs on unbalanced voltages, and where numbers decide whether it does."""
        words = self.unit.loads[load]
        return self._some(self.unit.table.either(words.heats, words.ask))

    def doubts(self) -> dict[str, Estimate]:
        """The estimates that would change a word by logic here."""
        found: dict[str, Estimate] = {}
        for words in (*self.unit.loads.values(), *self.unit.judged_coils.values()):
            for node, doubts in words.doubts:
                if self._some(node):
                    found |= doubts
        return found


def varying(each: list[Words], mask: int) -> Words:
    """Words that are the same in every state of a set; `chatters` where they differ."""
    if len(each) == 1:
        return each[0]
    found: Words = {}
    rest = mask
    for word, where in each[0].items():
        for other in each[1:]:
            where &= other.get(word, 0)
        if where:
            found[word] = where
            rest ^= rest & where
    if rest:
        found[CHATTERS] = found.get(CHATTERS, 0) | rest
    return found
