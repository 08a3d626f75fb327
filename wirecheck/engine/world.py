"""What is free to be otherwise: the inputs and quantities of a unit, or of a unit before and after a change.

A `Setting` is one position of every variable and one range of every quantity. Both units are set by the same
setting, so they are driven side by side by the same moves (engine.md section 4).
"""

from __future__ import annotations

from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

from wirecheck.circuit.bound import And, Bound, DelayIs, InputIs, LoadIs, Not, Or, QuantityIs, RelayIs, atoms
from wirecheck.engine import figures
from wirecheck.engine.answers import Bits, TooMany
from wirecheck.engine.sensing import Sensing
from wirecheck.engine.variables import Pairing

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from wirecheck.circuit.elements import Input
    from wirecheck.circuit.graph import Circuit, Replacement
    from wirecheck.engine.variables import Variable


class Setting(NamedTuple):
    """One position of every variable and one range of every quantity."""

    bits: Bits  # one for each variable: moved?
    ranges: tuple[int, ...]  # one for each quantity: which range it lies in


class World:
    """The variables and quantities of one unit (before None), or of two side by side.

    held: after's input name -> moved?, beyond what `given` holds. named: inputs looked at though not listed.
    """

    def __init__(
        self,
        after: Circuit,
        before: Circuit | None = None,
        replaced: Iterable[Replacement] = (),
        held: Mapping[str, bool] | None = None,
        named: Iterable[str] = (),
        given: bool = True,
    ) -> None:
        self.after, self.before, self.given = after, before, given
        self.held = dict(held or {})
        self.named = frozenset(named) | self._named_by_files()
        every = Pairing(after, before, replaced, self._holding).variables()
        self.variables = tuple(v for v in every if self._looked_at(v))
        self.fixed = tuple(v for v in every if not self._looked_at(v))
        self.index = {v.name: k for k, v in enumerate(self.variables)}
        cuts = self._cuts()
        used = {v.set_points.quantity for v in self.variables if v.set_points is not None}
        self.cuts = {q: c for q, c in cuts.items() if c and (q in used or q in self._asked())}
        self.sensing = Sensing(self.cuts)
        self.quantities = tuple(self.cuts)
        self.impossible = [(self.after, c) for c, _ in after.impossible]
        if before is not None:
            self.impossible += [(before, c) for c, _ in before.impossible]

    # --- variables -------------------------------------------------------------------------------

    def _named_by_files(self) -> frozenset[str]:
        names: set[str] = set()
        for circuit in self.circuits():
            conditions = [c for c, _ in circuit.impossible]
            for s in circuit.expects:
                conditions += [c for c in (s.condition, s.until) if c is not None]
            for c in conditions:
                names |= {a.input for a in atoms(c) if isinstance(a, InputIs)}
            names = {n for n in names if n not in circuit.inputs or not circuit.inputs[n].opened_only_by_name}
            if self.given:
                names |= {i.name for i in circuit.inputs.values() if i.given is not None}
        return frozenset(names)

    def circuits(self) -> tuple[Circuit, ...]:
        return (self.after,) if self.before is None else (self.before, self.after)

    def _asked(self) -> frozenset[str]:
        """Quantities that a sentence or an impossible combination names."""
        names: set[str] = set()
        for circuit in self.circuits():
            conditions = [c for c, _ in circuit.impossible]
            for s in circuit.expects:
                conditions += [c for c in (s.condition, s.until) if c is not None]
            names |= {a.quantity for c in conditions for a in atoms(c) if isinstance(a, QuantityIs)}
        return frozenset(names)

    def _cuts(self) -> dict[str, tuple[float, ...]]:
        out: dict[str, set[float]] = {}
        for circuit in self.circuits():
            for q, values in circuit.cuts.items():
                out.setdefault(q, set()).update(values)
        return {q: tuple(sorted(v)) for q, v in out.items()}

    def _holding(self, i: Input) -> bool | None:
        if i.name in self.held:
            return self.held[i.name]
        return i.given if self.given else None

    def _looked_at(self, v: Variable) -> bool:
        if v.opened_only_by_name and v.held is None:
            return (v.before if v.after is None else v.after) in self.held
        return v.listed or v.held is not None or bool({v.name, v.after, v.before} & self.named)

    def same_settings(self, other: World) -> bool:
        """Have two worlds the same variables, quantities and impossible combinations?"""
        mine, theirs = ([c for _, c in w.impossible] for w in (self, other))
        return (self.variables, self.fixed, self.cuts, mine) == (
            other.variables,
            other.fixed,
            other.cuts,
            theirs,
        )

    # --- settings ----------------------------------------------------------------------------------

    def interval(self, quantity: str, k: int) -> tuple[float, float]:
        """The k-th range of a quantity: between two neighbouring cuts, or beyond the last."""
        return self.sensing.interval(quantity, k)

    def placed(self, v: Variable, k: int) -> tuple[bool, ...]:
        """The positions into which range k itself puts a switch; both between its set points."""
        return self.sensing.placed(v, k)

    def _free(self, v: Variable) -> bool:
        return v.set_points is None

    @cached_property
    def _moved_by(self) -> dict[str, list[int]]:
        """Quantity -> the variables that it moves."""
        out: dict[str, list[int]] = {q: [] for q in self.quantities}
        for k, v in enumerate(self.variables):
            if v.set_points is not None:
                out[v.set_points.quantity].append(k)
        return out

    @cached_property
    def blocks(self) -> list[tuple[tuple[int, ...], list[tuple[int | None, Bits]]]]:
        """Independent choices, of a free switch or a quantity: (variables, [(range or None, positions)])."""
        rows: list[tuple[tuple[int, ...], list[tuple[int | None, Bits]]]] = []
        for k, v in enumerate(self.variables):
            if self._free(v):
                choices = [False, True] if v.held is None else [v.held]
                choices.sort(key=lambda moved, v=v: moved != v.normal)  # type: ignore[misc]
                rows.append(((k,), [(None, (c,)) for c in choices]))
        rows += [(tuple(self._moved_by[q]), self._quantity_choices(q)) for q in self.quantities]
        return rows

    def _quantity_choices(self, q: str) -> list[tuple[int | None, Bits]]:
        sensing = [self.variables[k] for k in self._moved_by[q]]
        twins = self._twin_pairs(q)
        return [
            (r, bits)
            for r in range(len(self.cuts[q]) + 1)
            for bits in product(*(self.sensing.allowed(v, r) for v in sensing))
            if all((r, bits[a], bits[b]) in possible for (a, b), possible in twins.items())
        ]

    def _twin_pairs(self, q: str) -> dict[tuple[int, int], set[tuple[int, bool, bool]]]:
        """For one switch with two sets of set points: the pairs that one history of the quantity leads to."""
        sensing = [self.variables[k] for k in self._moved_by[q]]
        names = {v.name: k for k, v in enumerate(sensing)}
        out = {}
        for k, v in enumerate(sensing):
            other = names.get(v.twin or "")
            if other is not None and k < other:
                out[k, other] = self.sensing.histories(v, sensing[other])
        return out

    def count(self) -> int:
        """How many combinations power may come up in, impossible ones not yet left out."""
        n = 1
        for _, choices in self.blocks:
            n *= len(choices)
        return n

    def settings(self) -> Iterator[Setting]:
        """Every possible combination of positions and ranges."""
        if self.count() > figures.STATE_LIMIT:
            free = tuple(v.name for v in self.variables if v.held is None)
            raise TooMany(self.count(), free)
        yield from self.combined([choices for _, choices in self.blocks])

    def combined(self, rows: Sequence[Sequence[tuple[int | None, Bits]]]) -> Iterator[Setting]:
        """The possible settings made of these choices of each block."""
        for picks in product(*rows):
            bits = [False] * len(self.variables)
            ranges = []
            for (where, _), (r, positions) in zip(self.blocks, picks, strict=True):
                for k, moved in zip(where, positions, strict=True):
                    bits[k] = moved
                if r is not None:
                    ranges.append(r)
            setting = Setting(tuple(bits), tuple(ranges))
            if self.possible(setting):
                yield setting

    def moves(self, setting: Setting) -> Iterator[tuple[str, Setting]]:
        """Every move of inputs and quantities from here, with its words."""
        for k, v in enumerate(self.variables):
            if v.held is None and (self._free(v) or self._may_reset(setting, k)):
                bits = list(setting.bits)
                bits[k] = not bits[k]
                if not self._free(v):
                    self._reset_twin(v, setting, bits)
                to = Setting(tuple(bits), setting.ranges)
                if self.possible(to):
                    yield f"{v.name} {v.word(bits[k])}", to
        for q, name in enumerate(self.quantities):
            for r in (setting.ranges[q] - 1, setting.ranges[q] + 1):
                moved = self._quantity_move(setting, q, name, r)
                if moved is not None and self.possible(moved):
                    yield f"{name} {'rises' if r > setting.ranges[q] else 'falls'}", moved

    def _may_reset(self, setting: Setting, k: int) -> bool:
        v = self.variables[k]
        r = setting.ranges[self.quantities.index(v.senses.quantity)]
        return self.sensing.resets(v, r, setting.bits[k])

    def _reset_twin(self, v: Variable, setting: Setting, bits: list[bool]) -> None:
        k = self.index.get(v.twin or "")
        if k is not None and not self._free(self.variables[k]) and self._may_reset(setting, k):
            bits[k] = not bits[k]

    def _quantity_move(self, setting: Setting, q: int, name: str, r: int) -> Setting | None:
        if not 0 <= r <= len(self.cuts[name]):
            return None
        bits = list(setting.bits)
        for k in self._moved_by[name]:
            v = self.variables[k]
            bits[k] = self.sensing.drag(v, bits[k], r)
            if bits[k] not in self.sensing.allowed(v, r):
                return None
        ranges = list(setting.ranges)
        ranges[q] = r
        return Setting(tuple(bits), tuple(ranges))

    def possible(self, setting: Setting) -> bool:
        return not any(self.holds(c, circuit, setting) for circuit, c in self.impossible)

    def holds(self, condition: Bound, circuit: Circuit, setting: Setting) -> bool:
        """A condition on inputs and quantities alone, in the words of one of the two circuits."""
        match condition:
            case Not(part):
                return not self.holds(part, circuit, setting)
            case And(parts):
                return all(self.holds(p, circuit, setting) for p in parts)
            case Or(parts):
                return any(self.holds(p, circuit, setting) for p in parts)
            case InputIs(name, moved):
                return self.position(circuit, name, setting) == moved
            case QuantityIs():
                return self.quantity_is(condition, setting)
            case LoadIs() | RelayIs() | DelayIs():
                raise ValueError("a combination of inputs cannot name a load, relay or delay")

    def quantity_is(self, atom: QuantityIs, setting: Setting) -> bool:
        if atom.quantity not in self.cuts:
            return False
        low, high = self.interval(atom.quantity, setting.ranges[self.quantities.index(atom.quantity)])
        return low >= atom.value if atom.above else high <= atom.value

    @cached_property
    def _where(self) -> dict[tuple[bool, str], tuple[int | None, bool]]:
        """(is it of after?, input name) -> (variable, flip), or (None, its constant position)."""
        out: dict[tuple[bool, str], tuple[int | None, bool]] = {}
        for v in (*self.variables, *self.fixed):
            k = self.index.get(v.name)
            for is_after, name, flip in ((True, v.after, False), (False, v.before, v.flip_before)):
                if name is not None:
                    out[is_after, name] = (k, flip) if k is not None else (None, v.normal != flip)
        return out

    def variable_of(self, circuit: Circuit, name: str) -> int | None:
        """The variable of an input of one of the two circuits; None where it stands at one position."""
        return self._where[circuit is self.after, name][0]

    def position(self, circuit: Circuit, name: str, setting: Setting) -> bool:
        """Does this input of this circuit stand moved?"""
        k, flip = self._where[circuit is self.after, name]
        return flip if k is None else setting.bits[k] != flip

    @cached_property
    def _rows(self) -> dict[bool, list[tuple[int | None, bool]]]:
        rows = {True: [self._where[True, n] for n in self.after.inputs]}
        if self.before is not None:
            rows[False] = [self._where[False, n] for n in self.before.inputs]
        return rows

    def inputs(self, of_after: bool, setting: Setting) -> Bits:
        """The position of every input of one circuit, in its order."""
        bits = setting.bits
        return tuple(flip if k is None else bits[k] != flip for k, flip in self._rows[of_after])

    def away(self, setting: Setting) -> int:
        """How many inputs stand otherwise than in ordinary operation."""
        return sum(b != v.normal for b, v in zip(setting.bits, self.variables, strict=True))

    def words(self, setting: Setting, listed_only: bool = True) -> dict[str, str]:
        """Input name -> word, of what is listed."""
        return {
            v.name: v.word(b)
            for b, v in zip(setting.bits, self.variables, strict=True)
            if v.listed or not listed_only
        }
