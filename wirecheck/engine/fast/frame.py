"""One position of the tracked relays over one chunk of settings: every value is a vector, worked out once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine import figures
from wirecheck.engine.answers import OFF
from wirecheck.engine.fast.table import AND, FALSE, NOT, TRUE, VAR, CoilBit, DelayBit, InputBit

if TYPE_CHECKING:
    from wirecheck.engine.answers import State
    from wirecheck.engine.fast.cubes import Cube, Thing
    from wirecheck.engine.fast.kept import Kept
    from wirecheck.engine.fast.potentials import Supplies
    from wirecheck.engine.fast.solve import Asker
    from wirecheck.engine.fast.unit import Unit
    from wirecheck.engine.fast.words import LoadWords

Words = dict[str, int]  # word -> where


class Frame:
    """Vectors of one unit in one position of its tracked coils and delays.

    values: node -> where it is true, as far as known. kept: counts the vectors of nodes and of positions;
    told: those of words.
    """

    def __init__(
        self,
        unit: Unit,
        asker: Asker,
        state: State,
        chunk: int,
        values: dict[int, int],
        kept: Kept[Frame],
        told: Kept[Frame],
    ) -> None:
        self.unit, self.asker, self.state, self.chunk = unit, asker, state, chunk
        self.kept, self.told = kept, told
        self.table, self.space = unit.table, unit.space
        self.ones = unit.space.ones
        self.possible = unit.space.possible(chunk)
        self._values = values
        self._wants: dict[str, int] | None = None
        self._shorts: dict[Supplies, int] | None = None
        self.placed: dict[Thing | str, list[tuple[Cube, int]]] = {}  # the positions met in it
        self.forget_words()

    def forget(self) -> None:
        """Keep no nodes, and no positions of parts."""
        self._values.clear()
        self.placed = {}

    def forget_words(self) -> None:
        """Keep no words."""
        self._loads: dict[str, Words] = {}
        self._volts: dict[str, Words] = {}
        self._fed: dict[str, dict[tuple[str, ...], int]] = {}

    def place(self, cube: Cube, where: int) -> None:
        """Keep where a position of a part is met."""
        self.kept.add(self, 1)
        for key in cube.of:
            self.placed.setdefault(key, []).append((cube, where))

    # --- the program -------------------------------------------------------------------------------

    def value(self, node: int) -> int:
        """Where a node is true."""
        found = self._values.get(node)
        return self._worked(node) if found is None else found

    def _worked(self, node: int) -> int:
        """The same, worked out with all that it rests on."""
        values, table = self._values, self.table
        count = len(values)
        if TRUE not in values:
            values |= self.space.given(table, self.chunk)
        ops, firsts, seconds = table.op, table.a, table.b
        stack = [node]
        while stack:
            n = stack[-1]
            if n in values:
                stack.pop()
                continue
            op, a, b = ops[n], firsts[n], seconds[n]
            if op == VAR:
                alias = self.unit.alias.get(n)
                if alias is None:
                    values[n] = self._variable(n)
                elif alias in values:
                    values[n] = values[alias]
                else:
                    stack.append(alias)
                continue
            one = values.get(a)
            if one is None:
                stack.append(a)
                continue
            if op == NOT:
                values[n] = one ^ self.ones
                continue
            other = values.get(b)
            if other is None:
                if one == (0 if op == AND else self.ones):
                    values[n] = one
                else:
                    stack.append(b)
                continue
            values[n] = one & other if op == AND else one | other
        self.kept.add(self, len(values) - count)
        return values[node]

    def _variable(self, node: int) -> int:
        plain = self.unit.plain
        match self.table.names[self.table.a[node]]:
            case InputBit(k):
                return self.space.variable(k, self.chunk)
            case CoilBit(_, coil):
                return self.ones if self.state[0][plain.coils[coil]] else 0
            case DelayBit(_, delay):
                return self.ones if self.state[1][list(plain.circuit.delays).index(delay)] else 0

    # --- shorts and wants ----------------------------------------------------------------------------

    def shorts(self) -> dict[Supplies, int]:
        """The supplies that take part in a short -> where."""
        if self._shorts is None:
            known = self.unit.known
            found = {s: self.value(n) & self.possible for s, n in known.short.items()}
            self.asker.refuse(self, self.value(known.doubtful), "a short whose supplies are not worked out")
            apart = self.possible
            for where in found.values():
                apart &= where ^ self.ones
            for core, node in self.unit.forced.items():
                self._forced(core, self.asker.forced(self, core, self.value(node) & apart), found)
            self._shorts = {s: w for s, w in found.items() if w}
        return self._shorts

    def _forced(self, core: str, where: int, found: dict[Supplies, int]) -> None:
        """The short of a winding that is forced; worked out here where there is one hot supply."""
        if not where:
            return
        unit = self.unit
        for supplies, node in unit.known.supplies_behind(self.table, unit.plain, unit.nets, core).items():
            here = where & self.value(node)
            if len(supplies) != 1 or supplies & unit.dead or unit.many_sources:
                self.asker.refuse(self, here, "a forced winding whose supplies are not worked out")
            for known in found.values():
                here &= known ^ self.ones
            found[supplies] = found.get(supplies, 0) | here

    def clear(self) -> int:
        """The possible settings that are not shorted."""
        found = self.possible
        for where in self.shorts().values():
            found &= where ^ self.ones
        return found

    def wants(self) -> dict[str, int]:
        """Tracked coil -> where it wants to move."""
        if self._wants is None:
            clear = self.clear()
            self._wants = {i: w for i in self.unit.tracked_in_order if (w := self._wants_of(i, clear))}
        return self._wants

    def _wants_of(self, coil: str, clear: int) -> int:
        wants = self.unit.coils[coil]
        is_in = self.state[0][self.unit.plain.coils[coil]]
        moves = self.value(wants.keep) ^ self.ones if is_in else self.value(wants.pull)
        ask = self.value(wants.ask) & clear
        moves = moves & clear & (ask ^ self.ones)
        return moves | self.asker.wants(self, coil, ask) if ask else moves

    def coil(self, coil: str) -> int:
        """Where a coil is in."""
        return self.value(self.unit.movers.coils[coil])

    # --- words ---------------------------------------------------------------------------------------

    def load(self, name: str) -> Words:
        """Word -> where, of a load or of a motor's tap, over the settings that are not shorted."""
        if name not in self._loads:
            load = name if name in self.unit.loads else name.rpartition(".")[0]
            asked = self._asked(load)
            self._loads |= asked
            self.told.add(self, sum(map(len, asked.values())))
        return self._loads[name]

    def _asked(self, name: str) -> dict[str, Words]:
        load = self.unit.loads[name]
        found, ask = self._by_logic(load)
        taps = self.unit.taps(name)
        each: dict[str, Words] = {name: found, **{t: {} for t in taps}}
        if ask:
            for (word, *tapped), where in self.asker.words(self, name, ask).items():
                for n, w in zip((name, *taps), (word, *tapped), strict=True):
                    each[n][w] = each[n].get(w, 0) | where
        return {n: self._rest_off(words) for n, words in each.items()}

    def _by_logic(self, load: LoadWords) -> tuple[Words, int]:
        """The words that logic gives, and where to ask."""
        clear = self.clear()
        return {w: v for w, n in load.words.items() if (v := self.value(n) & clear)}, self.value(
            load.ask
        ) & clear

    def _rest_off(self, words: Words) -> Words:
        rest = self.possible
        for where in words.values():
            rest &= where ^ self.ones
        words[OFF] = words.get(OFF, 0) | rest
        return {w: v for w, v in words.items() if v}

    def volts(self, relay: str) -> Words:
        """on, weak, over, off -> where, by the volts across a relay's coil."""
        if relay not in self._volts:
            found, ask = self._by_logic(self.unit.coil_word(relay))
            if ask:
                for word, where in self.asker.volts(self, relay, ask).items():
                    found[word] = found.get(word, 0) | where
            self._volts[relay] = self._rest_off(found)
            self.told.add(self, len(self._volts[relay]))
        return self._volts[relay]

    def fed(self, name: str) -> dict[tuple[str, ...], int]:
        """The loads and coils that one is fed through -> where."""
        if name not in self._fed:
            unit, ask = self.unit, 0
            for element in unit.owners[name]:
                z = unit.plain.impedances[element]
                for net in (unit.nets.net(z.a), unit.nets.net(z.b)):
                    ask |= self.value(unit.floating.asks.get(net, FALSE))
            ask &= self.clear()
            self._fed[name] = self.asker.fed(self, name, ask) if ask else {}
            self.told.add(self, len(self._fed[name]))
        return self._fed[name]

    def live(self, terminal: str) -> int:
        """Where a terminal's potential to earth is fixed and above 10 V."""
        unit, net, clear = self.unit, self.unit.nets.net(terminal), self.clear()
        ask = self.value(unit.floating.asks.get(net, FALSE)) & clear
        found = self.asker.live(self, terminal, ask) if ask else 0
        for label, node in unit.known.at[net].items():
            if label.ref == "" and abs(label.volts) > figures.LIVE_VOLTS:
                found |= self.value(node) & clear
        for label, node in unit.floating.touched.get(net, {}).items():
            if label.ref == "" and abs(label.volts) > figures.LIVE_VOLTS:
                found |= self.value(node) & clear & (ask ^ self.ones)
        return found
