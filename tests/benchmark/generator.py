"""Drawn units and changes, written out as files: what both sides of the benchmark read."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from tests.benchmark.files import Steps, wired, write_change, write_unit
from tests.benchmark.networks import SIZES, Network, network

if TYPE_CHECKING:
    from pathlib import Path

    from tests.benchmark.files import Spare, Wired

Kind = Literal["moved", "elsewhere", "rewritten"]
KINDS: tuple[Kind, ...] = ("moved", "elsewhere", "rewritten")
REWRITTEN = 10  # contacts


@dataclass(frozen=True, slots=True)
class Job:
    """A unit and a change on disk."""

    unit: Path
    change: Path


def job(folder: Path, wires: int, seed: int, kind: Kind) -> Job:
    """A network of this size with one of the three changes.

    moved: a conductor's end to another terminal of its net; elsewhere: a contact's end to another net;
    rewritten: ten contacts A made (A and X) or (A and not X).
    """
    net = network(SIZES[wires], seed)
    rng = random.Random(f"{wires}/{seed}/{kind}")  # noqa: S311 - drawn again from its seed
    rewrites = _rewrites(net, rng) if kind == "rewritten" else []
    wiring = wired(net, rng, [spare for _, row in rewrites for spare in row])
    steps = Steps(f"{kind} {wires} {seed}")
    if kind == "moved":
        _moved(wiring, rng, steps)
    elif kind == "elsewhere":
        _elsewhere(wiring, rng, steps)
    else:
        _rewritten(wiring, [k for k, _ in rewrites], steps)
    stem = f"{wires}-{seed}-{kind}"
    return Job(
        write_unit(folder / f"{stem}.yaml", wiring),
        write_change(folder / f"{stem}-change.yaml", steps),
    )


def _moved(wiring: Wired, rng: random.Random, steps: Steps) -> None:
    """Nets are daisy-chained, so the terminals on the lifted end's side are those before or after it."""
    choices = []
    for terminals in wiring.nets:
        for wire, (a, b) in wiring.wires.items():
            if a in terminals:
                k = terminals.index(a)
                choices += [(wire, a, to) for to in terminals[:k]]
                choices += [(wire, b, to) for to in terminals[k + 2 :]]
    steps.move(*rng.choice(choices))


def _elsewhere(wiring: Wired, rng: random.Random, steps: Steps) -> None:
    """A contact's terminal with one conductor on it: the conductor's far end goes to another net."""
    ends = {t: n for n, terminals in enumerate(wiring.nets) for t in terminals}
    at: dict[str, list[str]] = {}
    for wire, pair in wiring.wires.items():
        for t in pair:
            at.setdefault(t, []).append(wire)
    contact = rng.choice([c for c in wiring.contacts if any(len(at.get(t, ())) == 1 for t in c)])
    end = rng.choice([t for t in contact if len(at.get(t, ())) == 1])
    wire = at[end][0]
    far = next(t for t in wiring.wires[wire] if t != end)
    own = {ends[t] for t in contact}
    steps.move(wire, far, rng.choice([t for t, n in ends.items() if n not in own]))


def _rewrites(net: Network, rng: random.Random) -> list[tuple[int, list[Spare]]]:
    """Contacts to rewrite, each with the spare contacts it takes: A again, X that makes, X that breaks."""
    found = []
    for k in rng.sample(range(len(net.contacts)), min(REWRITTEN, len(net.contacts))):
        a = net.contacts[k]
        x = rng.choice([i for i in net.inputs if i != a.by])
        found.append((k, [(a.by, a.breaks), (x, False), (x, True)]))
    return found


def _rewritten(wiring: Wired, contacts: list[int], steps: Steps) -> None:
    """What was on the far side of A goes behind X; a second A and a broken X lead there too."""
    wires = dict(wiring.wires)
    for n, k in enumerate(contacts):
        near, far = wiring.contacts[k]
        again, makes, breaks = wiring.spares[3 * n : 3 * n + 3]
        for wire, pair in wires.items():
            if far in pair:
                steps.move(wire, far, makes[1])
        steps.run(far, makes[0])
        steps.run(near, again[0])
        steps.run(again[1], breaks[0])
        steps.run(breaks[1], makes[1])
