"""A point that somebody names, for a probe: a terminal, pole, splice, loose end, a conductor's end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Circuit

EARTH = ("earth", "ground", "gnd", "pe", "chassis", "frame")
NEUTRAL = ("neutral",)


def bind_terminal(name: str, circuit: Circuit, place: Place) -> str:
    """The node of that name: a terminal, pole, splice or loose end; a conductor for its one loose end.

    W7:K1.T2, the end of W7 at K1.T2, is K1.T2 as long as W7 is landed there. Raises BadInput with near names.
    """
    if name in circuit.terminals:
        return name
    wire, _, at = name.partition(":")
    conductor = circuit.conductors.get(wire)
    if conductor is not None:
        return _end(name, conductor, at, circuit, place)
    tag = name.partition(".")[0]
    mine = [t for t in circuit.terminals if t.partition(".")[0] == tag and "(" not in t]
    if name == tag and mine:
        raise BadInput([Problem("terminal-missing", f"{name}: {tag} has {', '.join(mine)}.", place)])
    what = f"{tag} has {', '.join(mine)}." if mine else f"no terminal is called {name}."
    raise BadInput([Problem("unknown-terminal", f"{name}: {what}{_meant(name, circuit)}", place)])


def _end(name: str, wire: Conductor, at: str, circuit: Circuit, place: Place) -> str:
    """The end of a conductor: the one named behind the colon, else its one loose end."""
    ends = (wire.a, wire.b)
    found = [at] if at in ends else [e for e in ends if e in circuit.loose] if not at else []
    if len(found) == 1:
        return found[0]
    what = f"the conductor {wire.id} ends at {wire.a} and {wire.b} here"
    raise BadInput([Problem("unknown-terminal", f"{name}: {what}; name one of the two.", place)])


def _meant(name: str, circuit: Circuit) -> str:
    """What a name that is no terminal probably meant: by its trade word or letters, else a like terminal."""
    word = name.casefold()
    if "." not in word:
        letters = "pe" if word in EARTH else "n" if word in NEUTRAL else word
        poles = [*circuit.poles, *(t for t in circuit.terminals if t not in circuit.poles and "(" not in t)]
        alike = [t for t in poles if t.partition(".")[2].casefold() == letters]
        if alike:
            return f" Meant {' or '.join(alike[:2])}?"
    return meant(name, circuit.terminals)
