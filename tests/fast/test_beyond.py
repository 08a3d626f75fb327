"""More inputs than can be enumerated: what is proved is true, what is found is a state that is reached.

Worked by hand, many/unit.yaml: 29 switches in line pull in K1, which seals itself in and lights LP.
change-same: LP is fed through both throws of a switch more, (K and S29) or (K and not S29): the same as K.
change-not: LP is fed through the back throw of that switch; K1 has nothing to do with it.
"""

from __future__ import annotations

import random
from pathlib import Path
from typing import TYPE_CHECKING

from tests.fast.altered import changed
from tests.fast.built import build
from tests.fast.circuits import Maker
from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit
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


def test_what_a_change_calls_impossible_is_not_proved(tmp_path: Path) -> None:
    """S3 at rest and S4 moved is a state of the unit that nobody looks at: contract 2, at best `unknown`."""
    change = tmp_path / "change.yaml"
    text = (MANY / "change-same.yaml").read_text(encoding="utf-8")
    change.write_text(f"{text}\nimpossible: [S3 rest and S4 moved]\n", encoding="utf-8")
    found = verify(load_change_pair(MANY / "unit.yaml", change))
    assert found.verdict == "unknown"
    assert any("takes away states that the unit reaches" in why for why in found.why_unknown)


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


def long(tmp_path: Path, change: str, **lines: str) -> Verified:
    """30 switches in line pull in K, whose contact lights LP; L2 on the line. lines: more of the unit."""
    switches = [f"S{k}" for k in range(30)]
    devices = "\n".join(f"  {s}: {{type: changeover-switch}}" for s in switches if s not in lines)
    devices += "".join(f"\n  {name}: {line}" for name, line in lines.items() if name != "more")
    unit = LONG.replace("SWITCHES", devices).replace("LINE", ", ".join(f"{s}.C-NO" for s in switches[:29]))
    files = {"unit.yaml": unit + lines.get("more", ""), "change.yaml": change}
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return verify(load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml"))


LONG = """
unit: {name: Long}
supplies: {M: {kind: single-phase, volts: 24}}
devices:
SWITCHES
  K: {type: relay-no, coil: {volts: 24, va: 5, inrush: 20, pick_up: 85, drop_out: 50}}
  LP: {type: lamp, volts: 24, watts: 5}
  L2: {type: lamp, volts: 24, watts: 5}
rungs:
  - {id: C1, path: [M.L, LINE, K.coil, M.N]}
  - {id: C2, path: [M.L, K.C-NO, LP, M.N]}
  - {id: C3, path: [M.L, S29.C]}
  - {id: C4, path: [M.L, L2, M.N]}
"""
# L2 through the back throw of S29: off where S29 is moved, at rest nothing differs.
FAR = "change: {name: far}\nsteps: [{lift: {wire: C4.1, end: M.L}}, {land: {wire: C4.1, on: S29.NC}}]\n"


def test_a_relay_that_is_fed_otherwise_is_not_proved(tmp_path: Path) -> None:
    # LP is what K is, before and after, but S5 does not hold K out any more.
    found = long(tmp_path, "change: {name: bridged}\nsteps: [run: {id: X1, from: S5.C, to: S5.NO}]\n")
    assert found.verdict != "pass"
    assert any(f.verdict == "unknown" and "whether K.coil pulls in" in f.says for f in found.findings)


def test_a_difference_away_from_ordinary_operation(tmp_path: Path) -> None:
    found = long(tmp_path, FAR)
    fail = next(f for f in found.findings if f.verdict == "fail")
    assert (fail.check, fail.subject) == ("keeps", "L2")
    assert fail.witness is not None
    assert fail.witness.inputs["S29"] == "moved"


def test_a_difference_that_cannot_be(tmp_path: Path) -> None:
    found = long(tmp_path, FAR, more="impossible: [not S29 rest]\n")
    assert {f.verdict for f in found.findings if f.check == "keeps"} == {"pass"}


def test_what_is_held_need_not_be_held(tmp_path: Path) -> None:
    found = long(tmp_path, FAR, more="given: {S7: moved}\n")
    says = next(f.says for f in found.findings if f.check == "states")
    assert "S6, S8" in says


def test_a_new_protection_is_not_passed_unseen(tmp_path: Path) -> None:
    # P lies beside the conductor to L2 and keeps nothing off; S3 is a protection of the unit.
    change = """
change: {name: bridged}
devices: {P: {type: switch, trips: open}}
steps: [across: {device: P, terminals: [M.L, L2.1]}]
"""
    found = long(tmp_path, change, S31="{type: switch, trips: open}")
    told = {f.subject: f.verdict for f in found.findings if f.check == "protections"}
    assert found.verdict != "pass"
    assert told["P"] == "unknown"
    assert set(told) <= {"P", "S31"}


def test_a_relay_that_opens_its_own_feed_may_find_no_rest(tmp_path: Path) -> None:
    (tmp_path / "unit.yaml").write_text(BUZZER, encoding="utf-8")
    circuit = load_circuit(tmp_path / "unit.yaml")
    assert Equality(Plain(circuit), Plain(circuit), World(circuit, circuit)).restless()


BUZZER = """
unit: {name: buzzer}
supplies: {M: {kind: single-phase, volts: 24}}
devices:
  S: {type: switch}
  K: {type: relay-nc, coil: {volts: 24, va: 5, inrush: 20, pick_up: 85, drop_out: 50}}
rungs: [{id: C1, path: [M.L, S, K.C-NC, K.coil, M.N]}]
"""


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
