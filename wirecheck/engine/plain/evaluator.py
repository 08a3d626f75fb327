"""The plain evaluator: one circuit, a state at a time (engine.md sections 1 to 4).

`look` gives the network of one position of inputs, coils and delays; `settle` lets the coils move one at a
time in any order; `words` reads loads and relays off where that ends.
"""

from __future__ import annotations

from itertools import combinations, product
from typing import TYPE_CHECKING, Literal

from wirecheck.circuit.elements import ByCoil, ByPosition, Coil, Estimate, Motor, Transformer
from wirecheck.engine import figures
from wirecheck.engine.answers import (
    CHATTERS,
    IN,
    OUT,
    SHORT,
    UNKNOWN,
    Bits,
    Outcome,
    Potential,
    Short,
    TooMany,
    Words,
)
from wirecheck.engine.plain import judge
from wirecheck.engine.plain.network import Builder, Nets, Network, Part, closed_path
from wirecheck.engine.plain.order import needs_order
from wirecheck.engine.plain.solve import Solution, figures_of, phase_estimates, solve, value

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from wirecheck.circuit.elements import Impedance, Load
    from wirecheck.circuit.graph import Circuit

State = tuple[Bits, Bits]  # coils in, delays moved
# With fewer coils than this every order is walked, ring or not.
ALL_IN_ORDER = 4
Turned = frozenset[tuple[str, bool]]  # contacts held against their movers: (id, closed?)


class View:
    """One network: the volts, currents and potentials in it. Implements `judge.Sight`."""

    def __init__(self, plain: Plain, network: Network, coils_in: frozenset[str]) -> None:
        self.plain, self.network, self.coils_in = plain, network, coils_in
        self.circuit, self.impedances = plain.circuit, plain.impedances
        self.parts = tuple(plain.part_number(p.part) for p in network.parts)
        self.short = network.short or self._solved_short()
        self.live: dict[str, float] | None = None  # kept for whoever asks which terminals are live

    def _solved_short(self) -> Short | None:
        for k, placed in enumerate(self.network.parts):
            if placed.part.cores:
                core = self.solution(k, self.plain.scenario).shorted
                if core is not None:
                    return self.plain.solved_short(core, self.network, placed.part)
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
        scenario = self.plain.scenario if scenario is None else scenario
        node = self.network.node[self.plain.nets.of[terminal]]
        known = self.network.fixed.get(node)
        if known is not None:
            return known
        where = next((k for k, p in enumerate(self.network.parts) if node in p.nodes), None)
        if where is None:
            return Potential(f"#{node}", 0j, driven=False)
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
        for k, placed in enumerate(self.network.parts):
            if node_a in placed.nodes and node_b in placed.nodes:
                solution = self.solution(k, scenario)
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

    def exchanged(self, load: str) -> bool:
        """Do a motor's main and auxiliary leads stand exchanged: does its torque point backward?"""
        motor = self.circuit.loads[load]
        if not isinstance(motor, Motor) or motor.kind != "psc" or judge.missing(motor):
            return False
        return judge.torque_ratio(motor, self, self.plain.scenario) < -figures.SLACK

    def elements_of(self, load: Load) -> tuple[str, ...]:
        if isinstance(load, Motor):
            windings = load.main if load.aux is None else (*load.main, load.aux)
            return (*windings, *self.start_devices(load)) if self.plain.starters else windings
        return (load.element,)


class Plain:
    """Evaluates one circuit in one scenario of its estimates. Keeps every answer it has worked out.

    `sensitive` collects the estimates on which some decision so far depends.
    """

    def __init__(self, circuit: Circuit, scenario: Mapping[str, int] | None = None) -> None:
        self.circuit = circuit
        self.scenario: Mapping[str, int] = dict(scenario or {})
        self.sensitive: dict[str, Estimate] = {}
        self.impedances: dict[str, Impedance] = {
            i: e for i, e in circuit.elements.items() if isinstance(e, judgeable())
        }
        self.transformers = {i: e for i, e in circuit.elements.items() if isinstance(e, Transformer)}
        self.nets = Nets(circuit)
        self.builder = Builder(circuit, self.nets, self.impedances)
        self.inputs = {n: k for k, n in enumerate(circuit.inputs)}
        coils = [i for i, z in self.impedances.items() if isinstance(z, Coil) and not z.stateless]
        self.coils = {i: k for k, i in enumerate(coils)}
        self.delays = {(d.coil, d.late): k for k, d in enumerate(circuit.delays.values())}
        self.starters = [i for i, z in self.impedances.items() if getattr(z, "starts", False)]
        self._movers = self._bind_movers()
        self._views: dict[tuple[Bits, frozenset[str], frozenset[str]], View] = {}
        self._parts: dict[Part, int] = {}
        self._part_list: list[Part] = []
        self._part_estimates: list[tuple[Estimate, ...]] = []
        self._solutions: dict[tuple[object, ...], Solution] = {}
        self._firm: dict[tuple[object, ...], str | bool] = {}
        self._settled: dict[tuple[Bits, State, Turned], tuple[Outcome, ...]] = {}
        self._words: dict[tuple[Bits, Outcome, Turned], Words] = {}
        self.fed: dict[int, frozenset[tuple[str, str]]] = {}  # kept for `feeds`, by part number
        self.earthed: dict[tuple[object, ...], bool] = {}  # kept for `no-earth-return`, by closed contacts
        self._orders: dict[tuple[Bits, Turned], frozenset[int]] = {}
        self._hanging: dict[str, tuple[frozenset[str], frozenset[str]]] = {}
        self._wants: dict[tuple[Bits, State, Turned, frozenset[str]], tuple[int, ...]] = {}

    # --- positions of contacts -------------------------------------------------------------------

    def _bind_movers(
        self,
    ) -> list[tuple[str, int, int, bool, int | None, int | None, int | None, str | None]]:
        rows = []
        for c in self.circuit.contacts.values():
            a, b = self.nets.of[c.a], self.nets.of[c.b]
            match c.mover:
                case ByPosition(name):
                    rows.append((c.id, a, b, c.rests_closed, self.inputs[name], None, None, None))
                case ByCoil(coil, late):
                    delay = self.delays.get((coil, late)) if late else None
                    rows.append((c.id, a, b, c.rests_closed, None, self.coils[coil], delay, late))
        return rows

    def closed(self, inputs: Bits, coils: Bits, delays: Bits) -> Bits:
        """Which contacts are closed, in the order of `circuit.contacts`."""
        out = []
        for _, _, _, rests, at_input, coil, delay, late in self._movers:
            if at_input is not None:
                moved = inputs[at_input]
            else:
                assert coil is not None
                moved = coils[coil]
                if late == "on":
                    moved = moved and delay is not None and delays[delay]
                elif late == "off":
                    moved = moved or (delay is not None and delays[delay])
            out.append(rests != moved)
        return tuple(out)

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
            closed = tuple(put.get(row[0], c) for row, c in zip(self._movers, closed, strict=True))
        return self.view(closed, self.coils_in(coils), dead)

    def views(self, inputs: Bits, outcome: Outcome, turned: Turned = frozenset()) -> list[View]:
        """The networks of an outcome: one, but for a chattering set."""
        dead = outcome.short.supplies if outcome.short is not None else frozenset()
        return [self.look(inputs, *state, turned, dead) for state in outcome.members]

    def view(self, closed: Bits, coils_in: frozenset[str], dead: frozenset[str] = frozenset()) -> View:
        """The network with these contacts closed."""
        key = (closed, coils_in, dead)
        if key not in self._views:
            joins = [(row[1], row[2]) for row, c in zip(self._movers, closed, strict=True) if c]
            shut = {row[0] for row, c in zip(self._movers, closed, strict=True) if c}
            network = self.builder.network(joins, coils_in, shut.__contains__, frozenset(), dead)
            self._views[key] = View(self, network, coils_in)
        return self._views[key]

    def superposed(self, but: frozenset[str] = frozenset()) -> View:
        """Every contact closed at once but those named: what is not joined here is joined in no state."""
        closed = tuple(row[0] not in but for row in self._movers)
        return self.view(closed, frozenset())

    # --- parts and what they depend on -------------------------------------------------------------

    def part_number(self, part: Part) -> int:
        if part not in self._parts:
            self._parts[part] = len(self._part_list)
            self._part_list.append(part)
            self._part_estimates.append(self._moving(part))
        return self._parts[part]

    def _moving(self, part: Part) -> tuple[Estimate, ...]:
        """The estimates that can move a voltage in this part: none where one impedance stands between poles."""
        found = {e.field: e for e in phase_estimates(part)}
        if len(part.fixed) < part.size or part.cores:
            for i, _, _, is_in in part.branches:
                found |= {
                    f.field: f for f in figures_of(self.impedances[i], is_in) if isinstance(f, Estimate)
                }
        return tuple(found.values())

    def estimates_in(self, number: int) -> tuple[Estimate, ...]:
        """The estimates that can move a voltage in a part."""
        return self._part_estimates[number]

    def solution(self, number: int, scenario: Mapping[str, int]) -> Solution:
        part = self._part_list[number]
        fields = {
            f.field
            for i, _, _, c in part.branches
            for f in figures_of(self.impedances[i], c)
            if isinstance(f, Estimate)
        }
        fields |= {e.field for e in self._part_estimates[number]}
        key = (number, tuple(sorted((f, scenario[f]) for f in fields if scenario.get(f))))
        if key not in self._solutions:
            self._solutions[key] = solve(
                part, self.impedances, self.transformers, self.circuit.hertz, scenario
            )
        return self._solutions[key]

    def firm(
        self,
        key: tuple[object, ...],
        parts: Iterable[int],
        own: Iterable[Estimate],
        decide: Callable[[Mapping[str, int]], str | bool],
    ) -> str | bool:
        """`decide` in this scenario; notes in `sensitive` the estimates that would change it."""
        if key not in self._firm:
            here = decide(self.scenario)
            found = {e.field: e for k in parts for e in self._part_estimates[k]} | {e.field: e for e in own}
            for field in changing(tuple(found), self.scenario, decide):
                self.sensitive[field] = found[field]
            self._firm[key] = here
        return self._firm[key]

    # --- coils -----------------------------------------------------------------------------------

    def wants(self, inputs: Bits, state: State, turned: Turned, dead: frozenset[str]) -> tuple[int, ...]:
        """The coils that want to move: out at pick-up volts or more, in below drop-out volts."""
        key = (inputs, state, turned, dead)
        if key not in self._wants:
            view = self.look(inputs, *state, turned, dead)
            self._wants[key] = tuple(
                k for i, k in self.coils.items() if self._wants_to_move(i, state[0][k], view)
            )
        return self._wants[key]

    def _wants_to_move(self, coil: str, is_in: bool, view: View) -> bool:
        z = self.impedances[coil]
        assert isinstance(z, Coil)
        part = view.network.part_of.get(coil)
        if part is None:
            return is_in

        def decide(scenario: Mapping[str, int]) -> bool:
            share = abs(view.across(coil, scenario)) / value(z.volts, scenario)
            pick = value(z.pick_up, scenario)
            if not is_in:
                return share >= pick - figures.SLACK
            return share < min(value(z.drop_out, scenario), figures.DROP_BELOW_PICK * pick) - figures.SLACK

        own = [f for f in (z.volts, z.pick_up, z.drop_out) if isinstance(f, Estimate)]
        return bool(self.firm(("coil", coil, is_in, view.parts[part]), [view.parts[part]], own, decide))

    def moved(self, state: State, coil: int) -> State:
        """One coil moves; its delays with it: an elapsed one returns at its drop, a held one begins there."""
        coils, delays = list(state[0]), list(state[1])
        coils[coil] = not coils[coil]
        for (i, late), k in self.delays.items():
            if self.coils[i] == coil:
                delays[k] = late == "off" and not coils[coil]
        return tuple(coils), tuple(delays)

    def cold(self) -> State:
        """All coils out, delays at rest."""
        return (False,) * len(self.coils), (False,) * len(self.delays)

    def settle(self, inputs: Bits, start: State, turned: Turned = frozenset()) -> tuple[Outcome, ...]:
        """Every end of settling from `start`, the coils moving one at a time in any order."""
        key = (inputs, start, turned)
        if key not in self._settled:
            self._settled[key] = self._settle(inputs, start, turned)
        return self._settled[key]

    def _settle(
        self, inputs: Bits, start: State, turned: Turned, known: Short | None = None
    ) -> tuple[Outcome, ...]:
        """known: a short that has put out its supplies; what hangs on others settles on."""
        ordered = self._ordered(inputs, turned, known)
        try:
            return self._in_any_order(inputs, start, turned, known, ordered)
        except OrderMatters:
            return self._in_any_order(inputs, start, turned, known, frozenset(range(len(self.coils))))

    def _ordered(self, inputs: Bits, turned: Turned, known: Short | None) -> frozenset[int]:
        """The coils to be moved one at a time. With few coils, or after a short, all: that is plain to see."""
        if len(self.coils) < ALL_IN_ORDER or known is not None:
            return frozenset(range(len(self.coils)))
        return self._needing_order(inputs, turned)

    def _needing_order(self, inputs: Bits, turned: Turned) -> frozenset[int]:
        key = (inputs, turned)
        if key not in self._orders:
            self._orders[key] = needs_order(self, inputs, turned)
        return self._orders[key]

    def order_matters(self, inputs: Bits) -> bool:
        """Can it matter under these inputs where settling begins, or in which order coils move?"""
        return bool(self._needing_order(inputs, frozenset()))

    def _in_any_order(
        self, inputs: Bits, start: State, turned: Turned, known: Short | None, ordered: frozenset[int]
    ) -> tuple[Outcome, ...]:
        dead = known.supplies if known is not None else frozenset()
        after: dict[State, list[State]] = {start: []}
        outcomes: dict[Outcome, None] = {}
        queue, ends = [start], set()
        for state in queue:
            if len(after) > figures.SETTLE_LIMIT:
                raise TooMany(len(after), tuple(self.circuit.relays))
            short = self.look(inputs, *state, turned, dead).short
            if short is not None:
                outcomes |= dict.fromkeys(self._shorted_end(inputs, state, turned, short, known))
                ends.add(state)
                continue
            wants = [k for k in self.wants(inputs, state, turned, dead) if k in ordered]
            if not wants:
                outcomes[ended("rest", (self._all_at_once(inputs, state, turned, dead),), known)] = None
                ends.add(state)
            for coil in wants:
                to = self.moved(state, coil)
                after[state].append(to)
                if to not in after:
                    after[to] = []
                    queue.append(to)
        stuck = never_left(after, ends)
        if stuck and len(ordered) < len(self.coils):
            raise OrderMatters
        for members in stuck:
            outcomes[ended("chatter", members, known)] = None
        return tuple(outcomes)

    def _all_at_once(self, inputs: Bits, state: State, turned: Turned, dead: frozenset[str]) -> State:
        """Move what still wants to until nothing does: the coils whose order does not matter."""
        for _ in range(len(self.coils) + 1):
            wants = self.wants(inputs, state, turned, dead)
            if not wants:
                return state
            for coil in wants:
                state = self.moved(state, coil)
        raise OrderMatters

    def _shorted_end(
        self, inputs: Bits, state: State, turned: Turned, short: Short, known: Short | None
    ) -> tuple[Outcome, ...]:
        """Where a short leads: its supplies are out, their relays too; what hangs on others settles on."""
        both = short.supplies | (known.supplies if known is not None else frozenset())
        whole = Short((known or short).path, both)
        released = self.released(state, short)
        if known is not None and both == known.supplies:
            return (ended("rest", (released,), whole),)
        return self._settle(inputs, released, turned, whole)

    # --- shorts ------------------------------------------------------------------------------------

    def released(self, state: State, short: Short) -> State:
        """After a short: the relays of every supply that takes part are out, their delays at rest."""
        coils, delays = list(state[0]), list(state[1])
        out = {c for supply in short.supplies for c in self.hanging(supply)[1]}
        for coil in out:
            coils[self.coils[coil]] = False
        for (coil, _), k in self.delays.items():
            delays[k] = delays[k] and coil not in out
        return tuple(coils), tuple(delays)

    def solved_short(self, core: str, network: Network, part: Part) -> Short:
        """The short of an ideal winding that is forced: the way from its one end to its other."""
        windings = self.transformers[core].windings
        behind = self.builder.supplies_behind(self.transformers[core], network.node)
        a, b, _ = windings[-1]
        goals = [
            t
            for t in self.nets.of
            if t != a and self.builder._is_end(t) and t.partition(".")[0] != core.partition(".")[0]
        ]
        same = [b] if network.node[self.nets.of[a]] == network.node[self.nets.of[b]] else goals
        shut = self._shut_in(network)
        path = closed_path(self.circuit, shut.__contains__, a, same)
        return Short(path or (a, b), behind)

    def _shut_in(self, network: Network) -> set[str]:
        """Contacts whose ends are one node here."""
        return {row[0] for row in self._movers if network.node[row[1]] == network.node[row[2]]}

    def hanging(self, supply: str) -> tuple[frozenset[str], frozenset[str]]:
        """Loads and coils on a supply or its secondaries with every contact closed, but not through earth."""
        if supply not in self._hanging:
            nets = self._reached_from(supply)
            elements = {i for i, (a, b) in self.builder.ends.items() if a in nets or b in nets}
            loads = frozenset(
                n for n, load in self.circuit.loads.items() if elements & set(load_elements(load))
            )
            self._hanging[supply] = (loads, frozenset(elements & set(self.coils)))
        return self._hanging[supply]

    def _reached_from(self, supply: str) -> set[int]:
        earth = {self.nets.of[t] for t in self.circuit.earth}
        foreign = {n for n, p in self.builder.poles if p.supply != supply}
        near: dict[int, set[int]] = {}
        edges = list(self.builder.ends.values()) + [(row[1], row[2]) for row in self._movers]
        for core in self.transformers.values():
            ends = [self.nets.of[t] for a, b, _ in core.windings for t in (a, b)]
            edges += combinations(ends, 2)
        for a, b in edges:
            near.setdefault(a, set()).add(b)
            near.setdefault(b, set()).add(a)
        queue = [n for n, p in self.builder.poles if p.supply == supply and n not in earth]
        seen = set(queue)
        for at in queue:
            new = near.get(at, set()) - seen - earth - foreign
            seen |= new
            queue.extend(new)
        return seen

    # --- words -------------------------------------------------------------------------------------

    def words(self, inputs: Bits, outcome: Outcome, turned: Turned = frozenset()) -> Words:
        """The words of every load and relay where settling ended."""
        key = (inputs, outcome, turned)
        if key not in self._words:
            views = self.views(inputs, outcome, turned)
            each = [self._words_of(s, v) for s, v in zip(outcome.members, views, strict=True)]
            words = each[0] if len(each) == 1 else chattering(each)
            if outcome.short is not None:
                words = self._shorted(words, outcome)
            self._words[key] = words
        return self._words[key]

    def load_word(self, load: Load, view: View) -> str:
        """The word of one load in one network."""
        elements = view.elements_of(load)
        numbers = tuple(view.parts[view.network.part_of[e]] for e in elements if e in view.network.part_of)
        own = [f for f in judge.figures_read(load) if isinstance(f, Estimate)]
        key = ("load", load.name, elements, numbers, self._sight_key(load, view))
        return str(self.firm(key, numbers, own, lambda s: judge.judge(load, view, s)))

    def _sight_key(self, load: Load, view: View) -> object:
        """What a three-phase motor sees beside its parts: the known potentials of its terminals."""
        if isinstance(load, Motor) and load.kind == "3ph":
            return tuple(view.network.fixed.get(view.network.node[self.nets.of[t]]) for t in load.terminals)
        return None

    def _words_of(self, state: State, view: View) -> Words:
        loads: dict[str, str] = {}
        why: dict[str, tuple[str, ...]] = {}
        for name, load in self.circuit.loads.items():
            loads[name] = self.load_word(load, view)
            if loads[name] == UNKNOWN:
                why[name] = judge.missing(load)
        relays = {r.name: IN if state[0][self.coils[r.coil]] else OUT for r in self.circuit.relays.values()}
        delays = {d.name: state[1][k] for k, d in enumerate(self.circuit.delays.values())}
        return Words(loads | self._taps(view, loads), relays, delays, why)

    def _taps(self, view: View, loads: dict[str, str]) -> dict[str, str]:
        """BLW.high on|off, for motors with taps."""
        out: dict[str, str] = {}
        for name, motor in self.circuit.loads.items():
            if isinstance(motor, Motor) and motor.taps:
                fed = judge.fed_taps(motor, view, self.scenario) if loads[name] != "off" else ()
                for tap, winding in zip(motor.taps, motor.main, strict=True):
                    out[f"{name}.{tap}"] = "on" if winding in fed else "off"
        return out

    def _shorted(self, words: Words, outcome: Outcome) -> Words:
        assert outcome.short is not None
        loads, relays = dict(words.loads), dict(words.relays)
        for supply in outcome.short.supplies:
            hung, coils = self.hanging(supply)
            loads |= {n: SHORT for n in loads if n in hung or n.rpartition(".")[0] in hung}
            relays |= {r.name: OUT for r in self.circuit.relays.values() if r.coil in coils}
        why = {n: f for n, f in words.why.items() if loads[n] == UNKNOWN}
        return Words(loads, relays, words.delays, why)


class OrderMatters(Exception):
    """Moving coils all at once found no rest: every order is to be walked."""


def ended(kind: Literal["rest", "chatter"], members: tuple[State, ...], short: Short | None) -> Outcome:
    """An outcome: after a short it is one whatever becomes of the rest."""
    return Outcome(kind if short is None else "short", members, members, short)


def judgeable() -> tuple[type, ...]:
    from wirecheck.circuit.elements import Capacitor, Resistor, Winding

    return (Coil, Resistor, Capacitor, Winding)


def load_elements(load: Load) -> tuple[str, ...]:
    if isinstance(load, Motor):
        return load.main if load.aux is None else (*load.main, load.aux)
    return (load.element,)


def changing(
    fields: tuple[str, ...], base: Mapping[str, int], decide: Callable[[Mapping[str, int]], str | bool]
) -> set[str]:
    """The estimates on which a decision depends: every combination of ends up to four of them, beyond
    that each in turn against all others at the opposite end."""
    answers = {
        ends: decide({**base, **dict(zip(fields, ends, strict=True))}) for ends in ends_of(len(fields))
    }
    if len(set(answers.values())) <= 1:
        return set()
    single = {
        fields[k]
        for one, a in answers.items()
        for other, b in answers.items()
        if a != b
        for k in [next(i for i in range(len(fields)) if one[i] != other[i])]
        if sum(x != y for x, y in zip(one, other, strict=True)) == 1
    }
    return single or set(fields)


def ends_of(count: int) -> list[tuple[int, ...]]:
    """The combinations in which estimates are looked at, the nominal one first."""
    nominal = (0,) * count
    if count <= 4:
        return [nominal, *product((-1, 1), repeat=count)] if count else [nominal]
    rows = [nominal, (-1,) * count, (1,) * count]
    for k in range(count):
        for end in (-1, 1):
            rows.append(tuple(end if i == k else -end for i in range(count)))
    return rows


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
    found = []
    for component in nx.strongly_connected_components(graph):
        if all(t in component for s in component for t in graph[s]):
            found.append(tuple(sorted(component)))
    return sorted(found)


def chattering(each: list[Words]) -> Words:
    """The words of a set of states that is never left: `chatters` where they differ."""
    first = each[0]
    loads = {n: w if all(x.loads[n] == w for x in each) else CHATTERS for n, w in first.loads.items()}
    relays = {n: w if all(x.relays[n] == w for x in each) else CHATTERS for n, w in first.relays.items()}
    why = {n: w for x in each for n, w in x.why.items() if loads.get(n) == UNKNOWN}
    return Words(loads, relays, first.delays, why)
