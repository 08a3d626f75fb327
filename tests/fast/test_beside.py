"""What pairs made beside each other must not share: a case for each thing that has to be the same."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from tests.fast.compare import by_fast
from wirecheck.circuit.build import load_circuit
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Bits

HERE = Path(__file__).parent


@pytest.fixture
def follows() -> Circuit:
    """K2 follows K1; T1 waits for S, T2 for power alone."""
    return load_circuit(HERE / "follows.yaml")


def beside(after: Circuit, before: Plain, last: FastPair | None = None) -> FastPair:
    return FastPair.of(Plain(after), before, World(after, before.circuit), last)


def alone(after: Circuit, before: Circuit) -> FastPair:
    return FastPair(after, before, World(after, before))


FIRST, SECOND = (True, False), (False, True)  # which coil is in


@pytest.mark.parametrize(
    ("names", "matched"),
    [
        (("K1", "K2"), {FIRST: {FIRST}, SECOND: {SECOND}}),
        (("K2", "K1"), {FIRST: {SECOND}, SECOND: {FIRST}}),
        (("K3", "K4"), {FIRST: {FIRST, SECOND}, SECOND: {FIRST, SECOND}}),
    ],
)
def test_relays_are_held_against_those_of_the_same_name(
    names: tuple[str, str], matched: dict[Bits, set[Bits]]
) -> None:
    """Coils alike, beside a pair in which the relays kept their names: an end is held against that before in
    which the common relays stand alike, against both where there are none (engine.md section 4).
    """
    circuit = load_circuit(HERE / "interlocked.yaml")
    before = Plain(circuit)
    relays = {n: replace(r, name=n) for n, r in zip(names, circuit.relays.values(), strict=True)}
    pair = beside(replace(circuit, relays=relays), before, beside(circuit, before))
    ends = {c.key.after.members[0][0]: {e.members[0][0] for e in c.key.befores} for c in pair.classes}
    assert ends == matched


def test_delays_in_another_order_are_others(follows: Circuit) -> None:
    """A state tells its delays by their place."""
    before = Plain(follows)
    after = replace(follows, delays=dict(reversed(follows.delays.items())))
    assert by_fast(beside(after, before, beside(follows, before))) == by_fast(alone(after, follows))


def test_a_unit_before_that_is_followed_further_is_another(follows: Circuit) -> None:
    """K1 over its own back contact chatters, so K2 is followed too, in the unit before as well: what was
    reached beside it earlier does not tell where K2 stands.
    """
    before = Plain(follows)
    onto = {"W2": replace(follows.conductors["W2"], a="K1.NC")}
    first = beside(follows, before)
    buzzing = beside(replace(follows, conductors=follows.conductors | onto), before, first)
    assert buzzing.settlers["before"].unit.tracked > first.settlers["before"].unit.tracked
    assert by_fast(beside(follows, before, buzzing)) == by_fast(alone(follows, follows))


def test_another_unit_before_is_worked_out_anew(follows: Circuit) -> None:
    """The same switches, but LA without its lead."""
    dark = replace(follows, conductors={i: w for i, w in follows.conductors.items() if i != "C.1"})
    last = beside(follows, Plain(follows))
    assert by_fast(beside(follows, Plain(dark), last)) == by_fast(alone(follows, dark))
