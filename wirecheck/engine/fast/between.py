"""In which settings a meter between two terminals sees one and the same: a network of each is enough.

Two terminals at known potentials, or in parts that touch one potential at most, see what these are; where
both hang in parts that touch none, whether it is one part. Where numbers decide, the parts are told by cubes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.fast.eliminate import reach
from wirecheck.engine.fast.floating import ties
from wirecheck.engine.fast.space import lowest
from wirecheck.engine.fast.table import FALSE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from wirecheck.engine.answers import Potential
    from wirecheck.engine.fast.cubes import Answer
    from wirecheck.engine.fast.frame import Frame
    from wirecheck.engine.fast.unit import Unit
    from wirecheck.engine.solver import View

Stands = dict["Potential | None", int]  # the potential that a terminal is at, None for none -> where


class Between:
    """Two terminals of one unit. Raises NotHere, TooLarge."""

    def __init__(self, unit: Unit, a: str, b: str) -> None:
        self.unit, self.ends = unit, (a, b)
        self.nets = unit.nets.net(a), unit.nets.net(b)
        self._one_part: int | None = None

    def seen(self, frame: Frame, mask: int, answer: Callable[[View], Answer]) -> dict[Answer, int]:
        """What anyone wants to know that rests on how the two stand -> where."""
        ask = mask & (self._numbers(frame, self.nets[0]) | self._numbers(frame, self.nets[1]))
        found = frame.asker.between(frame, self.ends, ask, answer) if ask else {}
        for where in self._alike(frame, mask & ~ask):
            said = answer(frame.asker.view(frame, lowest(where)))
            found[said] = found.get(said, 0) | where
        return found

    def _numbers(self, frame: Frame, net: int) -> int:
        """Where numbers decide: where a part is solved; all that floats where sources may not be in step."""
        floating = self.unit.floating
        node = floating.floats[net] if self.unit.many_sources else floating.asks.get(net, FALSE)
        return frame.value(node)

    def _alike(self, frame: Frame, where: int) -> Iterator[int]:
        """Settings in which both stand alike."""
        one, other = (self._stands(frame, net, where) for net in self.nets)
        for p, here in one.items():
            for q, there in other.items():
                both = here & there
                if p is None and q is None and both:
                    tied = both & frame.value(self._in_one_part())
                    yield from (part for part in (tied, both & ~tied) if part)
                elif both:
                    yield both

    def _stands(self, frame: Frame, net: int, where: int) -> Stands:
        found: Stands = {}
        touched = self.unit.floating.touched.get(net, {})
        for label, node in (*self.unit.known.at[net].items(), *touched.items()):
            here = where & frame.value(node)
            if here:
                found[label] = found.get(label, 0) | here
                where &= ~here
        return found | ({None: where} if where else {})

    def _in_one_part(self) -> int:
        """Where both hang in one part that floats, or are one node."""
        if self._one_part is None:
            unit, (a, b) = self.unit, self.nets
            edges = ties(unit.table, unit.plain, unit.nets, unit.floating.floats)
            rows = reach(unit.table, unit.known.at, edges, {a, b})
            self._one_part = rows[a].get(b, FALSE)
        return self._one_part
