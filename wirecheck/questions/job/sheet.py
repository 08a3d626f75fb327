"""The job sheet as a record: the verdict, what to take, steps, cautions, readings, acceptance list."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.engine.answers import TooMany
from wirecheck.questions import verify as verifying
from wirecheck.questions.job.carry import carry
from wirecheck.questions.job.cautions import cautions
from wirecheck.questions.job.hands import hands
from wirecheck.questions.job.parts import set_points
from wirecheck.questions.job.readings import at_lifts, at_power_up, before_power
from wirecheck.questions.job.routes import remarks
from wirecheck.questions.mistakes import answer as mistaking

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Changed
    from wirecheck.questions.job.carry import Item
    from wirecheck.questions.job.cautions import Caution
    from wirecheck.questions.job.hands import Hand
    from wirecheck.questions.job.parts import SetPoint
    from wirecheck.questions.job.readings import AtStep, Expected
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.mistakes.answer import Mistakes
    from wirecheck.questions.verify import Verified


class JobSheet(Struct, frozen=True):
    """Everything that a sheet tells. Of a change that fails only the verdict: nobody is to carry it out.

    accept: None where it could not be worked out; why_not tells. stands: the unit with power on, no call.
    """

    changed: Changed
    verified: Verified
    items: tuple[Item, ...] = ()
    cautions: tuple[Caution, ...] = ()
    hands: tuple[Hand, ...] = ()
    remarks: tuple[str, ...] = ()
    at_lifts: tuple[AtStep, ...] = ()
    ohms: tuple[Expected, ...] = ()
    volts: tuple[Expected, ...] = ()
    stands: Reading | None = None
    set_points: tuple[SetPoint, ...] = ()
    accept: Mistakes | None = None
    why_not: str = ""


def jobsheet(changed: Changed, plain: bool = False) -> JobSheet:
    """The sheet of a change. plain: ask the plain evaluator alone."""
    verified = verifying.verify(changed, plain=plain)
    if verified.verdict == "fail":
        return JobSheet(changed, verified)
    accept, why_not = _accept(changed, plain)
    volts, stands = at_power_up(changed)
    return JobSheet(
        changed,
        verified,
        carry(changed),
        cautions(changed),
        hands(changed),
        remarks(changed),
        tuple(at_lifts(changed)),
        tuple(before_power(changed)),
        tuple(volts),
        stands,
        set_points(changed.after),
        accept,
        why_not,
    )


def _accept(changed: Changed, plain: bool) -> tuple[Mistakes | None, str]:
    try:
        return mistaking.mistakes(changed, plain), ""
    except TooMany as many:
        return None, f"too many states to look at: {many}"
