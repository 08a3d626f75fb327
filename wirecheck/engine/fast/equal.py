"""Do two units do the same, whatever the number of inputs? One step of each, compared as formulas.

If, with every input, relay and delay standing alike, each coil wants the same, nothing is shorted and
each load has the same word, then two units that begin alike stay alike: equal for every history, by
induction. Equal numbers in the table of both prove it at once; else a SAT solver is asked (speed.md 7).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from wirecheck.circuit.bound import And, InputIs, Not, Or
from wirecheck.engine.fast.space import Space
from wirecheck.engine.fast.table import AND, FALSE, NOT, OR, TRUE, VAR, CoilBit, DelayBit, InputBit, Table
from wirecheck.engine.fast.unit import Unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.bound import Bound
    from wirecheck.engine.solver import Solver
    from wirecheck.engine.world import Setting, World

SOLVER = "cadical153"


class NoSolver(Exception):
    """Structure does not decide it, and the optional SAT solver is not installed."""


@dataclass
class Compared:
    """What one step of both units shows: loads that are the same; those that are not -> a setting.

    apart: what else keeps the proof from being made, in words.
    """

    same: list[str] = field(default_factory=list)
    differs: dict[str, Setting] = field(default_factory=dict)
    apart: list[str] = field(default_factory=list)

    @property
    def whole(self) -> bool:
        """Are the units equal in every state and history?"""
        return not self.differs and not self.apart


class Equality:
    """Two units as formulas over the same inputs, common relays and delays. Raises NotHere, TooLarge."""

    def __init__(self, after: Solver, before: Solver, world: World) -> None:
        self.world, self.space, self.table = world, Space(world, enumerated=False), Table()
        self.after = Unit("after", self.table, self.space, after)
        self.before = Unit("before", self.table, self.space, before)
        self._as_after: dict[int, int] = {FALSE: FALSE, TRUE: TRUE}
        self.formulas = Formulas(self.table)
        self.formulas.always(self._possible())

    def compared(self) -> Compared:
        """Everything that one step consists of. Raises NoSolver."""
        found = Compared()
        found.apart += self._unlike_parts()
        if not found.apart:
            self._relays(found)
            self._loads(found)
        return found

    # --- parts ---------------------------------------------------------------------------------------

    def _unlike_parts(self) -> list[str]:
        """Loads, relays and delays that only one of the units has, or that are not the same in both."""
        one, other = self.before.plain.circuit, self.after.plain.circuit
        found = []
        for kind in ("loads", "relays", "delays"):
            ours, theirs = getattr(one, kind), getattr(other, kind)
            found += [
                f"{n} is not in both units" for n in {**ours, **theirs} if n not in ours or n not in theirs
            ]
        elements = [
            (i, z, self.after.plain.impedances.get(i)) for i, z in self.before.plain.impedances.items()
        ]
        found += [f"{i} is not the same part in both units" for i, z, y in elements if y != z]
        return list(dict.fromkeys(found))

    def _relays(self, found: Compared) -> None:
        for coil, wants in self.after.coils.items():
            old = self.before.coils[coil]
            alike = self._alike(old.pull, wants.pull) and self._alike(old.keep, wants.keep)
            if not alike or not self._never(old.ask, wants.ask):
                found.apart.append(f"whether {coil} pulls in")
        for relay in self.after.plain.circuit.relays:
            old_words, new_words = (unit.coil_word(relay).words for unit in (self.before, self.after))
            if self._apart(old_words, new_words) is not None:
                found.apart.append(f"the volts across the coil of {relay}")
        shorts = self.before.known.short, self.after.known.short
        if not self._never(*shorts[0].values(), *shorts[1].values()):
            found.apart.append("what becomes of a short")
        rare = [u.known.doubtful for u in (self.before, self.after)]
        rare += [n for u in (self.before, self.after) for n in u.forced.values()]
        if not self._never(*rare):
            found.apart.append("what is shorted by a forced winding")

    def _loads(self, found: Compared) -> None:
        for name, new in self.after.loads.items():
            old = self.before.loads[name]
            if not self._never(old.ask, new.ask):
                found.apart.append(f"the word of {name}, which numbers decide")
                continue
            setting = self._apart(old.words, new.words)
            if setting is None:
                found.same.append(name)
            else:
                found.differs[name] = setting

    def sneaks(self) -> bool:
        """May some load or coil stand in series with another, after?"""
        ends = {self.after.nets.net(t) for z in self.after.plain.impedances.values() for t in (z.a, z.b)}
        return not self._never(*(self.after.floating.asks.get(n, FALSE) for n in ends))

    def restless(self) -> bool:
        """May a relay of the unit before find no rest?

        Not where, of the relays in one ring, none does less for another's being in: let first all pull in
        that want to, then all drop that want to, and nothing is left that wants to move.
        """
        signs = {c: self._signs(w.pull) | self._signs(w.keep) for c, w in self.before.coils.items()}
        reads = {c: {coil for coil, _ in found} for c, found in signs.items()}
        for coil, found in signs.items():
            against = {other for other, positive in found if not positive}
            if any(coil in _all_read(other, reads) for other in against):
                return True
        wants = self.before.coils.values()
        between = (self.table.both(w.pull, self.table.negate(w.keep)) for w in wants)
        return not self._never(*between, *(w.ask for w in wants))

    def _signs(self, node: int) -> set[tuple[str, bool]]:
        """The coils that a node reads, and whether it is for or against their being in."""
        table, found, seen = self.table, set(), {(node, True)}
        queue = list(seen)
        for n, positive in queue:
            if table.op[n] == VAR:
                name = table.names[table.a[n]]
                if isinstance(name, CoilBit):
                    found.add((name.coil, positive))
                continue
            below = (table.a[n],) if table.op[n] == NOT else (table.a[n], table.b[n]) if n > TRUE else ()
            for m in below:
                step = (m, positive != (table.op[n] == NOT))
                if step not in seen:
                    seen.add(step)
                    queue.append(step)
        return found

    def as_live(self) -> bool:
        """Is every terminal of both units at the same known potentials before and after?"""
        both = [t for t in self.after.plain.circuit.terminals if t in self.before.nets.of]
        for t in both:
            old, new = (u.known.at[u.nets.net(t)] for u in (self.before, self.after))
            if not all(self._alike(old.get(p, FALSE), new.get(p, FALSE)) for p in {*old, *new}):
                return False
        return not self.sneaks()

    # --- formulas ------------------------------------------------------------------------------------

    def _alike(self, old: int, new: int) -> bool:
        return self.formulas.apart(self.as_after(old), new) is None

    def _never(self, *nodes: int) -> bool:
        return all(self.formulas.apart(FALSE, self.as_after(n)) is None for n in nodes)

    def _apart(self, old: dict[str, int], new: dict[str, int]) -> Setting | None:
        """A setting in which some word holds on one side alone."""
        for word in {**old, **new}:
            model = self.formulas.apart(self.as_after(old.get(word, FALSE)), new.get(word, FALSE))
            if model is not None:
                return self._setting(model)
        return None

    def as_after(self, node: int) -> int:
        """A node of either unit with the relays and delays of the unit after for those of the same name."""
        known, table = self._as_after, self.table
        for n in table.cone(node):
            if n in known:
                continue
            match table.op[n]:
                case op if op == NOT:
                    known[n] = table.negate(known[table.a[n]])
                case op if op == AND:
                    known[n] = table.both(known[table.a[n]], known[table.b[n]])
                case op if op == OR:
                    known[n] = table.either(known[table.a[n]], known[table.b[n]])
                case _:
                    known[n] = self._variable(n)
        return known[node]

    def _variable(self, node: int) -> int:
        match self.table.names[self.table.a[node]]:
            case CoilBit(_, coil):
                return self.table.variable(CoilBit("after", coil))
            case DelayBit(_, delay):
                return self.table.variable(DelayBit("after", delay))
        return node

    # --- settings ------------------------------------------------------------------------------------

    def _possible(self) -> int:
        """Where the switches of each quantity stand as some value lets them, and nothing is impossible.

        What is impossible for a quantity's value is left out: more is looked at, never less.
        """
        table = self.table
        found = TRUE
        for b in self.space.blocks:
            if len({positions for _, positions in b.choices}) < 1 << len(b.variables):
                rows = {positions for _, positions in b.choices}
                found = table.both(found, table.any(self._stand(b.variables, row) for row in rows))
        for circuit, condition in self.world.impossible:
            barred = self._holds(condition, circuit is self.world.after)
            found = found if barred is None else table.both(found, table.negate(barred))
        return found

    def _stand(self, variables: tuple[int, ...], row: tuple[bool, ...]) -> int:
        nodes = (self.table.variable(InputBit(k)) for k in variables)
        return self.table.all(
            n if moved else self.table.negate(n) for n, moved in zip(nodes, row, strict=True)
        )

    def _holds(self, condition: Bound, of_after: bool) -> int | None:
        """A condition on inputs as a node; None where it names a quantity."""
        match condition:
            case InputIs(name, moved):
                node = (self.after if of_after else self.before).movers.position(name)
                return node if moved else self.table.negate(node)
            case Not(part):
                inner = self._holds(part, of_after)
                return None if inner is None else self.table.negate(inner)
            case And(parts) | Or(parts):
                nodes = [self._holds(p, of_after) for p in parts]
                known = [n for n in nodes if n is not None]
                if len(known) < len(nodes):
                    return None
                return self.table.all(known) if isinstance(condition, And) else self.table.any(known)
        return None

    def _setting(self, model: dict[int, bool]) -> Setting:
        """The setting of a model: each block at the first choice that agrees with it."""
        stand = {
            name.variable: model.get(node, False)
            for name, node in self.table.variables()
            if isinstance(name, InputBit) and node in model
        }
        index = 0
        for b in self.space.blocks:
            for c, (_, positions) in enumerate(b.choices):
                if all(stand.get(k, p) == p for k, p in zip(b.variables, positions, strict=True)):
                    index |= c << b.at
                    break
        return self.space.setting(index)


def _all_read(coil: str, reads: dict[str, set[str]]) -> set[str]:
    """The coils that one depends on, itself among them."""
    seen, queue = {coil}, [coil]
    for c in queue:
        new = reads.get(c, set()) - seen
        seen |= new
        queue.extend(new)
    return seen


class Formulas:
    """Nodes of a table as clauses (Tseitin, from memory); variable n of the solver is node n."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self._in: set[int] = set()
        self._masks: list[int] = []

    def always(self, node: int) -> None:
        """Assert a node."""
        self._masks.append(node)

    @cached_property
    def solver(self) -> Any:
        if find_spec("pysat") is None:
            raise NoSolver
        from pysat.solvers import Solver as Sat

        solver = Sat(name=SOLVER)
        solver.add_clause([TRUE])
        for node in self._masks:
            self._state(solver, node)
            solver.add_clause([node] if node != FALSE else [-TRUE])
        return solver

    def apart(self, one: int, other: int) -> dict[int, bool] | None:
        """Values of variables with which the two nodes differ; None where there are none. Raises NoSolver."""
        if one == other:
            return None
        for first, second in ((one, other), (other, one)):
            if first == FALSE or second == TRUE:
                continue
            for node in (first, second):
                self._state(self.solver, node)
            assumed = [first] if second == FALSE else [first, -second]
            if self.solver.solve(assumptions=assumed):
                return {abs(v): v > 0 for v in self.solver.get_model()}
        return None

    def _state(self, solver: Any, node: int) -> None:
        for clause in self._clauses(node):
            solver.add_clause(clause)

    def _clauses(self, node: int) -> Iterator[list[int]]:
        table = self.table
        for n in table.cone(node):
            if n in self._in:
                continue
            self._in.add(n)
            op, a, b = table.op[n], table.a[n], table.b[n]
            if op == NOT:
                yield from ([-n, -a], [n, a])
            elif op == AND:
                yield from ([-n, a], [-n, b], [n, -a, -b])
            elif op == OR:
                yield from ([n, -a], [n, -b], [-n, a, b])
