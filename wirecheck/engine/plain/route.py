"""The way of the current: terminal by terminal, along conductors, links, closed contacts and impedances."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Conductor, Link, Transformer
from wirecheck.engine import figures

if TYPE_CHECKING:
    from wirecheck.engine.solver import View

Hop = tuple[str, str]  # the words of the way taken, the terminal it leads to


def describe(wire: Conductor) -> str:
    """A conductor as the eye knows it: W7 (yellow, 18 AWG)."""
    marks = ", ".join(t for t in (wire.color, wire.gauge) if t)
    return f"{wire.id} ({marks})" if marks else wire.id


def hops(view: View) -> dict[str, list[Hop]]:
    """Every way that current can take here: zero-impedance joins, and impedances that carry some."""
    plain = view.plain
    found: dict[str, list[Hop]] = {}

    def both(a: str, b: str, words: str) -> None:
        found.setdefault(a, []).append((words, b))
        found.setdefault(b, []).append((words, a))

    for wire in plain.circuit.conductors.values():
        both(wire.a, wire.b, describe(wire))
    for element in plain.circuit.elements.values():
        if isinstance(element, Link):
            both(element.a, element.b, f"link {element.id}")
        elif isinstance(element, Transformer):
            continue
        elif element.id in plain.impedances:
            if abs(view.amps(element.id, plain.scenario)) > figures.SLACK:
                both(element.a, element.b, element.id)
        elif view.network.node[plain.nets.of[element.a]] == view.network.node[plain.nets.of[element.b]]:
            both(element.a, element.b, f"contact {element.id} closed")
    return found


def sources(view: View) -> set[str]:
    """Where current comes from and goes back to: supply poles, and the ends of secondaries."""
    ends = {t for c in view.plain.transformers.values() for t in c.secondary}
    return ends | set(view.plain.circuit.poles)


def way(start: str, goals: set[str], ways: dict[str, list[Hop]], taken: frozenset[str]) -> list[Hop]:
    """The shortest way from `start` to a goal that takes nothing in `taken`."""
    came: dict[str, tuple[str, str]] = {start: ("", "")}
    queue = [start]
    for at in queue:
        if at in goals:
            path = []
            while came[at][0]:
                path.append((came[at][1], at))
                at = came[at][0]
            return list(reversed(path))
        for words, to in ways.get(at, ()):
            if to not in came and words not in taken:
                came[to] = (at, words)
                queue.append(to)
    return []


def route(view: View, load: str) -> tuple[str, ...]:
    """The current's way through a load in one network: from pole to pole, or () where none flows."""
    plain = view.plain
    thing = plain.circuit.loads.get(load)
    if thing is None or view.short is not None:
        return ()
    carrying = [e for e in view.elements_of(thing) if abs(view.amps(e, plain.scenario)) > figures.SLACK]
    if not carrying:
        return ()
    element = plain.impedances[carrying[0]]
    ways, goals = hops(view), sources(view)
    own = frozenset(carrying)
    out = way(element.a, goals, ways, own)
    back = way(element.b, goals, ways, own | {w for w, _ in out})
    if (element.a not in goals and not out) or (element.b not in goals and not back):
        return ()
    lines = [out[-1][1] if out else element.a]
    turned = [element.a, *(t for _, t in out)]
    lines += [f"{out[k][0]} to {turned[k]}" for k in range(len(out) - 1, -1, -1)]
    lines.append(f"{element.id} to {element.b}")
    lines += [f"{w} to {t}" for w, t in back]
    return tuple(lines)
