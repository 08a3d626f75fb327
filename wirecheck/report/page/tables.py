"""The page's tables: loads and relays in the state shown, and every conductor."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wirecheck.circuit.graph import Changed
from wirecheck.draw.marks import marks_after, marks_before
from wirecheck.draw.text import plain
from wirecheck.questions.shown.facts import WORDS

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.shown.answer import Shown
    from wirecheck.questions.verify import Verified


def sides(both: bool) -> list[dict[str, str]]:
    """The columns of words."""
    if not both:
        return [{"side": "before", "title": "Word", "reads": "Reads"}]
    return [{"side": side, "title": side.title(), "reads": side.title()} for side in ("before", "after")]


def loads(
    drawn: Changed | Circuit, shown: Shown | None, state: int, answer: Verified | None
) -> list[dict[str, Any]]:
    """A row for each load, then each relay, those that correspond beside each other."""
    rows = []
    for kind in ("load", "relay"):
        for old, new in _pairs(drawn, kind):
            names = {"before": old, "after": new}
            both = ("before", "after") if isinstance(drawn, Changed) else ("before",)
            cells = [_cell(shown, side, kind, names[side], state) for side in both]
            words = [c["word"] for c in cells if c]
            rule = answer.effect.get(new or "") if answer is not None and kind == "load" else None
            rows.append(
                {
                    "kind": kind,
                    "name": plain(new or old or ""),
                    "old": old if old and new and old != new else "",
                    "cells": cells,
                    "paired": bool(old and new),
                    "differs": len(set(words)) > 1,
                    "words": words,
                    "rule": _rule(rule) if rule is not None else "",
                }
            )
    return rows


def _rule(effect: Any) -> str:
    if effect.before == effect.after or not effect.before:
        return str(effect.after)
    return f"before: {effect.before}; after: {effect.after}"


def _cell(shown: Shown | None, side: str, kind: str, name: str | None, state: int) -> dict[str, str] | None:
    if name is None or shown is None:
        return None
    return {"name": plain(name), "side": side, "word": WORDS[shown.value(side, kind, name, state)]}


def _pairs(drawn: Changed | Circuit, kind: str) -> list[tuple[str | None, str | None]]:
    """Name before, name after; None where one side lacks it."""
    if not isinstance(drawn, Changed):
        return [(name, None) for name in _named(drawn, kind)]
    before, after = _named(drawn.before, kind), _named(drawn.after, kind)
    old_of = dict(matching(drawn, before, after))
    gone = [name for name in before if name not in old_of.values()]
    return [*((old_of.get(name), name) for name in after), *((name, None) for name in gone)]


def matching(drawn: Changed, before: list[str], after: list[str]) -> list[tuple[str, str]]:
    """A load after and the same before: of one name, or of a device that another replaces."""
    renamed = {r.new: r.old for r in drawn.replaced}
    found = []
    for name in after:
        tag = next((t for t in renamed if name == t or name.startswith(f"{t}.")), None)
        old = name if tag is None else renamed[tag] + name.removeprefix(tag)
        if old in before:
            found.append((name, old))
    return found


def _named(circuit: Circuit, kind: str) -> list[str]:
    if kind == "relay":
        return list(circuit.relays)
    taps = {n: [f"{n}.{t}" for t in getattr(load, "taps", ())] for n, load in circuit.loads.items()}
    return [name for load in circuit.loads for name in (load, *taps[load])]


def conductors(drawn: Changed | Circuit) -> list[dict[str, str]]:
    """Every conductor; one that the change touches stands before and after."""
    if not isinstance(drawn, Changed):
        return [_row(w, "") for w in drawn.conductors.values()]
    marks = {"before": marks_before(drawn).wires, "after": marks_after(drawn).wires}
    rows = []
    for name in dict.fromkeys((*drawn.before.conductors, *drawn.after.conductors)):
        was, now = drawn.before.conductors.get(name), drawn.after.conductors.get(name)
        if was is not None and name in marks["before"]:
            rows.append(_row(was, f"before: {marks['before'][name][1]}"))
        if now is not None and name in marks["after"]:
            rows.append(_row(now, f"after: {marks['after'][name][1]}"))
        if was is not None and now is not None and not any(name in m for m in marks.values()):
            rows.append(_row(now, ""))
    return rows


def _row(wire: Any, mark: str) -> dict[str, str]:
    look = ", ".join(t for t in (wire.color or "?", wire.gauge or "?") if t)
    return {"id": wire.id, "look": look, "start": wire.a, "end": wire.b, "mark": mark}
