"""Mistakes made with what a change takes out or cuts: it is left, or another conductor goes in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.questions.lookalikes import same_colour
from wirecheck.questions.mistakes.mistake import Put

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.elements import Conductor
    from wirecheck.questions.mistakes.bench import Bench
    from wirecheck.questions.mistakes.mistake import Mistake


def left_in(bench: Bench) -> Iterator[Mistake | None]:
    """Each conductor that the change takes out, still there."""
    for step, wire in taken_out(bench):
        words = f"{wire.id} not taken out: it still goes from {wire.a} to {wire.b}"
        yield bench.make("left in", wire.id, step, words, Put(more=(wire,)))


def other_taken(bench: Bench) -> Iterator[Mistake | None]:
    """Another conductor on one of its terminals taken out in its place."""
    for step, wire in taken_out(bench):
        for other, at in beside(bench, wire):
            kind = "look-alike taken out" if same_colour(wire, other) else "wrong conductor taken out"
            words = f"{other.id} taken out at {at} in place of {wire.id}"
            put = Put(gone=frozenset({other.id}), more=(wire,))
            yield bench.make(kind, f"{other.id} for {wire.id}", step, words, put)


def other_cut(bench: Bench) -> Iterator[Mistake | None]:
    """Another conductor on one of its terminals cut, and its halves used, in place of the right one."""
    for step in bench.changed.steps:
        if step.kind != "cut":
            continue
        own = bench.changed.before.conductors.get(step.wires[0])
        halves = [bench.right.conductors.get(f"{step.wires[0]}.{side}") for side in "ab"]
        if own is None or not stands(bench, own) or halves[0] is None or halves[1] is None:
            continue
        for other, at in beside(bench, own):
            kind = "look-alike cut" if same_colour(own, other) else "wrong conductor cut"
            words = f"{other.id} cut at {at} in place of {own.id}"
            near, far = (other.a, other.b) if (at == other.a) == (at == own.a) else (other.b, other.a)
            pieces = (
                replace(other, id=f"{other.id}.a", a=near, b=halves[0].b),
                replace(other, id=f"{other.id}.b", a=halves[1].a, b=far),
            )
            gone = frozenset({other.id, halves[0].id, halves[1].id})
            put = Put(gone=gone, more=(own, *pieces))
            yield bench.make(kind, f"{other.id} for {own.id}", step.number, words, put)


def taken_out(bench: Bench) -> Iterator[tuple[int, Conductor]]:
    """(number of the step, conductor) of what is taken out and could have stayed where it was."""
    for step in bench.changed.steps:
        for name in step.wires if step.kind == "remove" else ():
            wire = bench.changed.before.conductors.get(name)
            if wire is not None and name not in bench.right.conductors and stands(bench, wire):
                yield step.number, wire


def stands(bench: Bench, wire: Conductor) -> bool:
    """Are both places that a conductor of the unit before lay on there after the change?"""
    there = {t for d in bench.right.devices.values() for t in d.terminals} | set(bench.right.poles)
    return {wire.a, wire.b} <= there | bench.right.splices


def beside(bench: Bench, wire: Conductor) -> Iterator[tuple[Conductor, str]]:
    """(conductor, terminal) of those that the change leaves alone and that share a terminal with this one."""
    touched = {e.wire for e in bench.ends}
    for other in bench.right.conductors.values():
        if other.id not in touched and other.id != wire.id:
            yield from ((other, t) for t in (wire.a, wire.b) if t in (other.a, other.b))
