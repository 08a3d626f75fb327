"""Each sentence that `read` prints, held against every state of the plain evaluator."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from typing import TYPE_CHECKING

import pytest

from tests.cli.conftest import ROOT, wirecheck
from tests.learning.walked import UNITS, Walked, paths, walked
from wirecheck import api
from wirecheck.engine.answers import WORKING
from wirecheck.report.readings import page

if TYPE_CHECKING:
    from pathlib import Path

WIDE = 100_000  # no folding: a sentence is a line
NAMES = r"[\w.]+(?:, [\w.]+)*(?: and [\w.]+)?"
WHEN = re.compile(rf"^({NAMES}) (?:runs?|is on|are on) when (.*)\.$")
RELAY = re.compile(r"^([\w.]+) is in when (.*)\.$")
HISTORY = re.compile(
    r"^([\w.]+) (runs|is on|is in) only when (.*); even then it depends on what went before\.$"
)
WITHOUT = re.compile(rf"^With ([\w.]+) out, ({NAMES}) never (?:runs?|works?)\.$")
KEEPS = re.compile(rf"^([\w.]+) (\w+) keeps ({NAMES}) off\.$")
ALWAYS = re.compile(r"^([\w.]+) (?:is )?(always|never) (?:runs|on|in)\.$")
MOVES = re.compile(
    r"^([\w.]+) (opens|closes|moves|goes back to rest), with (.*?): (.*?)\.( Moving it back.*)?$"
)
LIVE = re.compile(r"^([\w.]+) off is not dead: with (.*), to earth (.*?)\.(?: It comes from ([\w.]+) .*)?$")
THROUGH = re.compile(r"^The current of ([\w.]+) goes on through (.*): with (.*), [\w.]+ (?:runs|is on) while")
LATCH = re.compile(
    r"^([\w.]+) remembers(?:, and with it (.*?))?\. With (.*), it is in after: (.*)\. It is out"
)


def names(text: str) -> list[str]:
    return re.split(r", | and ", text)


@cache
def lines(name: str, change: str | None) -> list[str]:
    found = page.page(api.read(*paths(name, change)), WIDE)
    return [re.sub(r"^\s*(- )?", "", line.text) for line in found]


def works(unit: Walked, state: object, load: str) -> bool:
    return state.words.loads[load] in WORKING  # type: ignore[attr-defined]


@pytest.mark.parametrize(("name", "change"), UNITS)
def test_when_loads_and_relays_work(name: str, change: str | None) -> None:
    unit, told = walked(name, change), set()
    for line in lines(name, change):
        if found := WHEN.match(line):
            for load in names(found[1]):
                told.add(load)
                assert all(works(unit, s, load) == unit.holds(found[2], s) for s in unit.states), line
        elif found := RELAY.match(line):
            told.add(found[1])
            assert all((s.words.relays[found[1]] == "in") == unit.holds(found[2], s) for s in unit.states), (
                line
            )
        elif found := HISTORY.match(line):
            told.add(found[1])
            check_history(unit, found[1], found[3])
        elif found := ALWAYS.match(line):
            told.add(found[1])
            stands = {
                s.words.loads.get(found[1]) in WORKING or s.words.relays.get(found[1]) == "in"
                for s in unit.states
            }
            assert stands == {found[2] == "always"}
    assert told >= {*unit.circuit.loads, *unit.circuit.relays}


def check_history(unit: Walked, thing: str, condition: str) -> None:
    """It works only where the condition holds, and there are equal inputs with which it does and does not."""
    by_inputs: dict[object, set[bool]] = {}
    for s in unit.states:
        on = s.words.loads.get(thing) in WORKING or s.words.relays.get(thing) == "in"
        assert not on or unit.holds(condition, s)
        by_inputs.setdefault(s.setting.bits, set()).add(on)
    assert {True, False} in by_inputs.values()


@pytest.mark.parametrize(("name", "change"), UNITS)
def test_what_relays_and_protections_keep_off(name: str, change: str | None) -> None:
    unit = walked(name, change)
    for line in lines(name, change):
        if found := WITHOUT.match(line):
            out = [s for s in unit.states if s.words.relays[found[1]] == "out"]
            assert out
            assert not any(works(unit, s, load) for s in out for load in names(found[2])), line
            assert all(any(works(unit, s, load) for s in unit.states) for load in names(found[2]))
        elif found := KEEPS.match(line):
            tripped = [s for s in unit.states if unit.holds(f"{found[1]} {found[2]}", s)]
            assert tripped
            assert not any(works(unit, s, load) for s in tripped for load in names(found[3])), line


@pytest.mark.parametrize(("name", "change"), UNITS)
def test_what_each_switch_does(name: str, change: str | None) -> None:
    """Some move from the state that is told changes exactly the words that are told."""
    unit, count = walked(name, change), 0
    for line in lines(name, change):
        found = MOVES.match(line)
        if found is None:
            continue
        count += 1
        switch, changes = found[1], Counter(found[4].split("; "))
        ends = [
            changed(unit, s, to, switch)
            for s in unit.states
            if stands_but(unit, s, switch).items() >= stands_of(found[3]).items()
            and stands_of(found[3]).items()
            >= {(n, w) for n, w in stands_but(unit, s, switch).items() if n not in unit.circuit.relays}
            for _, to in unit.explorer.successors(s.joint)
        ]
        assert changes in [e for e in ends if e is not None], line
    assert count


def stands_of(said: str) -> dict[str, str]:
    return dict(p.rsplit(" ", 1) for p in said.replace(" and ", ", ").split(", ") if " usual" not in p)


def stands_but(unit: Walked, s: object, switch: str) -> dict[str, str]:
    places = zip(unit.world.variables, s.setting.bits, strict=True)  # type: ignore[attr-defined]
    away = {v.name: v.word(b) for v, b in places if b != v.normal and v.name != switch}
    delays = {d: "moved" for d, at in s.words.delays.items() if at}  # type: ignore[attr-defined]
    return away | delays | s.words.relays  # type: ignore[attr-defined]


def changed(unit: Walked, s: object, to: object, switch: str) -> Counter[str] | None:
    """The words of a move that turns one switch alone, as the page says them."""
    bits = zip(unit.world.variables, s.setting.bits, to.setting.bits, strict=True)  # type: ignore[attr-defined]
    if [v.name for v, a, b in bits if a != b] != [switch]:
        return None
    old, new = s.words, unit.words(to)  # type: ignore[attr-defined,arg-type]
    groups: dict[str, list[str]] = {}
    for n, w in old.relays.items():
        if w != new.relays[n]:
            groups.setdefault(
                {"in": "pulls in", "out": "drops out"}.get(new.relays[n], "chatters"), []
            ).append(n)
    for n in unit.circuit.loads:
        a, b = old.loads[n], new.loads[n]
        if a == "off" and b in WORKING:
            groups.setdefault("starts", []).append(n)
        elif a in WORKING and b == "off":
            groups.setdefault("stops", []).append(n)
        elif a != b:
            groups.setdefault(f"goes from {a} to {b}", []).append(n)
    return Counter(sentence(verb, them) for verb, them in groups.items())


def sentence(verb: str, them: list[str]) -> str:
    *most, last = them
    if most:
        verb = verb.replace("pulls", "pull").replace("drops", "drop").removesuffix("s")
    return f"{', '.join(most)} and {last} {verb}" if most else f"{last} {verb}"


@pytest.mark.parametrize(("name", "change"), UNITS)
def test_what_is_unusual(name: str, change: str | None) -> None:
    unit = walked(name, change)
    for line in lines(name, change):
        if found := LIVE.match(line):
            check_live(unit, *found.groups())
        elif found := THROUGH.match(line):
            states = [s for s in unit.standing(found[3]) if works(unit, s, found[1])]
            assert states, line
        elif found := LATCH.match(line):
            words = {s.words.relays[found[1]] for s in unit.standing(found[3])}
            assert words == {"in", "out"}, line


def check_live(unit: Walked, load: str, state: str, hot: str, pole: str | None) -> None:
    states = [s for s in unit.standing(state) if s.words.loads[load] == "off"]
    assert states
    view = unit.plain.views(unit.world.inputs(True, states[0].setting), states[0].joint.after)[0]
    for group in hot.split("; "):
        terminals, _, volts = group.rpartition(" at ")
        for terminal in names(terminals):
            potential = view.potential(terminal)
            assert potential.ref == ""
            assert abs(abs(potential.volts) - float(volts.removesuffix(" V"))) < 0.6
    assert pole is None or unit.circuit.poles[pole].phasor != 0


def test_the_unusual_is_found_where_it_is_known() -> None:
    """crankcase-heater: heat through a winding; lockout: the latch; playhouse: the bar of K1."""
    assert any(THROUGH.match(line) and "COMP" in line for line in lines("crankcase-heater", None))
    latches = [found[1] for line in lines("lockout", "change.yaml") if (found := LATCH.match(line))]
    assert latches == ["K1", "LR"]
    live = [line for line in lines("tidewater-playhouse", None) if LIVE.match(line)]
    assert any("COMP.C" in line and "K1 (L2 to T2, a bar that never opens)" in line for line in live)
    assert not any(LIVE.match(line) for line in lines("lockout", "change.yaml"))  # two poles, both opened


def test_a_relay_that_only_goes_along_is_not_needed() -> None:
    """smoke-shutdown: KB pulls in with KH, but the heater does not hang on it."""
    answer = api.read(*paths("smoke-shutdown", None))
    assert answer.loads["HTR"].needs == ("KH",)
    assert answer.loads["BLW"].needs == ()


@pytest.mark.parametrize(("name", "change"), UNITS)
def test_eighty_columns(name: str, change: str | None) -> None:
    answer = api.read(*paths(name, change))
    assert max(len(line.text) for line in page.page(answer, 80)) <= 80
    for load in answer.loads:
        assert max(len(line.text) for line in page.load_page(api.read(*paths(name, change), load), 80)) <= 80


def test_a_lockout_s_protections_are_told() -> None:
    # Put back after a trip HP does not start the compressor: the lockout holds it off.
    folder = ROOT / "examples/lockout"
    done = wirecheck("read", folder / "unit.yaml", folder / "change.yaml")
    assert "HP open keeps COMP and FAN off." in done.out


LINES = re.compile(r"^\s*[Ll]ines? (\d+)(?: to (\d+))?:")
REFERS = re.compile(r"\(line (\d+)\)")


@pytest.mark.parametrize("name", ["off-delay-fan", "smoke-shutdown", "crankcase-heater"])
def test_every_line_that_is_named_is_shown(name: str) -> None:
    unit, change = paths(name, None)
    pages = [page.page(api.read(unit, change), WIDE)]
    pages += [page.load_page(api.read(unit, change, n), WIDE) for n in api.read(unit, change).loads]
    for shown in pages:
        rows = [line.text for line in shown]
        spans = [(int(m[1]), int(m[2] or m[1])) for row in rows if (m := LINES.match(row))]
        named = {int(n) for row in rows for n in REFERS.findall(row)}
        assert {n for n in named if not any(a <= n <= b for a, b in spans)} == set()


def test_of_loads_side_by_side_the_greater_current_stands_first(tmp_path: Path) -> None:
    """40 W through 2400, 600 and 5 W, all of 120 V: by Ohm's law 80, 20 and 0.2 % of the current."""
    unit = tmp_path / "unit.yaml"
    lamps = "\n".join(f"  L{w}: {{type: lamp, volts: 120, watts: {w}}}" for w in (600, 2400, 5))
    ways = "\n".join(f"  - {{id: R{w}, path: [HTR.2, L{w}, MAINS.N]}}" for w in (600, 2400, 5))
    unit.write_text(
        "unit: {name: U}\nsupplies: {MAINS: {kind: single-phase, volts: 120}}\ndevices:\n"
        f"  HTR: {{type: heater, volts: 120, watts: 40}}\n{lamps}\nrungs:\n"
        f"  - {{id: A, path: [MAINS.L, HTR.1]}}\n{ways}\n",
        encoding="utf-8",
    )
    assert "The current of HTR goes on through L2400 and L600:" in wirecheck("read", unit, "HTR").out.replace(
        "\n   ", ""
    )


BRIDGED = re.compile(
    r"^([\w.]+) is bridged: (.*) past ([\w.]+) to ([\w.]+), so that its position there does nothing\.$"
)
BYPASSED = """\
unit: {name: two in line}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  S: {type: switch}
  LIM: {type: switch, rests: closed, trips: open}
  TS: {type: terminal-strip, terminals: 1}
  LA: {type: lamp, volts: 120, watts: 60}
rungs:
  - {id: A, path: [MAINS.L, S, LIM, LA, MAINS.N]}
"""


@pytest.mark.parametrize(
    ("wires", "told"),
    [
        ("", []),
        ("  - {id: J1, from: LIM.1, to: LIM.2}\n", [("LIM", "J1", "LIM.1", "LIM.2")]),
        (
            "  - {id: J1, from: LIM.1, to: TS.1}\n  - {id: J2, from: TS.1, to: LIM.2}\n",
            [("LIM", "J1 and J2", "LIM.1", "LIM.2")],
        ),
        # From LIM to the far end of LA: a short with S closed, and no bridge.
        ("  - {id: J1, from: LIM.1, to: LA.2}\n", []),
    ],
)
def test_what_is_bridged_is_told(tmp_path: Path, wires: str, told: list[tuple[str, ...]]) -> None:
    """A contact whose ends conductors join is told, with those conductors; nothing else is."""
    unit = tmp_path / "unit.yaml"
    unit.write_text(BYPASSED + (f"wires:\n{wires}" if wires else ""), encoding="utf-8")
    found = [re.sub(r"^\s*(- )?", "", line.text) for line in page.page(api.read(str(unit)), WIDE)]
    assert [m.groups() for line in found if (m := BRIDGED.match(line))] == told
