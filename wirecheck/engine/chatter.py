"""Sets of states that settling never leaves, and the words in them: `chatters` where they differ."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.answers import CHATTERS, UNKNOWN, Words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.engine.answers import State


def never_left(after: Mapping[State, list[State]], ends: set[State]) -> list[tuple[State, ...]]:
    """The sets of states from which no end is reached and that are never left."""
    back: dict[State, list[State]] = {}
    for state, nexts in after.items():
        for to in nexts:
            back.setdefault(to, []).append(state)
    reach, queue = set(ends), list(ends)
    for state in queue:
        for came in back.get(state, ()):
            if came not in reach:
                reach.add(came)
                queue.append(came)
    stuck = [s for s in after if s not in reach]
    if not stuck:
        return []
    import networkx as nx

    graph = nx.DiGraph((s, t) for s in stuck for t in after[s])
    return sorted(
        tuple(sorted(component))
        for component in nx.strongly_connected_components(graph)
        if all(t in component for s in component for t in graph[s])
    )


def chattering(each: list[Words]) -> Words:
    """The words of a set of states that is never left: `chatters` where they differ."""
    first = each[0]
    loads = {n: w if all(x.loads[n] == w for x in each) else CHATTERS for n, w in first.loads.items()}
    relays = {n: w if all(x.relays[n] == w for x in each) else CHATTERS for n, w in first.relays.items()}
    why = {n: w for x in each for n, w in x.why.items() if loads.get(n) == UNKNOWN}
    return Words(loads, relays, first.delays, why)
