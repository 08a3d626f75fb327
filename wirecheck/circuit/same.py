"""Whether two circuits are the same to everything that asks: what is in them, not where it stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from wirecheck.circuit.graph import Circuit

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wirecheck.circuit.bound import BoundSentence

# cuts follow from the rest, and of a unit as changed are those of both; notes are told in the file's order.
ASIDE = ("terminals", "cuts", "notes", "place")


def differences(one: Circuit, other: Circuit, names: Mapping[str, str]) -> tuple[str, ...]:
    """What differs, as `conductors W7`; none where they are the same. names: node of `one` -> of `other`."""
    renamed = _renamed(one, names)
    found = (n for n in Circuit.__struct_fields__ if n not in ASIDE)
    return tuple(d for name in found for d in _differ(name, _plain(renamed, name), _plain(other, name)))


def _differ(name: str, one: Any, other: Any) -> Iterator[str]:
    if isinstance(one, dict):
        yield from (f"{name} {key}" for key in {**one, **other} if one.get(key) != other.get(key))
    elif one != other:
        yield name


def _plain(circuit: Circuit, name: str) -> Any:
    found = getattr(circuit, name)
    if name == "expects":
        return {_said(sentence) for sentence in found}
    return {condition for condition, _ in found} if name == "impossible" else found


def _said(sentence: BoundSentence) -> tuple[object, ...]:
    return sentence.form, sentence.subject, sentence.condition, sentence.until


def _renamed(circuit: Circuit, names: Mapping[str, str]) -> Circuit:
    wires = {
        key: replace(wire, a=names.get(wire.a, wire.a), b=names.get(wire.b, wire.b))
        for key, wire in circuit.conductors.items()
    }
    return replace(
        circuit,
        conductors=wires,
        splices=frozenset(names.get(s, s) for s in circuit.splices),
        capped=frozenset(names.get(s, s) for s in circuit.capped),
    )
