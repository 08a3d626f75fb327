"""One circuit in one scenario, nothing moving: the network of each position, and what is seen in it.

Both evaluators stand on it (engine.md sections 1 to 3): `look` gives the network of one position of inputs,
coils and delays as a `View`.
"""

from __future__ import annotations

from copy import copy
from functools import cached_property
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Motor
from wirecheck.engine import figures, judge
from wirecheck.engine.answers import Potential
from wirecheck.engine.builder import Builder
from wirecheck.engine.contacts import Contacts
from wirecheck.engine.hanging import Hanging
from wirecheck.engine.nets import Nets
from wirecheck.engine.solved import Solved

if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import Self

    from wirecheck.circuit.elements import Late, Load
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Bits, Outcome, Short, State, Turned
    from wirecheck.engine.network import Network
    from wirecheck.engine.solve import Solution


MOST_VIEWS = 256  # networks that `spare` leaves


class View:
    """One network: the volts, currents and potentials in it. Implements `judge.Sight`.

    shut: the contacts that are closed; two ends on one node may be joined by something else.
    """

    def __init__(self, plain: Solver, network: Network, shut: frozenset[str] = frozenset()) -> None:
        self.plain, self.network, self.shut = plain, network, shut
        self.circuit, self.impedances = plain.circuit, plain.impedances
        self.parts = tuple(plain.part_number(p.part) for p in network.parts)
        self.short = network.short or self._solved_short()
        self.live: dict[str, float] | None = None  # kept for whoever asks which terminals are live
        self.fed: frozenset[tuple[str, str]] | None = None  # kept for `feeds`
        self._potentials: dict[int, Potential] = {}  # in the scenario of `plain`

    @cached_property
    def _lies_in(self) -> dict[int, tuple[int, ...]]:
        """Node -> the parts that it lies in: several where its potential is known, else one."""
        found: dict[int, list[int]] = {}
        for k, placed in enumerate(self.network.parts):
            for node in placed.nodes:
                found.setdefault(node, []).append(k)
        return {node: tuple(parts) for node, parts in found.items()}

    def _solved_short(self) -> Short | None:
        for k, placed in enumerate(self.network.parts):
            if placed.part.cores:
                core = self.solution(k, self.plain.scenario).shorted
                if core is not None:
                    secondaries = self.plain.builder.secondaries
                    return secondaries.forced(self.plain.transformers[core], self.network.node)
        return None

    def solution(self, part: int, scenario: Mapping[str, int]) -> Solution:
        return self.plain.solution(self.parts[part], scenario)

    def across(self, element: str, scenario: Mapping[str, int]) -> complex:
        part = self.network.part_of.get(element)
        return 0j if part is None else self.solution(part, scenario).across[element]

    def amps(self, element: str, scenario: Mapping[str, int]) -> complex:
        part = self.network.part_of.get(element)
        return 0j if part is None else self.solution(part, scenario).amps[element]

    def potential(self, terminal: str, scenario: Mapping[str, int] | None = None) -> Potential:
        """What is known of a terminal's potential: to earth, or only against its own floating part."""
        node = self.network.node[self.plain.nets.of[terminal]]
        known = self.network.fixed.get(node)
        if known is not None:
            return known
        if scenario is not None and scenario is not self.plain.scenario:
            return self._floating(node, scenario)
        if node not in self._potentials:
            self._potentials[node] = self._floating(node, self.plain.scenario)
        return self._potentials[node]

    def part_at(self, terminal: str) -> int | None:
        """The part that a terminal floats in; None where its potential is known or nothing hangs on it."""
        node = self.network.node[self.plain.nets.of[terminal]]
        if node in self.network.fixed or node not in self._lies_in:
            return None
        return self._lies_in[node][0]

    def _floating(self, node: int, scenario: Mapping[str, int]) -> Potential:
        """The potential of a node that no pole holds."""
        if node not in self._lies_in:
            return Potential(f"#{node}", 0j, driven=False)
        (where,) = self._lies_in[node]
        placed, solution = self.network.parts[where], self.solution(where, scenario)
        local = placed.nodes.index(node)
        ref = solution.refs[local]
        if ref.startswith("?"):
            group = [v for v, r in zip(solution.volts, solution.refs, strict=True) if r == ref]
            driven = max(abs(v - group[0]) for v in group) > figures.SLACK
            return Potential(f"#{placed.name}{ref}", solution.volts[local], driven=driven)
        sources = {p.source for _, p in placed.part.fixed if p.source}
        source = min(sources) if len(sources) == 1 else "/".join(sorted(sources))
        return Potential(ref, solution.volts[local], source)

    def between(self, a: str, b: str, scenario: Mapping[str, int]) -> complex:
        """Volts from b to a; 0 between parts that nothing ties together.

        Two terminals of one part are read in it: there the supplies stand to each other as the scenario says.
        """
        node_a, node_b = (self.network.node[self.plain.nets.of[t]] for t in (a, b))
        both = self._lies_in.get(node_b, ())
        k = next((k for k in self._lies_in.get(node_a, ()) if k in both), None)
        if k is not None:
            placed, solution = self.network.parts[k], self.solution(k, scenario)
            i, j = placed.nodes.index(node_a), placed.nodes.index(node_b)
            return solution.volts[i] - solution.volts[j] if solution.refs[i] == solution.refs[j] else 0j
        one, other = self.potential(a, scenario), self.potential(b, scenario)
        return one.volts - other.volts if one.ref == other.ref else 0j

    def starting(self, motor: Motor, scenario: Mapping[str, int]) -> bool:
        """Is a start capacitor or a cold PTC in circuit: carries current, one end on a winding's end?"""
        return any(abs(self.amps(i, scenario)) > figures.SLACK for i in self.start_devices(motor))

    def start_devices(self, motor: Motor) -> list[str]:
        """Start capacitors and PTC resistors with an end on the outer end of this motor's auxiliary.

        Its other winding ends may stand on a pole, where a neighbour's start capacitor stands too.
        """
        if motor.aux is None:
            return []
        mains = {n for w in motor.main for n in self.network.ends.get(w, ())}
        outer = set(self.network.ends.get(motor.aux, ())) - mains
        return [i for i in self.plain.starters if outer & set(self.network.ends.get(i, ()))]

    def heats(self, load: str) -> bool:
        """Does a three-phase motor run on voltages unbalanced enough to heat it?"""
        motor = self.circuit.loads[load]
        if not isinstance(motor, Motor) or motor.kind != "3ph":
            return False
        return judge.heats(motor, self, self.plain.scenario)

    def exchanged(self, load: str) -> bool:
        """Do a motor's main and auxiliary leads stand exchanged: does its torque point backward?"""
        motor = self.circuit.loads[load]
        if not isinstance(motor, Motor) or motor.kind != "psc" or judge.missing(motor):
            return False
        return judge.torque_ratio(motor, self, self.plain.scenario) < -figures.SLACK

    def elements_of(self, load: Load) -> tuple[str, ...]:
        """The impedances that a load's word rests on: its own, and a motor's start devices."""
        own = judge.load_elements(load)
        if isinstance(load, Motor) and self.plain.starters:
            return (*own, *self.start_devices(load))
        return own


class Solver(Solved):
    """The networks of one circuit in one scenario. Keeps every one that it has built.

    coils, inputs, delays: the place of each in a state; the coils are those that move contacts.
    """

    def __init__(self, circuit: Circuit, scenario: Mapping[str, int] | None = None) -> None:
        super().__init__(circuit, scenario)
        self.nets = Nets(circuit)
        self.builder = Builder(circuit, self.nets, self.impedances)
        self.inputs = {n: k for k, n in enumerate(circuit.inputs)}
        coils = [i for i, z in circuit.coils.items() if not z.stateless]
        self.coils = {i: k for k, i in enumerate(coils)}
        delays = enumerate(circuit.delays.values())
        self.delays: dict[tuple[str, Late], int] = {(d.coil, d.late): k for k, d in delays}
        self.starters = [i for i, z in self.impedances.items() if getattr(z, "starts", False)]
        self._contacts = Contacts(circuit, self.nets, self.inputs, self.coils, self.delays)
        self._hanging = Hanging(circuit, self.nets, self.builder.ends, self.coils)
        self._networks: dict[tuple[Bits, frozenset[str], frozenset[str]], tuple[Network, frozenset[str]]] = {}
        self._views: dict[tuple[Bits, frozenset[str], frozenset[str]], View] = {}
        self.fed: dict[tuple[int, str], frozenset[str]] = {}  # kept for `feeds`, by part number and load
        self.rings: dict[tuple[Bits, Turned], frozenset[int]] = {}  # kept for `needs_order`
        self.earthed: dict[tuple[object, ...], bool] = {}  # kept for `no-earth-return`, by closed contacts

    def under(self, scenario: Mapping[str, int]) -> Self:
        """The same circuit with its estimates standing so: what does not hang on them is shared."""
        found = copy(self)
        found.scenario = dict(scenario)
        found.sensitive, found.resting, found._firm = {}, {}, {}
        found._views, found.fed = {}, {}
        return found

    # --- networks ----------------------------------------------------------------------------------

    def closed(self, inputs: Bits, coils: Bits, delays: Bits) -> Bits:
        """Which contacts are closed, in the order of `circuit.contacts`."""
        return self._contacts.closed(inputs, coils, delays)

    def coils_in(self, coils: Bits) -> frozenset[str]:
        return frozenset(i for i, k in self.coils.items() if coils[k])

    def look(
        self,
        inputs: Bits,
        coils: Bits,
        delays: Bits,
        turned: Turned = frozenset(),
        dead: frozenset[str] = frozenset(),
    ) -> View:
        """The network of one position of everything.

        turned: (contact id, closed?), against its mover. dead: supplies that a short has put out.
        """
        closed = self.closed(inputs, coils, delays)
        if turned:
            put = dict(turned)
            rows = zip(self._contacts.rows, closed, strict=True)
            closed = tuple(put.get(row.contact, c) for row, c in rows)
        return self.view(closed, self.coils_in(coils), dead)

    def views(self, inputs: Bits, outcome: Outcome, turned: Turned = frozenset()) -> list[View]:
        """The networks of an outcome: one, but for a chattering set."""
        dead = outcome.short.supplies if outcome.short is not None else frozenset()
        return [self.look(inputs, *state, turned, dead) for state in outcome.members]

    def view(self, closed: Bits, coils_in: frozenset[str], dead: frozenset[str] = frozenset()) -> View:
        """The network with these contacts closed."""
        key = (closed, coils_in, dead)
        if key not in self._views:
            if key not in self._networks:
                self._networks[key] = self._network(closed, coils_in, dead)
            self._views[key] = View(self, *self._networks[key])
        return self._views[key]

    def _network(
        self, closed: Bits, coils_in: frozenset[str], dead: frozenset[str]
    ) -> tuple[Network, frozenset[str]]:
        shut = [row for row, c in zip(self._contacts.rows, closed, strict=True) if c]
        joins = [(row.a, row.b) for row in shut]
        names = frozenset(row.contact for row in shut)
        return self.builder.network(joins, coils_in, names.__contains__, dead), names

    def spare(self) -> None:
        """Let go of the networks where there are many: they are built again when asked for."""
        if len(self._networks) > MOST_VIEWS:
            self._networks.clear()
        if len(self._views) > MOST_VIEWS:
            self._views.clear()

    def superposed(self, but: frozenset[str] = frozenset()) -> View:
        """Every contact closed at once but those named: what is not joined here is joined in no state."""
        closed = tuple(row.contact not in but for row in self._contacts.rows)
        return self.view(closed, frozenset())

    # --- what is seen in one -------------------------------------------------------------------------

    def wants_to_move(self, coil: str, is_in: bool, view: View) -> bool:
        """Does a coil that is in, or out, want to move in this network? In no part it stays."""
        part = view.network.part_of.get(coil)
        if part is None:
            return is_in
        z = self.circuit.coils[coil]

        def decide(scenario: Mapping[str, int]) -> bool:
            return judge.coil_moves(z, is_in, abs(view.across(coil, scenario)), scenario)

        number = view.parts[part]
        return bool(self.firm(("coil", coil, is_in, number), [number], judge.own_estimates(z), decide))

    def load_word(self, load: Load, view: View) -> str:
        """The word of one load in one network."""
        key, numbers = self._word_key(load, view)
        return str(self.firm(key, numbers, judge.own_estimates(load), lambda s: judge.judge(load, view, s)))

    def is_live(self, terminal: str, view: View) -> bool:
        """Is a terminal's potential to earth fixed, and above 10 V? Notes what would change that."""
        part = view.part_at(terminal)
        if part is None:
            return live(view.potential(terminal))
        number, node = view.parts[part], view.network.node[self.nets.of[terminal]]
        key = ("live", number, view.network.parts[part].nodes.index(node))
        return bool(self.firm(key, [number], (), lambda s: live(view.potential(terminal, s))))

    def why_unknown(self, load: Load, view: View) -> tuple[str, ...]:
        """The fields that would decide the word `unknown` of a load."""
        return judge.missing(load) or self.resting[self._word_key(load, view)[0]]

    def _word_key(self, load: Load, view: View) -> tuple[tuple[object, ...], tuple[int, ...]]:
        """What the word of a load rests on, and the numbers of the parts that it lies in."""
        elements = view.elements_of(load)
        numbers = tuple(view.parts[view.network.part_of[e]] for e in elements if e in view.network.part_of)
        return ("load", load.name, elements, numbers, self._sight_key(load, view)), numbers

    def _sight_key(self, load: Load, view: View) -> object:
        """What a three-phase motor sees beside its parts: the known potentials of its terminals."""
        if isinstance(load, Motor) and load.kind == "3ph":
            return tuple(view.network.fixed.get(view.network.node[self.nets.of[t]]) for t in load.terminals)
        return None

    # --- states --------------------------------------------------------------------------------------

    def cold(self) -> State:
        """All coils out, delays at rest."""
        return (False,) * len(self.coils), (False,) * len(self.delays)

    def moved(self, state: State, coil: int) -> State:
        """One coil moves; its delays with it: an elapsed one returns at its drop, a held one begins there."""
        coils, delays = list(state[0]), list(state[1])
        coils[coil] = not coils[coil]
        for (i, late), k in self.delays.items():
            if self.coils[i] == coil:
                delays[k] = late == "off" and not coils[coil]
        return tuple(coils), tuple(delays)

    def hanging(self, supply: str) -> tuple[frozenset[str], frozenset[str]]:
        """Loads and coils on a supply or its secondaries with every contact closed, but not through earth."""
        return self._hanging.on(supply)

    def released(self, state: State, short: Short) -> State:
        """After a short: the relays of every supply that takes part are out, their delays at rest."""
        coils, delays = list(state[0]), list(state[1])
        out = {c for supply in short.supplies for c in self.hanging(supply)[1]}
        for coil in out:
            coils[self.coils[coil]] = False
        for (coil, _), k in self.delays.items():
            delays[k] = delays[k] and coil not in out
        return tuple(coils), tuple(delays)


def live(p: Potential) -> bool:
    """Is a potential to earth fixed, and above 10 V?"""
    return p.ref == "" and p.driven and abs(p.volts) > figures.LIVE_VOLTS
