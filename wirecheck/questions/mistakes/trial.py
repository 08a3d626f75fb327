"""Two circuits side by side in as few states as will do, with evaluators that may have answered before.

What a circuit does depends on where its contacts stand, not on the value of a quantity. So one state is
enough for each way in which some value lets the switches stand, where no move of a switch alone leads to a
state that power-up does not: then neither circuit remembers how it came there.
"""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.checks.pair import Pair
from wirecheck.circuit.bound import And, InputIs, QuantityIs, atoms
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.bound import Bound, BoundSentence
    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.variables import Variable

SWITCHES = 8  # most switches on one quantity whose positions are listed


class Trial(Pair):
    """A unit beside another. guarded: switches that no hand sets: protections, and those on a quantity.

    few: the states are told apart by the positions of switches alone.
    """

    def __init__(
        self,
        changed: Changed,
        before: Plain,
        after: Plain,
        plain: bool = False,
        like: Trial | None = None,
        few: bool = False,
    ) -> None:
        super().__init__(changed, before=before, after=after, plain=plain, like=like)
        self.few = few
        inputs = after.circuit.inputs.values()
        self.guarded = frozenset(i.name for i in inputs if i.set_points is not None or i.tripped is not None)

    @property
    def remembers(self) -> bool:
        """Do moves lead to a state that power-up does not?"""
        return self.source.remembers


def tried(
    changed: Changed,
    before: Plain,
    after: Plain,
    plain: bool = False,
    like: Trial | None = None,
    few: bool = True,
) -> Trial:
    """The two circuits in as few states as will do; without the sentences that need more.

    like: another with the same unit before. few: is it worth trying whether few will do?
    """
    small = by_position(changed) if few else None
    if small is not None:
        trial = Trial(small, before, after, plain, like, few=True)
        if not trial.remembers:
            return trial
    return Trial(changed, before, after, plain, like)


def by_position(changed: Changed) -> Changed | None:
    """The switches placed by hand in every way that some value allows; None where the value itself counts."""
    world = World(changed.after, changed.before, changed.replaced, given=False)
    if any(v.twin or v.flip_before or {v.before, v.after} - {v.name, None} for v in world.variables):
        return None
    if any(isinstance(a, QuantityIs) for _, condition in world.impossible for a in atoms(condition)):
        return None
    barred: list[Bound] = []
    for where, choices in world.blocks:
        inputs = [world.variables[k] for k in where]
        if inputs and inputs[0].set_points is not None:
            if len(inputs) > SWITCHES or any(v.after is None for v in inputs) or _move_together(inputs):
                return None
            barred += _barred([v.name for v in inputs], {bits for _, bits in choices})
    after = _placed(changed.after)
    after = replace(
        after, impossible=(*after.impossible, *((b, "no value of the quantity allows it") for b in barred))
    )
    return replace(changed, before=_placed(changed.before), after=after)


def _move_together(inputs: list[Variable]) -> bool:
    """Have two switches a set point in common, so that one move of the quantity moves both?"""
    values = [x for v in inputs if v.set_points is not None for x in {v.set_points.low, v.set_points.high}]
    return len(values) > len(set(values))


def _barred(names: list[str], allowed: set[tuple[bool, ...]]) -> Iterator[Bound]:
    for bits in product((False, True), repeat=len(names)):
        if bits not in allowed:
            yield And(tuple(InputIs(n, b) for n, b in zip(names, bits, strict=True)))


def _placed(circuit: Circuit) -> Circuit:
    inputs = {n: replace(i, set_points=None) for n, i in circuit.inputs.items()}
    return replace(circuit, inputs=inputs, expects=tuple(filter(_by_words, circuit.expects)), cuts={})


def _by_words(sentence: BoundSentence) -> bool:
    """Does a sentence rest on words and positions alone, not on a quantity or on what went before?"""
    return sentence.until is None and not any(isinstance(a, QuantityIs) for a in atoms(sentence.condition))
