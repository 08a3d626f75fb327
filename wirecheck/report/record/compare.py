"""Two records of one change held against each other: the one that was signed, and one made today."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.report.record.models import Check, FileSeen, Record, State

Weight = Literal["bytes", "meaning", "result", "words"]
Key = tuple[str, str, str]


class Difference(Struct, frozen=True):
    """One thing that is not as recorded. `was` and `now` are "" where it was not, or is no more.

    weight: of bytes alone, of what a file means, of the result, or of its words alone.
    """

    weight: Weight
    what: str
    subject: str
    was: str
    now: str


def differences(old: Record, new: Record) -> tuple[Difference, ...]:
    """What differs, the gravest first."""
    found = [*_files(old, new), *_result(old, new), *_checks(old, new), *_words(old, new)]
    return tuple(sorted(found, key=lambda d: ("meaning", "result", "bytes", "words").index(d.weight)))


def _files(old: Record, new: Record) -> Iterator[Difference]:
    comparable = old.meaning_form == new.meaning_form
    for what, was, now in (("unit file", old.unit, new.unit), ("change file", old.change, new.change)):
        if was.bytes != now.bytes:
            # Where meanings cannot be compared, other bytes may mean anything.
            yield Difference("bytes" if comparable else "meaning", what, was.file, was.bytes, now.bytes)
        if comparable and was.meaning != now.meaning:
            yield Difference("meaning", what, was.file, was.meaning, now.meaning)
    if comparable and old.changed.meaning != new.changed.meaning:
        yield Difference("meaning", "changed unit", old.unit.name, old.changed.meaning, new.changed.meaning)


def parts_that_differ(old: FileSeen, new: FileSeen) -> tuple[str, ...]:
    """The parts of a file's meaning that are not as they were, and those that came or went."""
    return tuple(n for n in dict.fromkeys((*old.parts, *new.parts)) if old.parts.get(n) != new.parts.get(n))


def _result(old: Record, new: Record) -> Iterator[Difference]:
    if old.verdict != new.verdict:
        yield Difference("result", "verdict", old.change.name, old.verdict, new.verdict)
    if old.states != new.states:
        yield Difference("result", "states", old.change.name, str(old.states), str(new.states))
    for load in dict.fromkeys((*old.effect, *new.effect)):
        was, now = old.effect.get(load), new.effect.get(load)
        if was != now:
            told = [
                "" if e is None else f"before: {e.before or 'not there'}; after: {e.after}"
                for e in (was, now)
            ]
            yield Difference("result", "effect", load, *told)
    yield from _gone_or_new("assumption", old.assumes, new.assumes, "result")
    yield from _gone_or_new("step", old.steps, new.steps, "words")


def _gone_or_new(what: str, old: Iterable[str], new: Iterable[str], weight: Weight) -> Iterator[Difference]:
    was, now = dict.fromkeys(old), dict.fromkeys(new)
    yield from (Difference(weight, what, "", text, "") for text in was if text not in now)
    yield from (Difference(weight, what, "", "", text) for text in now if text not in was)


def _checks(old: Record, new: Record) -> Iterator[Difference]:
    """Check by check, subject by subject: verdicts; where they agree, words and counterexamples."""
    was, now = _by_key(old.checks), _by_key(new.checks)
    for key in dict.fromkeys((*was, *now)):
        check = key[0]
        before, after = was.get(key, []), now.get(key, [])
        named = (before or after)[0].about
        verdicts = [", ".join(sorted(c.verdict for c in group)) for group in (before, after)]
        if verdicts[0] != verdicts[1]:
            yield Difference("result", check, named, *verdicts)
            continue
        said = [" / ".join(sorted(c.says for c in group)) for group in (before, after)]
        if said[0] != said[1]:
            yield Difference("words", check, named, *said)
        elif _shown(before) != _shown(after):
            yield Difference("words", check, named, "another counterexample", "another counterexample")


def _by_key(checks: Iterable[Check]) -> dict[Key, list[Check]]:
    found: dict[Key, list[Check]] = {}
    for check in checks:
        found.setdefault((check.check, check.subject, check.other), []).append(check)
    return found


def _shown(checks: Iterable[Check]) -> list[list[object]]:
    """The states of counterexamples: where everything stands, and what it does."""
    return [[_stands(c.counterexample)] for c in checks if c.counterexample is not None]


def _stands(state: State) -> object:
    return state.inputs, state.quantities, state.before, state.after, [_stands(s) for s in state.earlier]


def _words(old: Record, new: Record) -> Iterator[Difference]:
    if old.says != new.says and old.verdict == new.verdict:
        yield Difference("words", "verdict", old.change.name, old.says, new.says)
    yield from _gone_or_new("not checked", old.not_checked, new.not_checked, "words")
