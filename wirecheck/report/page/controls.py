"""The page's controls as they stand in the state it opens with: switches, delays, quantities."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wirecheck.draw.rest import at_rest
from wirecheck.draw.text import plain

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.shown.answer import Shown
    from wirecheck.questions.shown.moves import Quantity, Switch

FOLDED_FROM = 7  # more switches than six stand in a part that unfolds
CHECKED = ("closed", "moved")


def content(
    shown: Shown | None, state: int, loads: list[dict[str, Any]], why_not: str, circuits: tuple[Circuit, ...]
) -> dict[str, Any]:
    """What the template needs of them, and the state in words. circuits: what is drawn."""
    if shown is None:
        return {
            "limits": [f"This page has no switches: {why_not} The drawings show everything at rest."],
            "groups": [],
            "quantities": [],
            "differs": "",
            "stands": at_rest(*circuits),
        }
    brought = sorted(shown.switches, key=lambda s: s.name not in shown.brought)  # the change's own first
    switches = [_switch(shown, s, state) for s in brought] + _delays(shown, state)
    quantities = [_quantity(shown, q, number, state) for number, q in enumerate(shown.quantities)]
    stands = [f"{s['name']} {s['word']}" for s in switches]
    stands += [f"{q['name']} {r['words']}" for q in quantities for r in q["ranges"] if r["checked"]]
    return {
        "limits": _limits(shown),
        "groups": _groups(switches),
        "quantities": quantities,
        "differs": differs(loads, len(shown.sides) > 1),
        "stands": ", ".join(stands),
    }


def differs(loads: list[dict[str, Any]], both: bool) -> str:
    """The sentence that says what differs, as the script says it of every state."""
    if not both:
        return ""
    found = [
        f"{r['name']} {r['words'][0]} before, {r['words'][1]} after"
        for r in loads
        if r["paired"] and r["differs"]
    ]
    if not found:
        return "In this state every load and relay does as before."
    return f"In this state: {'; '.join(found)}. All else does as before."


def _limits(shown: Shown) -> list[str]:
    found = []
    if shown.held:
        names = ", ".join(shown.held)
        found.append(
            f"This page holds {len(shown.held)} switches where they stand in ordinary operation, so as to "
            f"stay small: {names}. What is checked covers all their positions."
        )
    if shown.fields:
        found.append(f"Unknown here and there, because these are not given: {', '.join(shown.fields)}.")
    return found


def _groups(switches: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The free ones; those that are held apart, folded; all folded where there are many."""
    free = [s for s in switches if not s["fixed"]]
    held = [s for s in switches if s["fixed"]]
    groups = [{"title": "Switches", "switches": free, "folded": False}] if free else []
    if len(free) >= FOLDED_FROM:
        groups = [
            {"title": "Switches", "switches": free[: FOLDED_FROM - 1], "folded": False},
            {"title": "More switches", "switches": free[FOLDED_FROM - 1 :], "folded": True},
        ]
    return groups + ([{"title": "Held switches", "switches": held, "folded": True}] if held else [])


def _choice(shown: Shown, block: int, state: int) -> int:
    at, width, _ = shown.blocks[block]
    return state >> at & ((1 << width) - 1)


def _switch(shown: Shown, s: Switch, state: int) -> dict[str, Any]:
    moved = shown.blocks[s.block][2][_choice(shown, s.block, state)][1][s.place]
    word = s.words[moved]
    fixed = s.held is not None
    note = "held" if fixed else f"moved by {s.quantity}" if s.quantity else ""
    return {
        "name": plain(s.name),
        "word": word,
        "checked": word in CHECKED,
        "disabled": fixed,
        "fixed": fixed,
        "note": note,
    }


def _delays(shown: Shown, state: int) -> list[dict[str, Any]]:
    found = []
    memory = state >> shown.memory_at
    for called, side, name in shown.delays:
        moved = bool(shown.value(side, "delay", name, state))
        waits = name in shown.moves.pending[memory]
        found.append(
            {
                "name": plain(called),
                "word": "moved" if moved else "rest",
                "checked": moved,
                "disabled": not waits,
                "fixed": False,
                "note": "its delay runs out",
            }
        )
    return found


def _quantity(shown: Shown, q: Quantity, number: int, state: int) -> dict[str, Any]:
    here = shown.blocks[q.block][2][_choice(shown, q.block, state)][0]
    ranges = [{"words": words, "checked": r == here} for r, words in enumerate(q.ranges)]
    return {"name": plain(q.name), "number": number, "ranges": ranges}
