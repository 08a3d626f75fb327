"""The record as a page to print and sign."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from wirecheck.report.html import template
from wirecheck.report.lines import CALLED, LAST, said
from wirecheck.report.record.telling import SEAL

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.report.record.models import Check, Record, State


class Word(NamedTuple):
    """A load or relay of a counterexample."""

    name: str
    before: str
    after: str

    @property
    def differs(self) -> bool:
        """Does it do other than before?"""
        return self.before not in ("–", self.after)


def html(record: Record) -> str:
    """The page. What it says is the record's; nothing is added but headings."""
    return template("record.html").render(
        record=record,
        called=CALLED,
        fails=[c for c in record.checks if c.verdict == "fail"],
        open=[c for c in record.checks if c.verdict == "unknown"],
        notes=[c for c in record.checks if c.verdict == "note"],
        decided=[c for c in record.checks if c.verdict != "note"],
        says=says,
        cases=cases,
        states=states,
        stands=stands,
        words=words,
        said=said,
        seal=SEAL,
        last=LAST,
    )


def says(check: Check) -> str:
    """What a check says, with what it is about where that is not said."""
    return check.says if check.subject in check.says else f"{check.about}: {check.says}"


def cases(checks: list[Check]) -> list[list[Check]]:
    """Checks that show the same state together, in their order."""
    groups: dict[object, list[Check]] = {}
    for k, check in enumerate(checks):
        shown = check.counterexample
        alone = shown is None or bool(shown.earlier)
        key: object = k
        if shown is not None and not alone:
            key = tuple(tuple(part.items()) for part in (shown.inputs, shown.quantities, shown.after))
        groups.setdefault(key, []).append(check)
    return [*groups.values()]


def states(group: list[Check]) -> Iterator[State]:
    """The states that the checks of a case show, in order; of those that differ in the route, one with it."""
    shown = [c.counterexample for c in group if c.counterexample is not None]
    if shown:
        state = next((s for s in shown if s.route), shown[0])
        yield from state.earlier
        yield state


def stands(state: State) -> str:
    """Where every switch stands, and every quantity lies."""
    return ", ".join(f"{name} {word}" for name, word in (state.inputs | state.quantities).items())


def words(state: State) -> Iterator[Word]:
    """Loads and relays, before and after."""
    for name in dict.fromkeys((*state.after, *state.before)):
        yield Word(name, state.before.get(name, "–"), state.after.get(name, "–"))
