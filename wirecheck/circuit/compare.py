"""Two unit files as before and after: what differs, found as the steps that lead from one to the other.

Nobody has said what may differ, so nothing may: `affects` is empty, a sentence that only the old file has is
still asked where it can be, and what only one of them holds or calls impossible is not taken for granted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.circuit.assemble import cuts_of
from wirecheck.circuit.bind import bind_sentence, names_of
from wirecheck.circuit.build import wired_unit
from wirecheck.circuit.differing import looks, other_devices, told_otherwise
from wirecheck.circuit.follow import plain
from wirecheck.circuit.found import found_steps
from wirecheck.circuit.graph import Changed, PlainStep, Replacement, Terms
from wirecheck.design import load
from wirecheck.problem import BadInput, Problem
from wirecheck.quantity import unit as measure

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from wirecheck.circuit.bound import BoundSentence
    from wirecheck.circuit.graph import Circuit
    from wirecheck.circuit.wiring import Wiring
    from wirecheck.design.models import UnitFile

Read = tuple["UnitFile", "Wiring", "Circuit"]

NOT_ALLOWED = "no change file: nothing is allowed to differ (`affects` is empty); a change file can allow it"


def read_compared(old_path: str | Path, new_path: str | Path) -> tuple[UnitFile, UnitFile, Changed]:
    """Two unit files and what differs. Raises BadInput with the problems of both."""
    drafts = load.draft_pair(old_path, None), load.draft_pair(new_path, None)
    read: list[Read] = []
    problems: list[Problem] = []
    for drafted in drafts:
        try:
            read.append(wired_unit(drafted))
        except BadInput as bad:
            problems += bad.problems
    if not problems:
        problems += _other_quantities(*read)
    if problems:
        raise BadInput(problems, {**drafts[0].texts, **drafts[1].texts})
    old, new = read
    return old[0], new[0], compared(old, new)


def _other_quantities(old: Read, new: Read) -> Iterator[Problem]:
    """A quantity that is a pressure here and a temperature there: its values cannot be compared."""
    for name, was in old[0].conditions.items():
        now = new[0].conditions.get(name)
        if now is not None and measure(was.unit).kind != measure(now.unit).kind:
            message = f"{name} is in {now.unit} here and in {was.unit} in the other file."
            others = ((old[0].place("conditions", name), "the other file"),)
            yield Problem("defined-otherwise", message, new[0].place("conditions", name), others)


def compared(old: Read, new: Read) -> Changed:
    """What differs between two units, to be checked as a change is."""
    before, after = old[2], new[2]
    other = other_devices(before, after)
    said = _still_asked(before, after)
    steps, stages = found_steps(
        old[1], new[1], other, [*_said(before, after, said), *told_otherwise(old, new)]
    )
    fresh = {text for _, text in after.impossible} - {text for _, text in before.impossible}
    held = _held_by_both(before, after)
    was = _as_one(before, after, held, other)
    cuts = cuts_of(was, after)
    return Changed(
        name=f"what differs from {before.place.file if before.place else 'the old file'}",
        before=replace(was, cuts=cuts, notes=(NOT_ALLOWED, *before.notes)),
        after=replace(_held(after, held), cuts=cuts, expects=(*_own(before, after), *said)),
        steps=steps,
        stages=stages,
        terms=Terms(impossible=tuple(sorted(fresh))),
        brought=frozenset({*other, *(after.devices.keys() - before.devices.keys())}),
        removed=frozenset(before.devices.keys() - after.devices.keys()),
        replaced=tuple(_replaced(before, after, tag) for tag in other),
    )


def _replaced(before: Circuit, after: Circuit, tag: str) -> Replacement:
    """A device that is another now: its positions are those of like names, and the only one of both."""
    olds, news = (
        [n.removeprefix(tag).removeprefix(".") for n in c.devices[tag].inputs] for c in (before, after)
    )
    positions = {p: p for p in olds if p in news}
    return Replacement(tag, tag, positions)


def _held_by_both(before: Circuit, after: Circuit) -> set[str]:
    """Inputs that both files hold at one position."""
    return {
        n for n, i in after.inputs.items() if n in before.inputs and i.given == before.inputs[n].given
    }  # fmt: skip


def _held(circuit: Circuit, held: set[str]) -> Circuit:
    """Only these inputs held."""
    inputs = {n: i if n in held else replace(i, given=None) for n, i in circuit.inputs.items()}
    return replace(circuit, inputs=inputs)


def _as_one(before: Circuit, after: Circuit, held: set[str], other: tuple[str, ...]) -> Circuit:
    """The unit before, holding only what both hold; a conductor that is another now has an id of its own.

    A switch that is the same has the same set points to the last digit, whatever unit they are written in.
    """
    possible = {condition for condition, _ in after.impossible}
    kept = tuple(row for row in before.impossible if row[0] in possible)
    wires = {}
    for wire in before.conductors.values():
        name = wire.id if _goes_on(wire.id, before, after) else f"{wire.id} (before)"
        wires[name] = replace(wire, id=name)
    inputs = {
        n: replace(i, set_points=after.inputs[n].set_points)
        if n in after.inputs and i.device not in other
        else i
        for n, i in _held(before, held).inputs.items()
    }
    return replace(before, inputs=inputs, impossible=kept, conductors=wires)


def _goes_on(wire: str, before: Circuit, after: Circuit) -> bool:
    """Is the conductor of that id, or what it was cut into, of the same make afterwards?"""
    found = [after.conductors[i] for i in (wire, f"{wire}.a", f"{wire}.b") if i in after.conductors]
    return all(looks(before.conductors[wire]) == looks(now) for now in found)


def _said(before: Circuit, after: Circuit, asked: tuple[BoundSentence, ...]) -> Iterator[PlainStep]:
    """Sentences, held inputs and impossible combinations that only one of the files has."""
    yield from _sentences(before, after, {s.text for s in asked})
    held = _given_in(before), _given_in(after)
    for verb, ours, theirs in (("Held no more", *held), ("Held now", *held[::-1])):
        for name, word in ours.items():
            if theirs.get(name) != word:
                yield PlainStep(0, "given", f"{verb}: {name} {word}; looked at in every position here")
    rows = dict(before.impossible), dict(after.impossible)
    for verb, mine, others in (("Impossible no more", *rows), ("Called impossible now", *rows[::-1])):
        yield from (PlainStep(0, "impossible", f"{verb}: {mine[c]}") for c in mine if c not in others)


def _given_in(circuit: Circuit) -> dict[str, str]:
    return {i.name: i.word(i.given) for i in circuit.inputs.values() if i.given is not None}


def _sentences(before: Circuit, after: Circuit, still: set[str]) -> Iterator[PlainStep]:
    olds, news = ({plain(s.text): s for s in c.expects} for c in (before, after))
    for text, sentence in olds.items():
        if text not in news:
            also = "it is asked all the same" if sentence.text in still else "it can be asked no more"
            yield PlainStep(0, "sentence", f'Sentence dropped: "{text}"; {also}', place=sentence.place)
    for text, sentence in news.items():
        if text not in olds:
            yield PlainStep(0, "sentence", f'Sentence added: "{text}"', place=sentence.place)


def _own(before: Circuit, after: Circuit) -> Iterator[BoundSentence]:
    """The new file's sentences; those that the old one has not are of the change."""
    known = {plain(s.text) for s in before.expects}
    for sentence in after.expects:
        yield replace(sentence, of_change=plain(sentence.text) not in known)


def _still_asked(before: Circuit, after: Circuit) -> tuple[BoundSentence, ...]:
    """The sentences that the new file dropped, those whose names it still has."""
    known = {plain(s.text) for s in after.expects}
    found = []
    for sentence in before.expects:
        if plain(sentence.text) in known:
            continue
        try:
            found.append(bind_sentence(sentence.text, names_of(after), sentence.place))
        except BadInput:
            continue
    return tuple(found)
