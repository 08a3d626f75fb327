"""What a verdict does not cover: always, and of this one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.report.lines import said

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.questions.verify import Verified

ALWAYS = (
    "anything that is not in the two files, and whether they are true of the panel",
    "mounting, routing, torque of screws, listing, code",
    "whether a mark, a colour or a drawing in the panel names what the part is and does",
    "fan speed controls, soft starters, star-delta starting, two-speed compressors",
    "make-before-break and bounce of contacts; off-delays that hold without power",
    "a motor otherwise than at standstill: its speed, its load, the pick-up volts of a potential relay",
    "the resistance of conductors, the losses of transformers",
    "any measurement: none was made, none was entered",
)


def not_checked(answer: Verified, checks: Iterable[str]) -> Iterator[str]:
    """What these files left open, then what is never checked. checks: every check that was made."""
    for finding in answer.findings:
        if finding.verdict == "unknown":
            needs = f"; needs {said(finding.fields)}" if finding.fields else ""
            yield f"not decided: {finding.check} of {finding.subject}{needs}"
    yield from (f"not decided: {why}" for why in answer.why_unknown)
    found = {finding.check for finding in answer.findings}
    idle = [check for check in checks if check not in found]
    if idle:
        yield f"nothing in these files for {said(idle)} to look at"
    if not answer.states:
        yield "when each load runs: the states were too many to list; what stands as pass is proved"
    yield from ALWAYS
