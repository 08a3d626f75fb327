"""A job sheet's record as sections of blocks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.questions.job.readings import beside
from wirecheck.report.doing import do
from wirecheck.report.job import words
from wirecheck.report.job.blocks import Beware, Block, Fill, Points, Section, Sheet, Text
from wirecheck.report.lines import CALLED, LAST, said
from wirecheck.report.mistaken import what
from wirecheck.report.record.scope import not_checked
from wirecheck.report.verdict import why

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.questions.job.carry import Item
    from wirecheck.questions.job.cautions import Moment
    from wirecheck.questions.job.sheet import JobSheet
    from wirecheck.questions.mistakes.answer import Mistakes
    from wirecheck.questions.verify import Effect

STOP = "The change fails. No steps, no list, no readings: do not carry it out. Mend it and verify it again."
GROUPS = (
    ("device", "Devices"), ("conductor", "Conductors, cut to length with slack"), ("splice", "Splices"),
    ("connector", "Ends to land"), ("bushing", "Bushings"), ("label", "Labels"), ("meter", "Meter"),
    ("tool", "Tools"), ("person", "Protective equipment"), ("card", "To leave behind"),
)  # fmt: skip
LINES = 6  # to write on


def sheet(job: JobSheet) -> Sheet:
    """The whole sheet, in the order of the work."""
    changed = job.changed
    about = [changed.before.name, changed.before.about, f"Why: {changed.reason}" if changed.reason else ""]
    return Sheet(
        changed.name,
        tuple(t for t in about if t),
        CALLED[job.verified.verdict].lower(),
        why(job.verified),
        tuple(_sections(job)),
    )


def _sections(job: JobSheet) -> Iterator[Section]:
    yield Section("What it does, and what was not checked", tuple(_verdict(job)))
    if job.verified.verdict == "fail":
        yield Section("Stop", (Beware(STOP), *_failing(job)))
        return
    yield Section("Take along", tuple(_carry(job)))
    yield Section("Before hands go in", _beware(job, "before"))
    yield Section("Steps", tuple(words.step(job, hand) for hand in job.hands))
    if job.remarks:
        yield Section("Routes", (Points(job.remarks),))
    yield Section("Readings before power", tuple(_before_power(job)))
    yield Section("Power on", tuple(_power(job)))
    yield Section("Acceptance", tuple(_acceptance(job)))
    yield Section("What was found", tuple(_found(job)))


def _beware(job: JobSheet, moment: Moment) -> tuple[Block, ...]:
    return tuple(Beware(c.says) for c in job.cautions if c.moment == moment)


def _verdict(job: JobSheet) -> Iterator[Block]:
    told = [t for load, e in job.verified.effect.items() for t in _effect(load, e)]
    notes = [f"{f.says} [{f.check}]" for f in job.verified.findings if f.verdict == "note"]
    if told:
        yield Points(tuple(told))
    if notes:
        yield Text("To know:")
        yield Points(tuple(notes))
    if job.verified.assumes:
        yield Text("Assumed:")
        yield Points(job.verified.assumes)
    yield Text(f"Not checked: {'; '.join(not_checked(job.verified, ()))}.")


def _effect(load: str, effect: Effect) -> Iterator[str]:
    if effect.before == effect.after:
        yield f"{load} runs as before, when {effect.after}"
        return
    yield f"{load} before: {effect.before or 'was not there'}"
    yield f"{load} after: {effect.after}"


def _failing(job: JobSheet) -> Iterator[Block]:
    failed = [f for f in job.verified.findings if f.verdict == "fail"]
    yield Points(
        tuple(f"{f.says if f.subject in f.says else f'{f.subject}: {f.says}'} [{f.check}]" for f in failed)
    )


def _carry(job: JobSheet) -> Iterator[Block]:
    for group, title in GROUPS:
        texts = tuple(_item(item) for item in job.items if item.group == group)
        if texts:
            yield Text(title, strong=True)
            yield Points(texts, boxes=True)


def _item(item: Item) -> str:
    many = f"{item.many}: " if item.many else ""
    about = f" — for {item.about}" if item.about else ""
    told = "measure" in f"{many}{item.what}{about}"
    measure = f"; measure the {said(item.measure)}" if item.measure and not told else ""
    return f"{many}{item.what}{about}{measure}"


def _before_power(job: JobSheet) -> Iterator[Block]:
    yield Beware("Lock out, empty the capacitors, prove the circuit dead before you measure ohms.")
    yield Text("Every disconnect open. Every way in parallel counts: to read a single part lift one end.")
    yield words.readings(job.ohms, "Ohms")


def _power(job: JobSheet) -> Iterator[Block]:
    yield from _beware(job, "power")
    if job.stands is not None:
        stands = job.stands.standing
        loads = ", ".join(f"{n} {w}" for n, w in {**stands.loads, **stands.relays}.items())
        inputs = ", ".join(f"{n} {w}" for n, w in _listed(job))
        yield Text(f"Power on with {inputs}. Then {loads}.")
    yield words.readings(job.volts, "AC volts")


def _listed(job: JobSheet) -> Iterator[tuple[str, str]]:
    inputs = job.changed.after.inputs
    for name, word in job.stands.inputs if job.stands is not None else ():
        if name not in inputs or inputs[name].listed:
            yield name, word


def _acceptance(job: JobSheet) -> Iterator[Block]:
    if job.accept is None:
        yield Beware(f"No acceptance list was worked out: {job.why_not}.")
        return
    answer = job.accept
    matter = sum(r.does.matters for r in answer.rows)
    looked_at = f"{matter} of {len(answer.rows)} looked at"
    yield Text(f"What to do and look at, to show the mistakes that matter ({looked_at}).")
    for number, at in enumerate(answer.acceptance.steps, 1):
        yield Text(f"{number}. {do(answer, number)}", strong=True)
        yield words.look_at(at, beside(answer, at))
        yield Text("Otherwise it may be:")
        yield Points(words.otherwise(answer, at))
    yield from _not_shown(answer)


def _not_shown(answer: Mistakes) -> Iterator[Block]:
    if answer.not_shown:
        yield Text("None of the observations tried shows these: look before you close the panel.")
        yield Points(tuple(f"{r.mistake.words}: {what(r)}" for r in answer.not_shown), boxes=True)


def _found(job: JobSheet) -> Iterator[Block]:
    yield Fill(("Found and done",), LINES)
    yield from _beware(job, "end")
    yield Points(
        ("card for the panel door filled in and left", "panel closed, disconnect closed, left running"),
        boxes=True,
    )
    yield Fill(("name", "date", "signature"))
    yield Text(LAST)
