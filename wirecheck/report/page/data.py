"""What the page's script looks up: the engine's decision diagram, with a root for all that changes."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from wirecheck.draw.scene import of_stretch
from wirecheck.draw.text import plain
from wirecheck.engine.levels import LEVELS, named
from wirecheck.questions.shown.facts import WORDS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.draw.scene import Scene
    from wirecheck.engine.levels import Thing
    from wirecheck.questions.shown.answer import Shown
    from wirecheck.questions.shown.diagram import Ref
    from wirecheck.report.page.meters import Meters

Roots = dict[str, dict[str, int]]  # side -> name -> root


def data(
    shown: Shown,
    scenes: Mapping[str, Scene],
    drawn: Mapping[str, set[str]],
    read: Meters,
    start: int,
    jumps: list[int],
) -> str:
    """JSON for the script, with nothing in it that could end a script element. jumps: states to jump to.

    drawn: the names that stand in drawings of each side.
    """
    levels = {side: _levels(shown, side, scenes[side], drawn[side]) for side in shown.sides}
    words = {side: _of_kinds(shown, side, ("load", "relay")) for side in shown.sides}
    contacts = {side: _of_kinds(shown, side, ("closed",)) for side in shown.sides}
    delays: dict[str, dict[str, Ref]] = {side: {} for side in shown.sides}
    for called, side, name in shown.delays:
        delays[side][called] = shown.ref(side, "delay", name)
    moves = shown.moves
    roots = [r for kind in (levels, words, contacts, delays) for side in kind.values() for r in side.values()]
    nodes, number = shown.diagram.kept([*roots, *read.roots, moves.next, moves.power, *moves.delays.values()])

    def told(ref: Ref) -> int:
        return number.get(ref, ref)

    def each(kind: Roots) -> Roots:
        return {side: {plain(n): told(r) for n, r in rows.items()} for side, rows in kind.items()}

    content: dict[str, Any] = {
        "nodes": [x for node in nodes for x in node],
        "start": start,
        "memory": shown.memory_at,
        "sets": moves.sets,
        "next": told(moves.next),
        "power": told(moves.power),
        "blocks": [[at, width] for at, width, _ in shown.blocks],
        "inputs": {plain(s.name): _switch(shown, s) for s in shown.switches}
        | {plain(c): [told(moves.delays[n]), _pending(shown, n)] for c, _, n in shown.delays},
        "quantities": {plain(q.name): _quantity(shown, q) for q in shown.quantities},
        "level": each(levels),
        "word": each(words),
        "shut": each(contacts),
        "moved": each(delays),
        "levels": LEVELS,
        "words": WORDS,
        "meter": [told(r) for r in read.roots],
        "reads": read.texts,
        "jumps": jumps,
    }
    return json.dumps(content, separators=(",", ":"), ensure_ascii=True).replace("<", "\\u003c")


def _switch(shown: Shown, s: Any) -> list[Any]:
    choices = shown.blocks[s.block][2]
    checked = s.words[1] in ("closed", "moved")
    stands = "".join(str(int(positions[s.place] == checked)) for _, positions in choices)
    shows = s.words if checked else s.words[::-1]
    return [s.block, stands, list(shows), s.paths]


def _quantity(shown: Shown, q: Any) -> list[Any]:
    return [q.block, [r for r, _ in shown.blocks[q.block][2]], q.paths]


def _pending(shown: Shown, delay: str) -> list[int]:
    """The memories in which a delay runs."""
    return [m for m, waiting in enumerate(shown.moves.pending) if delay in waiting]


def _of_kinds(shown: Shown, side: str, kinds: tuple[str, ...]) -> dict[str, Ref]:
    return {n: r for (s, kind, n), r in shown.facts.items() if s == side and kind in kinds}


def _levels(shown: Shown, side: str, scene: Scene, drawn: set[str]) -> dict[str, Ref]:
    """By name, and of the lines that are no single conductor."""

    def level(thing: Thing) -> Ref:
        return shown.ref(side, *thing)

    found = {
        name: shown.diagram.highest([level(thing) for thing in things])
        for name, things in named(shown.circuit(side)).items()
        if name in drawn
    }
    return found | {name: of_stretch(line, level, shown.diagram) for name, line in scene.lines.items()}
