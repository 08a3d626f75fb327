"""Random logic-only networks: two poles, lamps, relays and switches of several contacts (speed.md section 8).

Chains of break contacts come from L; a rung for each relay and then rungs of lamps hang on them. Each
contact at N returns one rung, as an overload's does: a return shared by several would put loads in series
when it opens, and connectivity alone could then no longer tell what is on.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

HOT, RETURN = 0, 1  # the nets of the two poles


@dataclass(frozen=True, slots=True)
class Size:
    """How many conductors, inputs and relays a network has."""

    wires: int
    inputs: int
    relays: int


SIZES = {s.wires: s for s in (Size(60, 8, 3), Size(150, 16, 8), Size(500, 20, 20), Size(2000, 40, 60))}


@dataclass(frozen=True, slots=True)
class Contact:
    """A contact between two nets. by: the input or relay that moves it; breaks: closed at rest."""

    by: str
    breaks: bool
    a: int
    b: int


@dataclass(frozen=True, slots=True)
class Load:
    """A lamp, or the coil of the relay of this tag, between two nets."""

    tag: str
    a: int
    b: int


@dataclass
class Network:
    """Contacts and loads between numbered nets. strips: the net of each terminal of a strip."""

    inputs: tuple[str, ...]
    relays: tuple[str, ...]
    contacts: list[Contact] = field(default_factory=list)
    loads: list[Load] = field(default_factory=list)
    strips: list[int] = field(default_factory=list)
    nets: int = 2

    def net(self) -> int:
        self.nets += 1
        return self.nets - 1

    def wires(self) -> int:
        """Conductors, each net daisy-chained: one fewer than its terminals. The poles are terminals too."""
        return 2 * (len(self.contacts) + len(self.loads)) + 2 + len(self.strips) - self.nets


class TooFull(Exception):
    """More conductors than asked for: draw again."""


def network(size: Size, seed: int) -> Network:
    """The network of this size and seed, with exactly so many conductors."""
    for attempt in range(100):
        rng = random.Random(f"{size.wires}/{seed}/{attempt}")  # noqa: S311 - drawn again from its seed
        try:
            return _Maker(size, rng).make()
        except TooFull:
            continue
    raise TooFull(f"no network of {size.wires} conductors with {size.inputs} inputs, {size.relays} relays")


class _Maker:
    """Draws one network."""

    def __init__(self, size: Size, rng: random.Random) -> None:
        self.size, self.rng = size, rng
        inputs = tuple(f"S{k + 1}" for k in range(size.inputs))
        self.made = Network(inputs, tuple(f"K{k + 1}" for k in range(size.relays)))
        self.deck: list[str] = []
        self.known: list[str] = []  # relays that have their rung
        self.rungs: list[list[int]] = []  # numbers of the loads of each rung

    def make(self) -> Network:
        made, size = self.made, self.size
        self.chains = [self._chain(self.rng.randint(1, 3)) for _ in range(size.wires // 8)]
        self.unused = list(self.chains)
        for relay in made.relays:
            self._rung(relay)
        returns = size.wires // 16  # a contact at N is a conductor more
        while self._unseen() or made.wires() + returns < 0.85 * size.wires:
            self._rung(None)
        for chain in self.unused:
            self._load(f"H{len(made.loads) + 1}", chain)
        self._returns(returns)
        left = size.wires - made.wires()
        if left < 0:
            raise TooFull
        made.strips = [self.rng.randrange(made.nets) for _ in range(left)]
        return made

    def _unseen(self) -> set[str]:
        return set(self.made.inputs) - {c.by for c in self.made.contacts}

    def _input(self) -> str:
        """Inputs are dealt as from a pack, so that none is forgotten and none has them all."""
        if not self.deck:
            self.deck = self.rng.sample(self.made.inputs, len(self.made.inputs))
        return self.deck.pop()

    def _chain(self, count: int) -> int:
        at = HOT
        for _ in range(count):
            at = self._put(at, self._input(), breaks=True)
        return at

    def _put(self, a: int, by: str, breaks: bool, b: int | None = None) -> int:
        end = self.made.net() if b is None else b
        self.made.contacts.append(Contact(by, breaks, a, end))
        return end

    def _stage(self, a: int, b: int | None = None) -> int:
        """One contact: a relay's (35 %), or an input's."""
        rng = self.rng
        if rng.random() < 0.35:
            any_relay = rng.random() < 0.04
            if any_relay or self.known:
                by = rng.choice(self.made.relays if any_relay else self.known)
                return self._put(a, by, rng.random() >= 0.65, b)
        return self._put(a, self._input(), rng.random() >= 0.60, b)

    def _rung(self, relay: str | None) -> None:
        """One to three stages to a coil or a lamp, what stands beside them, perhaps a bridge and a lamp."""
        rng, earlier = self.rng, self.made.nets
        ways = [self._start()]
        for _ in range(rng.randint(1, 3)):
            ways.append(self._stage(ways[-1]))
        k = rng.randrange(len(ways) - 1)
        if relay is not None and rng.random() < 0.45:
            self._put(ways[k], relay, breaks=False, b=ways[k + 1])  # sealed in
        elif rng.random() < 0.30:
            middle = self._stage(ways[k]) if rng.random() < 0.5 else ways[k]
            self._stage(middle, ways[k + 1])
        end = ways[-1]
        if rng.random() < 0.12:
            self._stage(end, rng.randrange(2, earlier))
        loads = [self._load(relay or f"H{len(self.made.loads) + 1}", end)]
        if rng.random() < 0.20:
            loads.append(self._load(f"H{len(self.made.loads) + 1}", end))
        self.rungs.append(loads)
        if relay is not None:
            self.known.append(relay)

    def _start(self) -> int:
        """From a chain (80 %), one that nothing hangs on yet where there is one; else from L."""
        if self.rng.random() >= 0.80:
            return HOT
        if not self.unused:
            return self.rng.choice(self.chains)
        return self.unused.pop(self.rng.randrange(len(self.unused)))

    def _load(self, tag: str, at: int) -> int:
        self.made.loads.append(Load(tag, at, RETURN))
        return len(self.made.loads) - 1

    def _returns(self, count: int) -> None:
        """Break contacts at N, each in the return of one rung."""
        for rung in self.rng.sample(self.rungs, min(count, len(self.rungs))):
            back = self.made.net()
            self._put(back, self._input(), breaks=True, b=RETURN)
            for k in rung:
                load = self.made.loads[k]
                self.made.loads[k] = Load(load.tag, load.a, back)
