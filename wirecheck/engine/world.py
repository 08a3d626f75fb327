"""What is free to be otherwise: the inputs and quantities of a unit, or of a unit before and after a change.

A `Setting` is one position of every variable and one range of every quantity. Both units are set by the same
setting, so they are driven side by side by the same moves (engine.md section 4).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

from wirecheck.circuit.bound import And, Bound, DelayIs, InputIs, LoadIs, Not, Or, QuantityIs, RelayIs, atoms
from wirecheck.engine import figures
from wirecheck.engine.answers import Bits, TooMany

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from wirecheck.circuit.elements import Input, SetPoints
    from wirecheck.circuit.graph import Circuit, Replacement


class Setting(NamedTuple):
    bits: Bits  # one for each variable: moved?
    ranges: tuple[int, ...]  # one for each quantity: which range it lies in


@dataclass(frozen=True, slots=True)
class Variable:
    """One input, of either unit or of both. `before`, `after`: its name there; flip: stands the other way."""

    name: str
    words: tuple[str, str]
    before: str | None = None
    after: str | None = None
    flip_before: bool = False
    set_points: SetPoints | None = None
    latch: bool | None = None  # reset by hand: the position that it does not leave by itself
    normal: bool = False
    held: bool | None = None
    listed: bool = True
    by_motor: bool = False
    twin: str | None = None  # the variable of the same switch with other set points

    def word(self, moved: bool) -> str:
        return self.words[moved]


def variable(i: Input, held: bool | None, *, before: str | None, after: str | None, name: str) -> Variable:
    return Variable(
        name=name,
        words=i.words,
        before=before,
        after=after,
        set_points=i.set_points,
        latch=latch(i),
        normal=i.normal if held is None else held,
        held=held,
        listed=i.listed,
        by_motor=i.by_motor,
    )


def latch(i: Input) -> bool | None:
    """The position that a switch reset by hand keeps: its tripped side, else moved. None: resets by itself."""
    if not i.hand_reset:
        return None
    return True if i.tripped is None else i.tripped


def same_place(one: Input, other: Input) -> bool:
    """Is the position of both decided by the same thing: the same set points, or the same hand?"""
    a, b = one.set_points, other.set_points
    if a is None or b is None:
        return a is b
    same = (a.quantity, a.low, a.high, a.above_moved) == (b.quantity, b.low, b.high, b.above_moved)
    return same and latch(one) == latch(other)


def pairs_of_inputs(before: Circuit, after: Circuit, replaced: Iterable[Replacement]) -> dict[str, str]:
    """After's input -> before's input of the same switch: the same tag, or the one it replaces."""
    renamed: dict[str, str] = {}
    for r in replaced:
        for old in (i for i in before.inputs.values() if i.device == r.old):
            position = old.name.removeprefix(r.old).removeprefix(".")
            moved_to = r.positions.get(position, position)
            name = f"{r.new}.{moved_to}" if moved_to and f"{r.new}.{moved_to}" in after.inputs else r.new
            if name in after.inputs:
                renamed[name] = old.name
    replaced_tags = {r.new for r in replaced}
    same = {n: n for n, i in after.inputs.items() if n in before.inputs and i.device not in replaced_tags}
    return same | renamed


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
        pairs = pairs_of_inputs(before, after, replaced) if before is not None else {}
        every = [*self._of_after(pairs), *self._of_before(pairs)]
        self.variables = tuple(v for v in every if self._looked_at(v))
        self.fixed = tuple(v for v in every if not self._looked_at(v))
        self.index = {v.name: k for k, v in enumerate(self.variables)}
        cuts = self._cuts()
        used = {v.set_points.quantity for v in self.variables if v.set_points is not None}
        self.cuts = {q: c for q, c in cuts.items() if c and (q in used or q in self._asked())}
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

    def _of_after(self, pairs: dict[str, str]) -> Iterator[Variable]:
        for i in self.after.inputs.values():
            held = self._holding(i)
            old = self.before.inputs[pairs[i.name]] if self.before is not None and i.name in pairs else None
            if old is None:
                yield variable(i, held, before=None, after=i.name, name=i.name)
            elif same_place(i, old):
                yield self._shared(i, old, held)
            else:
                twin = f"{i.name} (before)"
                one = variable(i, held, before=None, after=i.name, name=i.name)
                yield _with(one, twin=twin)
                yield _with(
                    variable(old, self._holding(old), before=old.name, after=None, name=twin), twin=i.name
                )

    def _shared(self, i: Input, old: Input, held: bool | None) -> Variable:
        """One input for both units; levers show the same word, all else stands at rest or moved alike."""
        flip = i.set_points is None and i.lever and old.lever and i.words != old.words
        if held is None:
            held = self._holding(old)
            held = held != flip if held is not None else None
        one = variable(i, held, before=old.name, after=i.name, name=i.name)
        return _with(one, flip_before=flip, listed=i.listed or old.listed)

    def _of_before(self, pairs: dict[str, str]) -> Iterator[Variable]:
        if self.before is None:
            return
        paired = set(pairs.values())
        for i in self.before.inputs.values():
            if i.name not in paired:
                name = i.name if i.name not in self.after.inputs else f"{i.name} (before)"
                yield variable(i, self._holding(i), before=i.name, after=None, name=name)

    def _looked_at(self, v: Variable) -> bool:
        circuit, name = (self.after, v.after) if v.after is not None else (self.before, v.before)
        assert circuit is not None and name is not None
        if circuit.inputs[name].opened_only_by_name and v.held is None:
            return name in self.held
        return v.listed or v.held is not None or bool({v.name, v.after, v.before} & self.named)

    # --- settings ----------------------------------------------------------------------------------

    def interval(self, quantity: str, k: int) -> tuple[float, float]:
        """The k-th range of a quantity: between two neighbouring cuts, or beyond the last."""
        cuts = self.cuts[quantity]
        low = cuts[k - 1] if k > 0 else float("-inf")
        return low, cuts[k] if k < len(cuts) else float("inf")

    def allowed(self, v: Variable, k: int) -> tuple[bool, ...]:
        """The positions that a variable may have in range k of its quantity, that it is held at included."""
        places = self.placed(v, k)
        if v.latch is not None and places == (not v.latch,):
            places = (False, True)
        return places if v.held is None else tuple(p for p in places if p == v.held)

    def placed(self, v: Variable, k: int) -> tuple[bool, ...]:
        """The positions into which range k itself puts a switch; both between its set points."""
        assert v.set_points is not None
        low, high = self.interval(v.set_points.quantity, k)
        if low >= v.set_points.high:
            return (v.set_points.above_moved,)
        if high <= v.set_points.low:
            return (not v.set_points.above_moved,)
        return (False, True)

    def _free(self, v: Variable) -> bool:
        return v.set_points is None

    @cached_property
    def _sensing(self) -> dict[str, list[int]]:
        out: dict[str, list[int]] = {q: [] for q in self.quantities}
        for k, v in enumerate(self.variables):
            if v.set_points is not None:
                out[v.set_points.quantity].append(k)
        return out

    @cached_property
    def blocks(self) -> list[tuple[tuple[int, ...], list[tuple[int | None, Bits]]]]:
        """Independent choices: (variables, [(range or None, their positions)]): a free switch, or a quantity."""
        rows: list[tuple[tuple[int, ...], list[tuple[int | None, Bits]]]] = []
        for k, v in enumerate(self.variables):
            if self._free(v):
                choices = [False, True] if v.held is None else [v.held]
                choices.sort(key=lambda moved, v=v: moved != v.normal)  # type: ignore[misc]
                rows.append(((k,), [(None, (c,)) for c in choices]))
        for q in self.quantities:
            rows.append((tuple(self._sensing[q]), self._quantity_choices(q)))
        return rows

    def _quantity_choices(self, q: str) -> list[tuple[int | None, Bits]]:
        sensing = [self.variables[k] for k in self._sensing[q]]
        twins = self._twin_pairs(q)
        out: list[tuple[int | None, Bits]] = []
        for r in range(len(self.cuts[q]) + 1):
            for bits in product(*(self.allowed(v, r) for v in sensing)):
                if all((r, bits[a], bits[b]) in possible for (a, b), possible in twins.items()):
                    out.append((r, bits))
        return out

    def _twin_pairs(self, q: str) -> dict[tuple[int, int], set[tuple[int, bool, bool]]]:
        """For one switch with two sets of set points: the pairs that one history of the quantity leads to."""
        sensing = [self.variables[k] for k in self._sensing[q]]
        names = {v.name: k for k, v in enumerate(sensing)}
        out = {}
        for k, v in enumerate(sensing):
            other = names.get(v.twin or "")
            if other is not None and k < other:
                out[k, other] = self._histories(v, sensing[other], len(self.cuts[q]) + 1)
        return out

    def _histories(self, v: Variable, w: Variable, ranges: int) -> set[tuple[int, bool, bool]]:
        """(range, position, position) reached by moving the quantity from beyond all set points."""
        start = [(r, *(self.placed(x, r)[0] for x in (v, w))) for r in (0, ranges - 1)]
        seen, queue = set(start), list(start)
        for r, a, b in queue:
            steps = [
                (to, self._drag(v, a, to), self._drag(w, b, to)) for to in (r - 1, r + 1) if 0 <= to < ranges
            ]
            steps.append((r, a != self._resets(v, r, a), b != self._resets(w, r, b)))
            for step in steps:
                if step not in seen:
                    seen.add(step)
                    queue.append(step)
        return seen

    def _resets(self, v: Variable, r: int, moved: bool) -> bool:
        """May a hand reset this switch, standing at `moved`, in range r?"""
        return v.latch is not None and moved == v.latch and self.placed(v, r) == (not v.latch,)

    def _drag(self, v: Variable, moved: bool, r: int) -> bool:
        """Where a switch stands once its quantity is in range r."""
        places = self.placed(v, r)
        if moved in places or (v.latch is not None and moved == v.latch):
            return moved
        return places[0]

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
        for picks in product(*(choices for _, choices in self.blocks)):
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
        assert v.set_points is not None
        return self._resets(v, setting.ranges[self.quantities.index(v.set_points.quantity)], setting.bits[k])

    def _reset_twin(self, v: Variable, setting: Setting, bits: list[bool]) -> None:
        if v.twin in self.index and self._may_reset(setting, self.index[v.twin]):
            bits[self.index[v.twin]] = not bits[self.index[v.twin]]

    def _quantity_move(self, setting: Setting, q: int, name: str, r: int) -> Setting | None:
        if not 0 <= r <= len(self.cuts[name]):
            return None
        bits = list(setting.bits)
        for k in self._sensing[name]:
            v = self.variables[k]
            bits[k] = self._drag(v, bits[k], r)
            if bits[k] not in self.allowed(v, r):
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


def _with(v: Variable, **changes: object) -> Variable:
    from dataclasses import replace

    return replace(v, **changes)  # type: ignore[arg-type]
