"""Which states of the diagram to show first: where something differs, and where a check fails."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.pair import range_words
from wirecheck.checks.vectors import picked
from wirecheck.engine.answers import UNKNOWN, WORKING
from wirecheck.engine.world import Setting
from wirecheck.questions.shown.facts import WORDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wirecheck.checks.finding import Witness
    from wirecheck.engine.fast.pair import FastPair, JointClass
    from wirecheck.questions.shown.answer import Shown


def opening(shown: Shown, old_name: dict[str, str]) -> int:
    """The state nearest to ordinary operation in which a load does otherwise; else where most work.

    old_name: load after -> the same load before.
    """
    fast = shown.fast
    differing = ((c, c.reached & ~_alike(c, old_name)) for c in fast.classes)
    return _nearest(shown, fast, list(differing)) or _nearest(shown, fast, _working(fast)) or 0


def _powered(fast: FastPair) -> list[tuple[JointClass, int]]:
    return [(c, c.power_up) for c in fast.classes]


def _working(fast: FastPair) -> list[tuple[JointClass, int]]:
    """The states of power-up in which as many loads work as can, those named first first."""
    hits = _powered(fast)
    for load in fast.units["after"].plain.circuit.loads:
        fewer = [(c, where & picked(c.word("after", load), WORKING)) for c, where in hits]
        hits = fewer if any(where for _, where in fewer) else hits
    return hits


def _alike(c: JointClass, old_name: dict[str, str]) -> int:
    """Where every load that both units have does the same."""
    if "before" not in c.pair.units:
        return c.reached
    found = c.reached
    for new, old in old_name.items():
        before, after = c.word("before", old), c.word("after", new)
        same = 0
        for word, where in before.items():
            same |= where & after.get(word, 0)
        found &= same
    return found


def _nearest(shown: Shown, fast: FastPair, hits: list[tuple[JointClass, int]]) -> int | None:
    best: tuple[int, int] | None = None
    for c, where in hits:
        if where:
            away, bit = fast.space.nearest(c.key.chunk, where)
            state = shown.state(c.first + (bit or 0), c.key)
            if best is None or (away, state) < best:
                best = away, state
    return None if best is None else best[1]


def standing(shown: Shown, inputs: Mapping[str, str], words: Mapping[str, str]) -> int | None:
    """The state in which these inputs and delays stand so and these relays are so; of power-up if one is.

    words: of the unit's relays, after the change where there is one.
    """
    fast = shown.fast
    for hits in (_powered(fast), [(c, c.reached) for c in fast.classes]):
        each = [(c, where & _stands(c, inputs) & _relays(c, words)) for c, where in hits]
        found = _nearest(shown, fast, each)
        if found is not None:
            return found
    return None


def _stands(c: JointClass, inputs: Mapping[str, str]) -> int:
    """Where inputs and delays stand as these words say."""
    found, space = c.reached, c.pair.space
    for k, v in enumerate(c.pair.world.variables):
        if v.name in inputs:
            there = space.variable(k, c.key.chunk)
            found &= there if inputs[v.name] == v.words[1] else ~there
    for name in c.pair.units["after"].plain.circuit.delays:
        if name in inputs:
            there = c.delay("after", name)
            found &= there if inputs[name] == "moved" else ~there
    return found


def _relays(c: JointClass, words: Mapping[str, str]) -> int:
    found = c.reached
    for name in c.pair.units["after"].plain.circuit.relays:
        if words.get(name, UNKNOWN) != UNKNOWN:
            found &= c.relay("after", name).get(words[name], 0)
    return found


def of_witness(shown: Shown, witness: Witness) -> int | None:
    """The state of a counterexample; None where it is none of those that are shown."""
    fast = shown.fast
    setting = _setting(fast, witness)
    if setting is None:
        return None
    try:
        index = fast.index_of(setting)
    except ValueError:  # a position that is held otherwise
        return None
    return next((s for s in _at(shown, fast, index) if _fits(shown, witness, s)), None)


def _setting(fast: FastPair, witness: Witness) -> Setting | None:
    world = fast.world
    if any(v.name not in witness.inputs for v in world.variables):
        return None
    bits = tuple(witness.inputs[v.name] == v.words[1] for v in world.variables)
    units = {q: x.unit for c in world.circuits() for q, x in c.quantities.items()}
    ranges = []
    for q in world.quantities:
        words = [range_words(units[q], *world.interval(q, r)) for r in range(len(world.cuts[q]) + 1)]
        if witness.ranges.get(q) not in words:
            return None
        ranges.append(words.index(witness.ranges[q]))
    return Setting(bits, tuple(ranges))


def _at(shown: Shown, fast: FastPair, index: int) -> Iterator[int]:
    for c in fast.classes:
        if index >> fast.space.low == c.key.chunk and c.reached >> (index - c.first) & 1:
            yield shown.state(index, c.key)


def _fits(shown: Shown, witness: Witness, state: int) -> bool:
    """Does a state say what the witness says, as far as it is known?"""
    return all(
        value == wanted
        for (side, kind, name), ref in shown.facts.items()
        if (wanted := _wanted(witness, side, kind, name)) is not None
        and (value := _said(kind, shown.diagram.value(ref, state))) != UNKNOWN
    )


def _said(kind: str, value: int) -> str:
    return ("rest", "moved")[value] if kind == "delay" else WORDS[value]


def _wanted(witness: Witness, side: str, kind: str, name: str) -> str | None:
    """The word of a load, relay or delay in a witness; None of all else."""
    if kind == "delay":
        return witness.inputs.get(name) if side == "after" else None
    if kind not in ("load", "relay"):
        return None
    return (witness.before if side == "before" else witness.after).get(name)
