"""Units written: one as a change leaves it, a new one to begin with. All raise BadInput."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from collections.abc import Container, Iterator, Mapping

    from wirecheck.circuit.graph import Changed
    from wirecheck.design.start import Answers, Question
    from wirecheck.report.asbuilt.written import Written


class Applied(Struct, frozen=True):
    """A unit file as a change leaves it. remarks: what is otherwise in it than one might expect."""

    text: str
    changed: Changed
    remarks: tuple[str, ...]


class NotWritten(Exception):
    """What was written does not read as the unit as changed: a fault of ours."""


def apply(unit: str, change: str, out: str, date: str) -> Applied:
    """The unit as changed, as the text of a file `out`, which has been read back and compared."""
    from wirecheck.api.files import pair_of
    from wirecheck.circuit.unwritable import splice_names, unwritable
    from wirecheck.design.reader import read_tree
    from wirecheck.report.asbuilt.written import record, written

    changed = pair_of(unit, change)
    trees = read_tree(unit)[0], read_tree(change)[0]
    texts = {tree.source.file: tree.source.text for tree in trees}
    if problems := list(unwritable(changed)):
        raise BadInput(problems, texts)
    names = splice_names(changed.after)
    told = record(trees[1], changed, (digest_of(unit), digest_of(change)), date)
    for expand in (False, True):
        found = written(*trees, changed, names, told, expand)
        wrong = _read_back(found, changed, names, out)
        if not wrong:
            return Applied(found.text, changed, (*found.remarks, *_renamed(names)))
    raise NotWritten("; ".join(wrong))


def _read_back(found: Written, changed: Changed, names: Mapping[str, str], out: str) -> list[str]:
    """What the text says otherwise than the unit as changed."""
    from wirecheck.circuit.build import wired_unit
    from wirecheck.circuit.same import differences
    from wirecheck.design.load import draft_text

    try:
        circuit = wired_unit(draft_text(found.text, out))[2]
    except BadInput as bad:
        return [f"{p.place}: {p.code}: {p.message}" for p in bad.problems]
    return [*differences(changed.after, circuit, names)]


def _renamed(names: Mapping[str, str]) -> list[str]:
    point = "with a point it would be a terminal"
    lone = "by itself it would be taken for a slip of a device's tag"
    return [f"the splice {o} is called {n} in it: {point if '.' in o else lone}." for o, n in names.items()]


def digest_of(path: str) -> tuple[str, str]:
    """The name of a file and the SHA-256 of its bytes."""
    import hashlib
    from pathlib import Path

    return Path(path).name, hashlib.sha256(Path(path).read_bytes()).hexdigest()


def begin(answers: Answers, name: str) -> tuple[str, Answers]:
    """A unit file to begin with, from answers given by question; and all answers, the usual ones taken."""
    from wirecheck.design.start import questions
    from wirecheck.report.starting import begun

    chosen: Answers = {}
    problems: list[Problem] = []
    for asked in questions():
        given = answers.get(asked.name)
        given = () if asked.several and given == ("none",) else given
        wrong = [] if given is None else list(_unfit(asked, given, chosen, {p.place.file for p in problems}))
        problems += wrong
        chosen[asked.name] = asked.usual(chosen) if given is None or wrong else given
    if problems:
        raise BadInput(problems, {_option(q): ", ".join(names) for q, names in answers.items()})
    return begun(chosen, name), chosen


def _unfit(
    asked: Question, given: tuple[str, ...], chosen: Answers, wrong: Container[str]
) -> Iterator[Problem]:
    """What is wrong with the answers to one question. wrong: options that are so themselves: no echoes."""
    known, fit = [a.name for a in asked.answers], [a.name for a in asked.fitting(chosen)]
    place = Place(_option(asked.name), 1, 1, len(", ".join(given)))
    for name in given:
        needs = next((a.needs for a in asked.answers if a.name == name), {})
        if name not in known:
            message = f"{name} is no answer; there are {', '.join(known)}.{meant(name, known)}"
            yield Problem("unknown-answer", message, place)
        elif name not in fit and not any(_option(q) in wrong for q in needs):
            wants = " and ".join(f"{q} {' or '.join(names)}" for q, names in needs.items())
            fits = f"here {asked.name} may be {' or '.join(fit)}" if fit else f"here leave {asked.name} out"
            yield Problem("answer-does-not-fit", f"{name} goes only with {wants}; {fits}.", place)
    if len(given) != 1 and not asked.several:
        message = f"{len(given)} answers are given; exactly one is expected."
        yield Problem("answer-does-not-fit", message, place)


def _option(question: str) -> str:
    return f"--{question}"


def kind_text(kind: str, library: str | None = None) -> str:
    """The text of a library's unit, as a file of the user's own."""
    from wirecheck.api.library import unit_kind
    from wirecheck.design.reader import read_text

    return read_text(unit_kind(kind, library)[0].path)
