"""Where a finding is: the step of the change nearest to it, and the thing that it is about."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.follow import plain
from wirecheck.problem import Place

if TYPE_CHECKING:
    from wirecheck.checks.finding import Finding
    from wirecheck.circuit.elements import Device
    from wirecheck.circuit.graph import Changed, Circuit


def near(changed: Changed, finding: Finding, change: str) -> Place:
    """Where in the change's file to look first: the thing itself, a step on it, the first step, the head."""
    about = found_at(changed, finding)
    if about is not None and about.file == change:
        return about
    tag = _device(changed, finding.subject)
    steps = [s for s in changed.steps if s.place is not None and s.place.file == change]
    touching = [
        s
        for s in steps
        if tag is not None and (tag in s.devices or any(t.partition(".")[0] == tag for t in s.terminals))
    ]
    step = next(iter(touching or steps), None)
    return Place(change) if step is None or step.place is None else step.place


def found_at(changed: Changed, finding: Finding) -> Place | None:
    """Where the subject of a finding stands: a sentence, a conductor, a device."""
    for circuit in (changed.after, changed.before):
        sentence = next((s for s in circuit.expects if plain(s.text) == plain(finding.subject)), None)
        if sentence is not None:
            return sentence.place
        if finding.subject in circuit.conductors:
            return circuit.conductors[finding.subject].place
        device = _of(circuit, finding.subject)
        if device is not None:
            return device.place
    return None


def _device(changed: Changed, subject: str) -> str | None:
    device = _of(changed.after, subject) or _of(changed.before, subject)
    return None if device is None else device.tag


def _of(circuit: Circuit, subject: str) -> Device | None:
    """The device that a subject names: itself, a terminal, element, position or load of it."""
    words = subject.replace(",", " ").split()
    tags = [word.partition(".")[0] for word in words]
    return next((circuit.devices[tag] for tag in tags if tag in circuit.devices), None)
