"""How a unit stands in one state: the words of relays and loads, and what is live at what volts to earth.

It goes with every reading: 0 V across an open load does not mean dead.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from wirecheck.checks.ratings.volts import potentials
from wirecheck.engine import figures
from wirecheck.engine.answers import IN, OFF, UNKNOWN

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Bits, Outcome
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.solver import View


class Group(Struct, frozen=True):
    """Terminals at one potential. volts: to earth; of a circuit that nothing earths, the most within it."""

    volts: float
    terminals: tuple[str, ...]
    earthed: bool = True


class Standing(Struct, frozen=True):
    """One state. relays, loads: name -> word, `unknown` where a race or what is estimated decides.

    live: the groups above 10 V. could_hold: relays that are out here and would stay in had they been in.
    """

    relays: dict[str, str] = field(default_factory=dict)
    loads: dict[str, str] = field(default_factory=dict)
    live: tuple[Group, ...] = ()
    could_hold: tuple[str, ...] = ()

    @property
    def volts(self) -> dict[str, float]:
        """Live terminal -> volts to earth, of circuits that are tied to it."""
        return {t: group.volts for group in self.live if group.earthed for t in group.terminals}

    @property
    def off(self) -> tuple[str, ...]:
        """The loads that are off."""
        return tuple(n for n, w in self.loads.items() if w == OFF)


def standing(plain: Plain, inputs: Bits, ends: Sequence[Outcome]) -> Standing:
    """Where settling ends; of several ends, what they have in common."""
    words = [plain.words(inputs, o) for o in ends]
    view = plain.views(inputs, ends[0])[0]
    loads = {n: agreed([w.loads[n] for w in words]) for n in plain.circuit.loads}
    relays = {n: agreed([w.relays[n] for w in words]) for n in plain.circuit.relays}
    return Standing(relays, loads, live(view), could_hold(plain, inputs, ends))


def agreed(words: Sequence[str]) -> str:
    """The one word that all say, else `unknown`."""
    return words[0] if len(set(words)) == 1 else UNKNOWN


def live(view: View) -> tuple[Group, ...]:
    """Terminals above 10 V to earth, or within an unearthed circuit, those of one potential together."""
    node, of = view.network.node, view.plain.nets.of
    volts = potentials(view)
    inner = {t for t in view.plain.circuit.terminals if "(" in t}
    groups: dict[tuple[str, complex], tuple[float, list[str]]] = {}
    for terminal in view.plain.circuit.terminals:
        found = volts.get(node[of[terminal]], 0.0)
        if found > figures.LIVE_VOLTS and terminal not in inner:
            at = view.potential(terminal)
            key = at.ref, complex(round(at.volts.real, 3), round(at.volts.imag, 3))
            groups.setdefault(key, (found, []))[1].append(terminal)
    return tuple(Group(v, tuple(names), ref == "") for (ref, _), (v, names) in groups.items())


def could_hold(plain: Plain, inputs: Bits, ends: Sequence[Outcome]) -> tuple[str, ...]:
    """Relays that are out where settling ends, and that stay in where they are in to begin with.

    Whether some way leads there is another question: `meter --when "RELAY in"` asks it.
    """
    if not plain.order_matters(inputs) or any(o.kind != "rest" for o in ends):
        return ()
    found = []
    for relay in plain.circuit.relays.values():
        if any(plain.words(inputs, o).relays[relay.name] == IN for o in ends):
            continue
        coils, delays = ends[0].members[0]
        start = tuple(c or k == plain.coils[relay.coil] for k, c in enumerate(coils)), delays
        held = plain.settle(inputs, start)
        if all(o.kind == "rest" and plain.words(inputs, o).relays[relay.name] == IN for o in held):
            found.append(relay.name)
    return tuple(found)


def blended(found: Sequence[Standing]) -> Standing:
    """What the ends of the estimates agree in; of what is live, the nominal one."""
    first = found[0]
    return replace(
        first,
        loads={n: agreed([s.loads[n] for s in found]) for n in first.loads},
        relays={n: agreed([s.relays[n] for s in found]) for n in first.relays},
        could_hold=tuple(n for n in first.could_hold if all(n in s.could_hold for s in found)),
    )


def touching(circuit: Circuit, view: View, terminals: Sequence[str]) -> tuple[str, ...]:
    """The loads with a terminal joined to one of these, or of whose device these are."""
    node, of = view.network.node, view.plain.nets.of
    nodes = {node[of[t]] for t in terminals}
    found = []
    for load in circuit.loads.values():
        own = circuit.devices[load.device].terminals
        if any(t in own for t in terminals) or any(node[of[t]] in nodes for t in own):
            found.append(load.name)
    return tuple(found)


def dead_of(standing: Standing, circuit: Circuit, loads: Sequence[str]) -> dict[str, dict[str, float]]:
    """Load that is off -> its terminals that are live all the same, volts to earth."""
    volts = standing.volts
    found = {}
    for name in loads:
        own = [t for t in circuit.devices[circuit.loads[name].device].terminals if t in volts]
        if standing.loads.get(name) == OFF and own:
            found[name] = {t: volts[t] for t in own}
    return found
