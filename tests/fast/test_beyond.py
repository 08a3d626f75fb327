"""More inputs than can be enumerated: what is proved is true, what is found is a state that is reached.

Worked by hand, many/unit.yaml: 29 switches in line pull in K1, which seals itself in and lights LP.
change-same: LP is fed through both throws of a switch more, (K and S29) or (K and not S29): the same as K.
change-not: LP is fed through the back throw of that switch; K1 has nothing to do with it.
"""

from __future__ import annotations

import random
from pathlib import Path
from typing import TYPE_CHECKING

from tests.fast.circuits import Maker, build, changed
from wirecheck.circuit.apply import load_change_pair
from wirecheck.engine.fast import equal
from wirecheck.engine.fast.equal import Equality
from wirecheck.engine.fast.limits import NotHere, TooLarge
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer
from wirecheck.engine.world import World
from wirecheck.questions.verify import Verified, verify

if TYPE_CHECKING:
    import pytest

    from wirecheck.circuit.graph import Circuit

MANY = Path(__file__).parent / "many"


def answer(change: str) -> Verified:
    return verify(load_change_pair(MANY / "unit.yaml", MANY / change))


def test_a_rewriting_is_proved() -> None:
    found = answer("change-same.yaml")
    kept = {f.subject: f.verdict for f in found.findings if f.check == "keeps"}
    assert (found.verdict, kept) == ("pass", {"LP": "pass", "L2": "pass"})
    assert all("2^30" in f.says for f in found.findings if f.check == "keeps")


def test_a_difference_is_found_and_walked() -> None:
    found = answer("change-not.yaml")
    fail = next(f for f in found.findings if f.verdict == "fail")
    assert (found.verdict, fail.check, fail.subject) == ("fail", "keeps", "LP")
    assert fail.witness is not None
    assert fail.witness.before["LP"] != fail.witness.after["LP"]
    assert fail.witness.before["K1"] == fail.witness.after["K1"]
    assert any(f.verdict == "unknown" and "hold some of S0" in f.says for f in found.findings)


def test_without_the_solver_it_says_what_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(equal, "find_spec", lambda _: None)
    found = answer("change-same.yaml")
    assert found.verdict == "unknown"
    assert any("pip install 'wirecheck[sat]'" in f.says for f in found.findings)


def alike(after: Plain, before: Plain, world: World) -> bool:
    """Has every load the word that it has in an outcome before, in every joint state walked plainly?"""
    explorer = Explorer(world, after, before).run()
    for joint in explorer.came:
        now = explorer.words(True, joint.setting, joint.after).loads
        olds = [explorer.words(False, joint.setting, old).loads for old in joint.befores]
        if not any(now == was for was in olds):
            return False
    return True


def chatters(unit: Plain, circuit: Circuit) -> bool:
    """Does a relay of a unit find no rest in some state?"""
    explorer = Explorer(World(circuit), unit).run()
    return any("chatters" in explorer.words(True, j.setting, j.after).relays.values() for j in explorer.came)


def test_what_is_proved_of_small_units_is_so() -> None:
    proved = refuted = 0
    for seed in range(400):
        rng = random.Random(seed)  # noqa: S311 - drawn again from its number
        plan = Maker(rng, rich=False).make()
        one, other = build(plan), build(changed(plan, rng) if seed % 2 else plan)
        after, before, world = Plain(other), Plain(one), World(other, one)
        try:
            equality = Equality(after, before, world)
            found, restless = equality.compared(), equality.restless()
        except (NotHere, TooLarge):
            continue
        assert restless or not chatters(before, one), seed
        if found.whole:
            proved += 1
            assert alike(after, before, world), seed
        elif found.differs and not found.apart:
            refuted += 1
    assert proved > 50
    assert refuted > 5
