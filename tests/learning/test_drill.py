"""The drill: questions judged by the engine, held against the plain evaluator; plain words, their order."""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from tests.learning.walked import EXAMPLES, paths
from wirecheck import api
from wirecheck.circuit.elements import Conductor
from wirecheck.engine.answers import WORKING
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.questions.drill import asked, plainly
from wirecheck.questions.drill.dead import Dead, put_other_way, volts_of
from wirecheck.questions.drill.fault import Hunt, measurement
from wirecheck.questions.drill.kinds import KINDS, make
from wirecheck.questions.drill.notebook import KNOWN, SOON, Notebook, as_json, from_json
from wirecheck.questions.drill.session import Session, sheet
from wirecheck.questions.lift import opened, without
from wirecheck.questions.meter import Reading, meter
from wirecheck.report.drilling import page, words
from wirecheck.report.drilling.volts import read
from wirecheck.report.readings import picture, sentences
from wirecheck.report.readings.rungs import Ladder

if TYPE_CHECKING:
    from wirecheck.questions.drill.ground import Ground

PLAYHOUSE = paths("tidewater-playhouse", "change.yaml")
FURNACE = "wirecheck/library/units/gas-furnace/unit.yaml"
PER_KIND = 4


# A bar in one pole, a latch, three phases, contactors that lock each other out.
TRIED = (
    ("tidewater-playhouse", None),
    ("lockout", "change.yaml"),
    ("greenhouse-fan", None),
    ("two-pumps", "change.yaml"),
)


@pytest.fixture(scope="module", params=TRIED, ids=[n for n, _ in TRIED])
def ground(request: pytest.FixtureRequest) -> Ground:
    return api.ground(*paths(*request.param))


@cache
def made(folder: Ground, key: str) -> object:
    return make(folder, key)


def questions(ground: Ground, kind: str) -> list:
    count = 1 if kind == "fault" else PER_KIND
    return [q for number in range(count) if (q := made(ground, f"{kind}-{number}")) is not None]


def fresh(ground: Ground, circuit, q) -> str | None:
    """The word of the load from power-up, by a new plain evaluator; None where it remembers or races."""
    if ground.pair.source.remembers:
        return None
    plain, inputs, was = Plain(circuit), ground.inputs(q.case), Plain(ground.circuit)
    ends = plain.settle(inputs, plain.cold())
    if len({*ends}) > 1 or len(was.settle(inputs, was.cold())) > 1:  # a race: the order decides
        return None
    return plain.words(inputs, ends[0]).loads[q.load]


def test_every_kind_is_made(ground: Ground) -> None:
    made_of = {kind for kind in KINDS if questions(ground, kind)}
    assert made_of >= {"trace", "runs", "starts", "meter", "dead", "opens", "jumper", "lift", "fault"}
    assert ("change" in made_of) == (ground.changed is not None)


def test_words_of_loads_are_those_of_the_plain_evaluator(ground: Ground) -> None:
    for q in questions(ground, "runs"):
        assert fresh(ground, ground.circuit, q) in (None, q.case.after.loads[q.load])
    for q in questions(ground, "opens"):
        assert fresh(ground, without(ground.circuit, q.wire), q) in (None, q.word)
    for q in questions(ground, "jumper"):
        wire = Conductor("jumper", *q.points)
        jumped = replace(ground.circuit, conductors={**ground.circuit.conductors, "jumper": wire})
        assert fresh(ground, jumped, q) in (None, q.word)


def test_meter_reads_as_the_command_does(ground: Ground) -> None:
    for q in questions(ground, "meter"):
        if ground.pair.source.remembers:
            continue
        world = ground.pair.world
        held = dict(zip((v.name for v in world.variables), q.case.setting.bits, strict=True))
        read = meter(ground.circuit, *q.points, held)
        assert (read.reads, round(read.volts or 0, 3)) == (q.reading.reads, round(q.reading.volts or 0, 3))
        assert q.judge(ground, f"{read.volts or 0:.0f}").right
        assert not q.judge(ground, f"{(read.volts or 0) + 30:.0f} V").right


def test_what_makes_it_dead_is_what_a_meter_to_earth_shows(ground: Ground) -> None:
    """Each switch in turn, put the other way at a fresh power-up."""
    world = ground.pair.world
    for q in questions(ground, "dead"):
        assert q.judge(ground, ", ".join(q.answers).lower() or "none").right
        assert not q.judge(ground, " ".join({*dict(q.turned)} - {*q.answers}) or "none").right
        if ground.pair.source.remembers:
            continue
        stands = dict(zip((v.name for v in world.variables), q.case.setting.bits, strict=True))
        for name, turned in q.turned:
            read = meter(ground.circuit, q.at, "MAINS.PE", stands | {name: not stands[name]})
            volts = read.volts if read.reads == "value" else 0
            assert volts == pytest.approx(turned.volts, abs=0.1), name
            assert (volts <= 10) == (name in q.answers)


def test_dead_is_asked_only_where_it_is_certain() -> None:
    """By hand. The furnace's blower relay holds for 90 s after its call: TH.heat is late to kill its line.

    With the blower running, its auxiliary is at what windings and capacitor make of 120 V: not asked.
    """
    ground = api.ground(str(EXAMPLES.parent / FURNACE), None)
    world = ground.pair.world
    burns = {"TH.heat closed", "PRS closed"}
    stands = ({f"{v.name} {v.word(b)}" for v, b in zip(world.variables, c.setting.bits, strict=True)
               if b != v.normal} for c in ground.cases)  # fmt: skip
    case = next(c for c, at in zip(ground.cases, stands, strict=True) if at == burns)
    turned = {
        n: put_other_way(ground, case, world.index[n], "BLW.common") for n in ("SW", "TH.heat", "TH.fan")
    }
    assert turned["TH.heat"] is None
    assert (turned["SW"].volts, turned["TH.fan"].volts) == (0, 120)
    assert volts_of(ground.view(case), "BLW.aux") is None
    assert volts_of(ground.view(case), "BLW.common") == 120
    free = [v.name for v in world.variables]
    asked_of = [q for n in range(12) if (q := make(ground, f"dead-{n}")) is not None]
    assert asked_of
    assert all([name for name, _ in q.turned] == free for q in asked_of)


def test_lift_counts_every_clean_conductor(ground: Ground) -> None:
    for q in questions(ground, "lift")[:1]:
        wires = list(ground.circuit.conductors.values())
        for wire in {w.id: w for w in (*wires[::9], *(w for w in wires if w.id in q.answers[:2]))}.values():
            row = opened(ground.circuit, q.load, wire, {}, plain=True)
            assert q.judge(ground, wire.id.lower()).right == row.clean


def test_starts_are_what_the_next_state_shows(ground: Ground) -> None:
    for q in questions(ground, "starts"):
        k = ground.pair.world.index[q.switch]
        assert q.case.setting.bits[k] != q.end.setting.bits[k]
        differs = {n for n in ground.circuit.loads if q.case.after.loads[n] != q.end.after.loads[n]}
        assert q.judge(ground, ", ".join(differs) or "none").right
        assert not q.judge(ground, " ".join({*ground.circuit.loads} - differs) or "none").right


def test_the_way_has_one_part_at_the_gap(ground: Ground) -> None:
    for q in questions(ground, "trace"):
        for answer in q.answers:
            part = ground.circuit.conductors.get(answer) or ground.circuit.elements.get(answer)
            assert part is None or {part.a, part.b} == set(q.at)
            assert q.judge(ground, answer).right
        far = next(w.id for w in ground.circuit.conductors.values() if {w.a, w.b} != set(q.at))
        assert not q.judge(ground, far).right


def test_what_the_change_does(ground: Ground) -> None:
    for q in questions(ground, "change"):
        plain, changed = Plain(ground.changed.after), ground.changed
        assert q.before in WORKING
        if not plain.circuit.delays and not ground.pair.source.remembers:
            stands = dict(s.rsplit(" ", 1) for s in q.stands)
            inputs = ground.changed.after.inputs
            bits = tuple(stands.get(n, i.word(i.normal)) == i.words[1] for n, i in inputs.items())
            assert q.word in {plain.words(bits, e).loads[q.load] for e in plain.settle(bits, plain.cold())}
            assert changed.after.loads.keys() & {q.load}


def test_a_fault_is_found_by_the_tests_told(ground: Ground) -> None:
    for q in questions(ground, "fault"):
        assert isinstance(q, Hunt)
        assert q.tests
        fits = {f.id for f in ground.bench.faults if ground.bench.fits(f, q.tests)}
        assert q.fault.id in fits
        assert q.judge(ground, q.answers[0]).right
        other = next(
            f for f in ground.bench.faults if not {f.part} & {*q.answers} and f.kind == "open conductor"
        )
        assert not q.judge(ground, other.part).right
        a, b = next(iter(ground.circuit.conductors.values())).a, next(iter(ground.circuit.poles))
        try:
            found = measurement(ground, q, f"{a} {b}")
        except plainly.NotUnderstood:
            continue
        assert found is not None
        assert ground.bench.fits(q.fault, [found])


def test_right_answers_are_right(ground: Ground) -> None:
    """Each question of a sheet: its answers count, and are corrected within 80 columns."""
    ladder = Ladder(ground.circuit)
    _ = ladder.lines
    for kind, q in sheet(ground, len(KINDS) + 2):
        given = (", ".join(words.answers(q)),) if isinstance(q, asked.Starts | Dead) else words.answers(q)
        for answer in given:
            assert q.judge(ground, answer).right, (kind, answer)
            lines = page.corrected(ground, ladder, q, answer, False, 80)
            assert max(len(line.text) for line in lines) <= 80
        assert max(len(line.text) for line in page.asked(ground, f"{kind}-0", q, 1, 80)) <= 80


def test_same_seed_same_questions() -> None:
    one, other = api.ground(*PLAYHOUSE), api.ground(*PLAYHOUSE)
    keys = [f"{kind}-{n}" for kind in KINDS for n in range(1 if kind == "fault" else 3)]
    told = [[words.question(g, q).text for k in keys if (q := make(g, k))] for g in (one, other)]
    assert told[0] == told[1]
    another = api.ground(*PLAYHOUSE, seed="2")
    others = [words.question(another, q).text for k in keys if (q := make(another, k))]
    assert told[0] != others


# --- plain words --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "meaning"),
    [("runs", "works"), ("It runs.", "works"), ("ON", "works"), ("off", "off"), ("it hums", "stalls"),
     ("stopped", "off"), ("blows the fuse", "short"), ("backwards", "backward")],
)  # fmt: skip
def test_words_are_understood(text: str, meaning: str) -> None:
    assert plainly.does(text) == meaning


@pytest.mark.parametrize("text", ["", "perhaps", "runs or off", "42"])
def test_what_is_no_answer_is_asked_again(text: str) -> None:
    with pytest.raises(plainly.NotUnderstood):
        plainly.does(text)


def test_names_are_understood_whatever_their_case() -> None:
    loads = ["COMP", "FAN", "HTR"]
    assert plainly.several("comp and fan", loads, "load") == {"COMP", "FAN"}
    assert plainly.several("none", loads, "load") == set()
    with pytest.raises(plainly.NotUnderstood, match="Meant COMP"):
        plainly.several("cmp", loads, "load")


# --- double, or start again ---------------------------------------------------------------------------


def test_right_doubles_and_wrong_starts_again() -> None:
    notebook = Notebook("unit").answered("runs-0", True)
    assert (notebook.cards["runs-0"].wait, notebook.cards["runs-0"].due) == (2 * SOON, 1 + 2 * SOON)
    notebook = notebook.answered("runs-0", True).answered("runs-0", False)
    assert (notebook.cards["runs-0"].wait, notebook.cards["runs-0"].due) == (SOON, 3 + SOON)
    for _ in range(6):
        notebook = notebook.answered("runs-0", True)
    assert notebook.cards["runs-0"].wait > KNOWN
    assert notebook.cards["runs-0"].known
    assert notebook.due() is None


def test_what_went_wrong_comes_back_after_two_others() -> None:
    session = Session(api.ground(*PLAYHOUSE), Notebook("unit"))
    asked_keys = []
    for _ in range(4):
        key = session.following()
        assert key is not None
        asked_keys.append(key)
        session.take(key, right=len(asked_keys) > 1)
    assert asked_keys[0] == "name-0"
    assert asked_keys[3] == "name-0"
    assert len({*asked_keys}) == 3


def test_it_grows_harder() -> None:
    session, kinds = Session(api.ground(*PLAYHOUSE), Notebook("unit")), []
    for _ in range(36):
        key = session.following()
        assert key is not None
        kinds.append(key.rpartition("-")[0])
        session.take(key, right=True)
    firsts = [k for n, k in enumerate(kinds) if k not in kinds[:n]]
    assert firsts == [k for k in KINDS if k in firsts]
    assert len(firsts) >= 6


def test_a_notebook_comes_back_as_it_was() -> None:
    notebook = Notebook("unit", "7").answered("runs-0", True).answered("lift-1", False)
    assert from_json(json.loads(json.dumps(as_json(notebook)))) == notebook


# --- the small picture --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(p.name for p in EXAMPLES.iterdir() if (p / "unit.yaml").exists()))
@pytest.mark.parametrize("width", [80])
def test_every_part_is_in_the_text_ladder_once(name: str, width: int) -> None:
    ladder = Ladder(api.unit_of(paths(name, None)[0]))
    drawn = [row for line in ladder.lines for row in picture.text(ladder, line, width)]
    signs = "".join(drawn)
    count = {s: signs.count(s) for s in ("|/|", ")|", "(M)", "(~)")}
    elements = [ladder.element(key) for key in ladder.wiring.edges]
    closed = [e for e in elements if getattr(e, "rests_closed", False)]
    assert count["|/|"] == len(closed)
    assert count["(M)"] == sum(type(e).__name__ == "Winding" for e in elements)
    assert count["(~)"] == sum(type(e).__name__ == "Transformer" for e in elements)
    assert count[")|"] >= sum(type(e).__name__ == "Capacitor" for e in elements)
    assert max(map(len, drawn)) <= max(width, 76)


def test_two_lines_of_a_ladder_as_text() -> None:
    ladder = Ladder(api.unit_of(paths("greenhouse-fan", None)[0]))
    line = next(x for x in ladder.lines if "K1" in x.relays)
    assert picture.text(ladder, line, 80) == [
        "         TS      OL1      K1",
        "X1.R -+-| |--+---|/|-----( )--- X1.C",
        "      | 1  2 |  95  96  A1  A2",
        "      | HAND |",
        "      +-| |--+",
        "        1  2",
    ]


def test_asked_kinds_have_names() -> None:
    assert words.CALLED.keys() == KINDS.keys()
    assert asked.Judged(True, ("x",)).right


def test_a_state_is_told_so_that_there_is_no_other(ground: Ground) -> None:
    """Switches, delays and the relays told: no two reachable states of different relays read the same."""
    seen: dict[str, dict[str, str]] = {}
    for case in ground.cases:
        read = sentences.state(ground.pair, case, "", ground.told(case))
        assert seen.setdefault(read, case.after.relays) == case.after.relays


@pytest.mark.parametrize(
    ("volts", "to_earth", "says"),
    [
        (240.0, (120.0, 120.0), "The two are opposite"),  # the legs of a split-phase supply
        (208.0, (120.0, 120.0), ""),  # two legs of a wye, 120 degrees apart
        (0.0, (120.0, 120.0), "nothing is between them"),
        (120.0, (120.0, 0.0), ""),
        (24.0, (None, None), ""),
    ],
)
def test_why_a_meter_reads_a_sum(
    volts: float, to_earth: tuple[float | None, float | None], says: str
) -> None:
    reading = Reading("value", volts, to_earth=to_earth)
    told = read(asked.Meter(None, ("K1.L1", "K1.L2"), reading))  # type: ignore[arg-type]
    assert says in told
    assert told.count(". ") == bool(says)
