"""Asks a question at nominal figures and at both ends of every estimate that its answer depends on.

An answer is worked out once at nominal; the estimates that some decision in it rests on are then moved to
their low and high ends, in every combination up to four of them, beyond that each in turn against all others
at the opposite end (engine.md section 2); what comes up on the way is moved too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Generic, TypeVar

from msgspec import Struct

from wirecheck.engine.estimates import ends_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from wirecheck.circuit.elements import Estimate

T = TypeVar("T")


class Asked(Struct, Generic[T], frozen=True):
    """The answers by the ends of the estimates; the first is at nominal. `fields`: what they depend on."""

    fields: tuple[str, ...]
    answers: dict[tuple[int, ...], T]

    @property
    def nominal(self) -> T:
        return next(iter(self.answers.values()))

    def deciding(self, key: Callable[[T], object]) -> tuple[str, ...]:
        """The fields that change `key` of an answer; all where only several together do."""
        values = {ends: key(a) for ends, a in self.answers.items()}
        if len(set(values.values())) <= 1:
            return ()
        single = {
            self.fields[k]
            for one, a in values.items()
            for other, b in values.items()
            for k in range(len(self.fields))
            if a != b and one[:k] == other[:k] and one[k + 1 :] == other[k + 1 :]
        }
        return tuple(f for f in self.fields if f in single) or self.fields


def ask(run: Callable[[Mapping[str, int]], tuple[T, Iterable[Estimate]]]) -> Asked[T]:
    """`run` takes a scenario and gives an answer and the estimates on which it depended."""
    known: dict[tuple[tuple[str, int], ...], tuple[T, frozenset[str]]] = {}

    def answer(fields: tuple[str, ...], ends: tuple[int, ...]) -> tuple[T, frozenset[str]]:
        moved = tuple((f, e) for f, e in zip(fields, ends, strict=True) if e)
        if moved not in known:
            found, rests = run(dict(moved))
            known[moved] = found, frozenset(e.field for e in rests)
        return known[moved]

    fields: tuple[str, ...] = ()
    while True:
        answers = {ends: answer(fields, ends) for ends in ends_of(len(fields))}
        every = frozenset(fields).union(*(rests for _, rests in answers.values()))
        if every == set(fields):
            return Asked(fields, {ends: a for ends, (a, _) in answers.items()})
        fields = tuple(sorted(every))
