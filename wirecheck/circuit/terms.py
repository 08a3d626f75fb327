"""What a change says it does, its names checked against the unit before and after."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.bind import ASKED, names_of
from wirecheck.circuit.follow import plain
from wirecheck.circuit.graph import Terms
from wirecheck.problem import Problem, meant

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.circuit.graph import Circuit
    from wirecheck.design import models
    from wirecheck.problem import Place


class _Known(Struct, frozen=True):
    """What may be named: that of the unit and that of the changed unit."""

    before: Circuit
    after: Circuit
    problems: list[Problem]

    def loads(self) -> list[str]:
        """Loads, taps of motors, relays that work something outside."""
        found: dict[str, None] = {}
        for circuit in (self.before, self.after):
            names = names_of(circuit)
            external = [name for name, relay in names.relays.items() if relay.external]
            found |= dict.fromkeys([*names.loads, *names.taps, *external])
        return list(found)

    def check(self, name: str, known: Iterable[str], what: str, place: Place) -> bool:
        known = list(dict.fromkeys(known))
        if name in known:
            return True
        message = f"no {what} is called {name}.{meant(name, known)}"
        self.problems.append(Problem("unknown-name", message, place, about=(name, *ASKED)))
        return False


def bind_terms(change: models.ChangeFile, before: Circuit, after: Circuit, problems: list[Problem]) -> Terms:
    """The terms of a change. Unknown names are problems."""
    head, known = change.change, _Known(before, after, problems)
    for i, name in enumerate(head.retires):
        known.check(name, [*known.loads(), *_external(before)], "load", head.place("retires", i))
    for i, name in enumerate(head.races):
        both = [*before.relays, *after.relays, *before.loads, *after.loads]
        known.check(name, both, "load or relay", head.place("races", i))
    return Terms(
        affects=_affects(head, known),
        retires=frozenset(head.retires),
        drops=frozenset(plain(text) for text in head.drops),
        removes_protection=_protections(head, known),
        removes_isolation=_isolations(head, known),
        races=frozenset(head.races),
        impossible=tuple(change.impossible),
    )


def _external(circuit: Circuit) -> list[str]:
    return [name for name, relay in circuit.relays.items() if relay.external]


def _affects(head: models.ChangeHead, known: _Known) -> dict[str, str]:
    """Load -> less, more or either."""
    for name in head.affects:
        known.check(name, known.loads(), "load", head.key_place("affects", name))
    return {name: str(way) for name, way in head.affects.items()}


def _protections(head: models.ChangeHead, known: _Known) -> tuple[tuple[str, str, str], ...]:
    found = []
    for i, said in enumerate(head.removes_protection):
        place = head.place("removes_protection", i, "device")
        circuits = (known.before, known.after)
        marked = [
            n
            for c in circuits
            for s in c.inputs.values()
            if s.tripped is not None
            for n in (s.device, s.name)
        ]
        if known.check(said.device, marked, "protection, a device with `trips:`,", place):
            known.check(said.load, known.loads(), "load", head.place("removes_protection", i, "load"))
        found.append((said.device, said.load, said.because))
    return tuple(found)


def _isolations(head: models.ChangeHead, known: _Known) -> tuple[tuple[str, tuple[str, ...], str], ...]:
    found = []
    for i, said in enumerate(head.removes_isolation):
        place = head.place("removes_isolation", i, "device")
        circuits = (known.before, known.after)
        isolating = [d.tag for c in circuits for d in c.devices.values() if d.isolates]
        known.check(said.device, isolating, "device with `isolates:`", place)
        for j, terminal in enumerate(said.terminals):
            at = head.place("removes_isolation", i, "terminals", j)
            known.check(terminal, [t for c in circuits for t in c.terminals], "terminal", at)
        found.append((said.device, said.terminals, said.because))
    return tuple(found)
