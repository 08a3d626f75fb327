"""The circuit: what every question reads. Terminals are nodes; elements and conductors are edges."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, ClassVar

from msgspec import Struct, field

from wirecheck.aside import Aside
from wirecheck.circuit.elements import (
    ByPosition,
    Coil,
    Conductor,
    Contact,
    Delay,
    Device,
    Element,
    Input,
    Load,
    Pole,
    Quantity,
    Relay,
    Transformer,
    VoltLoad,
)

if TYPE_CHECKING:
    import networkx as nx

    from wirecheck.circuit.bound import Bound, BoundSentence
    from wirecheck.circuit.wiring import Wiring
    from wirecheck.problem import Place


class Circuit(Aside, frozen=True, dict=True):
    """A unit's wiring, names bound. Every mapping keeps the order of the file.

    terminals: every node, inner points of devices included. splices: name -> conductor ends in it.
    cuts: quantity -> sorted values (base unit) that divide its ranges: set points and sentences.
    """

    aside: ClassVar = frozenset({"place"})

    name: str
    hertz: float
    terminals: tuple[str, ...]
    poles: dict[str, Pole]
    earth: frozenset[str]  # PE poles and the terminals of earth bars
    conductors: dict[str, Conductor]
    devices: dict[str, Device]
    elements: dict[str, Element]
    loads: dict[str, Load]
    relays: dict[str, Relay]
    inputs: dict[str, Input]
    delays: dict[str, Delay]
    quantities: dict[str, Quantity]
    splices: frozenset[str] = frozenset()
    loose: frozenset[str] = frozenset()  # nodes that are loose conductor ends, neither landed nor capped
    capped: frozenset[str] = frozenset()
    expects: tuple[BoundSentence, ...] = ()
    impossible: tuple[tuple[Bound, str], ...] = ()  # with the user's text
    cuts: dict[str, tuple[float, ...]] = field(default_factory=dict)
    notes: tuple[str, ...] = ()  # what the build assumed, in words
    about: str = ""
    refrigerant: str | None = None
    design: dict[str, float] = field(default_factory=dict)  # lowest_ambient, highest_ambient: K
    place: Place | None = None

    @property
    def external(self) -> tuple[str, ...]:
        """The relays that work something outside the file."""
        return tuple(r.name for r in self.relays.values() if r.external)

    @property
    def load_names(self) -> tuple[str, ...]:
        """Everything that has a load's word: loads, and the taps of motors, BLW.high."""
        taps = (f"{n}.{t}" for n, x in self.loads.items() for t in getattr(x, "taps", ()))
        return (*self.loads, *taps)

    @cached_property
    def coil_loads(self) -> dict[str, VoltLoad]:
        """Relay -> its coil, to be judged by its volts as a load is."""
        relays = self.relays.values()
        return {r.name: VoltLoad(r.name, r.device, r.coil, self.coils[r.coil].volts) for r in relays}

    @cached_property
    def graph(self) -> nx.MultiGraph[str]:
        """The circuit as a networkx multigraph: edge key = element or conductor id, attribute `part`."""
        import networkx as nx

        graph: nx.MultiGraph[str] = nx.MultiGraph()
        graph.add_nodes_from(self.terminals)
        for wire in self.conductors.values():
            graph.add_edge(wire.a, wire.b, key=wire.id, part=wire)
        for element in self.elements.values():
            if isinstance(element, Transformer):
                for start, end, _ in element.windings:
                    graph.add_edge(start, end, key=f"{element.id}:{start}-{end}", part=element)
            else:
                graph.add_edge(element.a, element.b, key=element.id, part=element)
        return graph

    @cached_property
    def contacts(self) -> dict[str, Contact]:
        return {i: e for i, e in self.elements.items() if isinstance(e, Contact)}

    @cached_property
    def coils(self) -> dict[str, Coil]:
        return {i: e for i, e in self.elements.items() if isinstance(e, Coil)}

    def by_motor(self, contact: Contact) -> bool:
        """Is this contact moved by a motor's speed or a start device's heat, not by a hand or a quantity?"""
        return isinstance(contact.mover, ByPosition) and self.inputs[contact.mover.input].by_motor

    def device_of(self, terminal: str) -> Device | None:
        """The device that a terminal belongs to; None for poles, splices and loose ends."""
        if terminal in self.splices or terminal in self.loose:  # a joint PS.joint, a loose end W7.a
            return None
        return self.devices.get(terminal.rpartition(".")[0])


class PlainStep(Struct, frozen=True):
    """One thing that hands do. `number` counts from 1; `of`: the step as written, where compound."""

    number: int
    kind: str  # lift, land, run, splice, cut, remove, replace, add
    words: str  # "Lift W7 off K1.T2: yellow, 18 AWG"
    wires: tuple[str, ...] = ()
    devices: tuple[str, ...] = ()
    terminals: tuple[str, ...] = ()
    of: str = ""
    place: Place | None = None


class Terms(Struct, frozen=True):
    """What a change says it does, by bound names."""

    affects: dict[str, str] = field(default_factory=dict)  # load -> less | more | either
    retires: frozenset[str] = frozenset()
    drops: frozenset[str] = frozenset()  # sentences of the unit, by text
    removes_protection: tuple[tuple[str, str, str], ...] = ()  # device, load, because
    removes_isolation: tuple[tuple[str, tuple[str, ...], str], ...] = ()  # device, terminals, because
    races: frozenset[str] = frozenset()
    impossible: tuple[str, ...] = ()  # texts that the change adds


class Replacement(Struct, frozen=True):
    """A device replaced: old tag, new tag, position names old -> new ("" where there is one)."""

    old: str
    new: str
    positions: dict[str, str] = field(default_factory=dict)


class Changed(Aside, frozen=True):
    """A unit before and after a change. stages: the wiring after each of `steps`."""

    aside: ClassVar = frozenset({"stages"})

    name: str
    before: Circuit
    after: Circuit
    steps: tuple[PlainStep, ...] = ()
    terms: Terms = field(default_factory=Terms)
    brought: frozenset[str] = frozenset()  # devices that the change brings (new tags, and redefined ones)
    removed: frozenset[str] = frozenset()
    replaced: tuple[Replacement, ...] = ()
    reason: str = ""
    stages: tuple[Wiring, ...] = ()
