"""`recheck` in the terminal and as JSON: is it the same, and what is not."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from msgspec import Struct
from msgspec.structs import asdict

from wirecheck.report.lines import LAST, Line, head, para, said
from wirecheck.report.record.compare import parts_that_differ

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.report.lines import Style
    from wirecheck.report.record.compare import Difference
    from wirecheck.report.record.models import FileSeen, Record
    from wirecheck.report.record.read import Sealed

Outcome = Literal["same", "differs", "not decided"]
Signed = Literal["none", "not looked at", "good", "bad"]

STYLES: dict[Outcome, Style] = {"same": "pass", "differs": "fail", "not decided": "unknown"}
SEAL = (
    "A seal shows that nothing slipped; it is no signature. Whoever alters a record on purpose can seal it "
    "anew: keep the record out of reach, or have it signed (--sign, --signer)."
)
SECTIONS = {
    "conductors": "conductor", "devices": "device", "elements": "", "inputs": "switch", "loads": "load",
    "relays": "relay", "delays": "delay", "quantities": "quantity", "poles": "pole", "steps": "step",
    "expects": "the sentences", "impossible": "what is impossible", "terms": "what it declares",
    "told": "what is told of", "design": "design", "name": "the name", "about": "what it is about",
    "reason": "the reason", "refrigerant": "the refrigerant", "loses": "what it takes away",
}  # fmt: skip
WHOLE = ("expects", "impossible", "terms", "loses", "name", "about", "reason", "refrigerant")
MOST = 12  # parts named


class Rechecked(Struct, frozen=True):
    """A record held against the files and the program of today. exact: bytes count too."""

    old: Sealed
    new: Record
    differences: tuple[Difference, ...]
    signed: Signed = "none"
    exact: bool = False

    @property
    def altered(self) -> bool:
        """Is the record itself not as it was written?"""
        return not (self.old.sealed and self.old.as_written)

    @property
    def comparable(self) -> bool:
        """Were both meanings digested in one form?"""
        return self.old.record.meaning_form == self.new.meaning_form

    @property
    def outcome(self) -> Outcome:
        """Is all as recorded? What was decided and is not today is *not decided*, if nothing else differs."""
        counts = [d for d in self.differences if d.weight in ("meaning", "result")]
        counts += [d for d in self.differences if self.exact and d.weight == "bytes"]
        if self.altered or self.signed == "bad" or any(d.weight != "result" for d in counts):
            return "differs"
        if counts and self.new.verdict == "unknown" != self.old.record.verdict:
            return "not decided"
        return "differs" if counts else "same"


def page(answer: Rechecked, width: int) -> list[Line]:
    """The whole answer, folded to a width."""
    old = answer.old.record
    people = "; ".join(
        p for p in (_by("made by", old.people.made_by), _by("reviewed by", old.people.reviewed_by)) if p
    )
    lines = [
        *para(f"{answer.outcome}: {why(answer)}", width, "", STYLES[answer.outcome], len(answer.outcome)),
        *para(f"{old.change.name}, on {old.unit.name}", width, "  "),
        *para(f"record of {old.people.date.isoformat()}; {people or 'nobody is named'}", width, "  "),
        *head("What was looked at"),
    ]
    rows = [*looked_at(answer)]
    wide = max(len(name) for name, _ in rows)
    for name, text in rows:
        lines += para(text, width, f"  {name.ljust(wide)}  ")
    lines += told(answer, width)
    seal = [Line(), *para(SEAL, width)] if answer.signed != "good" else []
    return [*lines, *seal, Line(), *para(LAST, width)]


def _by(what: str, name: str) -> str:
    return f"{what} {name}" if name else ""


def why(answer: Rechecked) -> str:
    """The first reason, in a line that stands alone."""
    if not answer.old.sealed:
        return "the record was altered: its seal does not fit its content"
    if not answer.old.as_written:
        return "the record was altered: its content is as sealed, its layout is not"
    if answer.signed == "bad":
        return "the signature does not fit this record and this key"
    if answer.outcome == "not decided":
        return "what the record has as decided is not decided today"
    meaning = [d.what for d in answer.differences if d.weight == "meaning"]
    if meaning:
        return f"what was checked is not what is here: the {said(meaning)}"
    results = sum(d.weight == "result" for d in answer.differences)
    if results:
        return f"the files mean the same, the result does not: {results} thing{'s' if results > 1 else ''}"
    if answer.exact and answer.differences and answer.outcome == "differs":
        return "the files mean the same, and are not the same byte for byte"
    return f"the files mean what they meant, and the result is the same: {answer.new.verdict}"


def looked_at(answer: Rechecked) -> Iterator[tuple[str, str]]:
    """The record, both files, the changed unit, the program, the signature."""
    old, new = answer.old.record, answer.new
    yield "record", _record(answer)
    yield old.unit.file, _file(answer, old.unit, new.unit)
    yield old.change.file, _file(answer, old.change, new.change)
    yield "unit as changed", _changed_unit(answer)
    yield "program", _program(old, new)
    yield "signature", _SIGNED[answer.signed]


_SIGNED: dict[Signed, str] = {
    "none": "none",
    "not looked at": "one lies beside the record; give the signer's public key with --signer",
    "good": "good: this very file was signed with the key given",
    "bad": "DOES NOT FIT: another file was signed, or with another key",
}


def _record(answer: Rechecked) -> str:
    if not answer.old.sealed:
        return "ALTERED: its seal does not fit its content"
    if not answer.old.as_written:
        return "ALTERED in its layout: a blank, a line, an order"
    return "as it was written, by its seal"


def _changed_unit(answer: Rechecked) -> str:
    if not answer.comparable:
        return "its meaning was digested in another form, which cannot be compared"
    same = answer.old.record.changed.meaning == answer.new.changed.meaning
    return "means the same" if same else "MEANS SOMETHING ELSE"


def _file(answer: Rechecked, was: FileSeen, now: FileSeen) -> str:
    if not answer.comparable:
        same = "the same, byte for byte" if was.bytes == now.bytes else "ANOTHER FILE"
        return f"{same}; its meaning was digested in another form, which cannot be compared"
    if was.bytes == now.bytes:
        if was.meaning == now.meaning:
            return "the same, byte for byte"
        return f"the same, byte for byte, BUT READ OTHERWISE: {_parts(was, now)}"
    if was.meaning == now.meaning:
        return "means the same; other bytes: a comment, an order, a unit of measure"
    return f"MEANS SOMETHING ELSE: {_parts(was, now)}"


def _parts(was: FileSeen, now: FileSeen) -> str:
    names = list(dict.fromkeys(_part(p) for p in parts_that_differ(was, now)))
    if len(names) > MOST:
        names = [*names[:MOST], f"{len(names) - MOST} more"]
    return said(names) if names else "which part, the record does not tell"


def _part(name: str) -> str:
    """A part of the meaning in words: conductors/W7 is conductor W7."""
    name = name.removeprefix("adds/")
    section, _, rest = name.partition("/")
    words = SECTIONS.get(section, section)
    if section in WHOLE or not rest:
        return words
    return f"{words} {rest.rpartition('/')[2] if section == 'told' else rest}".strip()


def _program(old: Record, new: Record) -> str:
    name = f"{new.tool.name} {new.tool.version}"
    if old.tool.version != new.tool.version:
        return f"{name}; the record was made by {old.tool.name} {old.tool.version}"
    return (
        f"{name}, the same" if old.tool.code == new.tool.code else f"{name}, but other code under that number"
    )


TITLES = (
    ("result", "What comes out otherwise"),
    ("words", "Said otherwise, with the same result"),
)


def told(answer: Rechecked, width: int) -> Iterator[Line]:
    """What differs in the result, then in its words."""
    for weight, title in TITLES:
        found = [d for d in answer.differences if d.weight == weight]
        yield from head(title) if found else ()
        for d in found:
            yield from para(_difference(d), width, "  - ", "fail" if weight == "result" else "", 3)


def _difference(d: Difference) -> str:
    subject = f"{d.what}, {d.subject}" if d.subject else d.what
    if d.was == d.now:
        return f"{subject}: {d.now}"
    if not d.was:
        return f"{subject}: new: {d.now}"
    return f"{subject}: was {d.was}; is {d.now}" if d.now else f"{subject}: no more: {d.was}"


def as_json(answer: Rechecked) -> dict[str, Any]:
    """The outcome, the record, each file, and what differs."""
    old, new = answer.old.record, answer.new
    return {
        "outcome": answer.outcome,
        "says": why(answer),
        "record": {"sealed": answer.old.sealed, "as_written": answer.old.as_written},
        "signature": answer.signed,
        "tool": {"was": _tool(old), "is": _tool(new)},
        "unit": _file_json(answer, old.unit, new.unit),
        "change": _file_json(answer, old.change, new.change),
        "verdict": {"was": old.verdict, "is": new.verdict},
        "differences": [asdict(d) for d in answer.differences],
    }


def _tool(record: Record) -> dict[str, str]:
    return {"name": record.tool.name, "version": record.tool.version, "code": record.tool.code}


def _file_json(answer: Rechecked, was: FileSeen, now: FileSeen) -> dict[str, Any]:
    """`same_meaning` null: digested in another form."""
    return {
        "file": was.file,
        "same_bytes": was.bytes == now.bytes,
        "same_meaning": was.meaning == now.meaning if answer.comparable else None,
        "parts": list(parts_that_differ(was, now)) if answer.comparable else [],
    }
