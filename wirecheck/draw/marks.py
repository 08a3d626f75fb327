"""What a change did to each conductor and device, as marks numbered by the plain steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.draw.pieces import Marks

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from wirecheck.circuit.graph import Changed, PlainStep
    from wirecheck.draw.pieces import Mark

_WORDS: dict[Mark, str] = {"new": "new", "gone": "gone", "moved": "moved", "lifted": "lifted"}


def marks_before(changed: Changed) -> Marks:
    """Conductors that are lifted, cut or gone afterwards, and devices that are taken out."""
    wires: dict[str, tuple[Mark, str]] = {}
    for wire in changed.before.conductors.values():
        after = changed.after.conductors.get(wire.id)
        if after is None:
            _put(wires, wire.id, "gone", _step(changed, _names(wire.id), ("remove", "cut"), first=True))
        elif {wire.a, wire.b} != {after.a, after.b}:
            _put(wires, wire.id, "lifted", _step(changed, _names(wire.id), ("lift", "replace"), first=True))
    devices: dict[str, tuple[Mark, str]] = {}
    redefined = changed.brought & changed.before.devices.keys()
    for tag in changed.before.devices:
        if tag in changed.removed or tag in redefined or tag not in changed.after.devices:
            _put(devices, tag, "gone", _step(changed, _has_device(tag), ("remove", "replace"), first=True))
    return Marks(wires, devices)


def marks_after(changed: Changed) -> Marks:
    """Conductors that are new or moved, and devices that the change brings."""
    wires: dict[str, tuple[Mark, str]] = {}
    for wire in changed.after.conductors.values():
        before = changed.before.conductors.get(wire.id)
        if before is None:
            _put(wires, wire.id, "new", _step(changed, _names(wire.id), ("run", "cut", "splice"), first=True))
        elif {wire.a, wire.b} != {before.a, before.b}:
            kinds = ("land", "splice", "replace", "lift")
            _put(wires, wire.id, "moved", _step(changed, _names(wire.id), kinds, first=False))
    devices: dict[str, tuple[Mark, str]] = {}
    for tag in changed.after.devices:
        if tag in changed.brought or tag not in changed.before.devices:
            _put(devices, tag, "new", _step(changed, _has_device(tag), ("add", "replace"), first=True))
    return Marks(wires, devices)


def _put(into: dict[str, tuple[Mark, str]], name: str, mark: Mark, step: PlainStep | None) -> None:
    into[name] = mark, f"Δ{step.number} {_WORDS[mark]}" if step is not None else _WORDS[mark]


def _names(wire: str) -> Callable[[PlainStep], bool]:
    """Steps on a conductor; on W7 too where the name is W7.a, a half of it."""
    whole = wire.removesuffix(".a").removesuffix(".b")
    return lambda step: wire in step.wires or whole in step.wires


def _has_device(tag: str) -> Callable[[PlainStep], bool]:
    return lambda step: tag in step.devices or any(t.rpartition(".")[0] == tag for t in step.terminals)


def _step(
    changed: Changed, about: Callable[[PlainStep], bool], kinds: Iterable[str], first: bool
) -> PlainStep | None:
    """The first or last step about something, of the first of these kinds that occurs; else of any kind."""
    found = [step for step in changed.steps if about(step)]
    for kind in kinds:
        of_kind = [step for step in found if step.kind == kind]
        if of_kind:
            return of_kind[0 if first else -1]
    return found[0 if first else -1] if found else None
