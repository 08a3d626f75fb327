"""`read` in the terminal and as JSON: a unit circuit by circuit and rung by rung, or one load."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wirecheck.circuit.elements import Transformer
from wirecheck.engine.question import EVERYWHERE
from wirecheck.report.lines import LAST, Line, head, items, para, said, volts_text
from wirecheck.report.readings import picture, sentences
from wirecheck.report.readings.rungs import Ladder, is_feed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.read.unit import Load, Reading
    from wirecheck.report.readings.rungs import Line as Rung

NUMBERS = "Lines are numbered as in the picture that `wirecheck draw` makes. Everything at rest, no power."


def page(reading: Reading, width: int) -> list[Line]:
    """The whole unit."""
    ladder = Ladder(reading.circuit)
    lines = [
        *para(reading.circuit.name, width, "", "head"),
        *(para(reading.circuit.about, width) if reading.circuit.about else []),
        *para(NUMBERS, width),
        *para(picture.KEY, width),
        *listed("What it works", works(reading.circuit), width),
        *feeds(reading, ladder, width),
    ]
    for key, rungs in ladder.sections.items():
        there = [r for r in rungs if not is_feed(r) and not ladder.is_spare(r)]
        if there:
            lines += head(section_title(reading, key))
            for rung in there:
                lines += rung_lines(reading, ladder, rung, width)
    return [
        *lines,
        *listed("What each switch does, moved alone", map_moved(reading), width),
        *listed("What each protection keeps off", sentences.kept_off(reading), width),
        *listed("Unusual here", (sentences.odd(reading, o) for o in reading.odd), width),
        *listed("Leads nowhere", spare(ladder), width),
        Line(),
        *para(f"Each statement was asked of all {reading.states} states that the unit can reach.", width),
        *para(LAST, width),
    ]


def works(circuit: Circuit) -> Iterator[str]:
    """Each load, and what it is."""
    yield from (f"{n}: {_about(circuit, n)}" for n in circuit.loads)
    yield from (f"{n}: a relay that works something outside this file" for n in external(circuit))


def external(circuit: Circuit) -> list[str]:
    """The relays that work something outside the file."""
    return [r.name for r in circuit.relays.values() if r.external]


def listed(title: str, texts: Iterator[str], width: int) -> list[Line]:
    """A heading and a list, or nothing where there is nothing to list."""
    found = list(texts)
    return [*head(title), *items(found, width)] if found else []


def map_moved(reading: Reading) -> Iterator[str]:
    """What each switch does."""
    return (sentences.moved(reading, m) for m in reading.switches)


def spare(ladder: Ladder) -> Iterator[str]:
    """Contacts and parts wired on one side only, or not at all."""
    for line in ladder.lines:
        if ladder.is_spare(line):
            yield "; ".join(words for _, words in ladder.told(line.rung.tree))


# --- circuits -----------------------------------------------------------------------------------------


def feeds(reading: Reading, ladder: Ladder, width: int) -> list[Line]:
    """What lies between each pole and its rail."""
    lines = head("What feeds it")
    for rung in ladder.lines:
        if is_feed(rung):
            rail = next((r.key for r in ladder.wiring.rails.values() if keys_of(rung) & set(r.feed)), "")
            words = "; ".join(w for _, w in ladder.told(rung.rung.tree))
            lines += para(f"{rail} comes through {words}", width, f"  {rung.called}: ")
    for x in reading.circuit.elements.values():
        if isinstance(x, Transformer):
            lines += para(transformer(reading, x), width, "  ")
    return lines


def keys_of(rung: Rung) -> set[str]:
    """The edges of a rung."""
    from wirecheck.draw.tree import keys

    return set(keys(rung.rung.tree))


def between(reading: Reading, a: str, b: str) -> float | None:
    """Volts between two terminals in the first state in which there are any; None where there are none."""
    for case in reading.pair.distinct(EVERYWHERE):
        for view in reading.pair.views(case.joint):
            volts = abs(view.between(a, b, view.plain.scenario))
            if volts > 1 and view.short is None:
                return float(volts)
    return None


def transformer(reading: Reading, x: Transformer) -> str:
    """What a transformer makes of what, and whether its return is earthed."""
    a, b = x.secondary
    volts = between(reading, a, b)
    made = f"{x.device} makes {nominal(volts)}" if volts else f"{x.device} is never fed"
    case = next(reading.pair.where(EVERYWHERE))
    view = next(reading.pair.views(case.joint))
    earthed = [t for t in (a, b) if (p := view.network.fixed.get(node(view, t))) and abs(p.volts) < 1]
    at = f"; {earthed[0]} is at earth" if earthed else "; nothing earths it"
    return f"{made} between {a} and {b}{at}."


def nominal(volts: float) -> str:
    """Volts of a supply: without a digit after the point where there is none."""
    return f"{volts:.0f} V" if abs(volts - round(volts)) < 0.05 else volts_text(volts)


def node(view: Any, terminal: str) -> int:
    """The node of a terminal in one network."""
    return int(view.network.node[view.plain.nets.of[terminal]])


def section_title(reading: Reading, key: tuple[str, ...]) -> str:
    """Between which rails a circuit hangs, with its volts."""
    if len(key) < 2:
        return "Not between two rails"
    volts = between(reading, key[0], key[1])
    return f"Circuit {' to '.join(key)}" + (f", {nominal(volts)}" if volts else "")


def rung_lines(reading: Reading, ladder: Ladder, rung: Rung, width: int) -> list[Line]:
    """A rung: what it is for, its parts in order, when what it carries works."""
    lines = [Line(), *para(purpose(rung), width, f"  {rung.called.capitalize()}: ", "head")]
    lines += drawn(ladder, rung, width)
    lines += parts_of(ladder, rung, width)
    for text in rung_says(reading, rung):
        lines += para(text, width, "    ")
    return lines


def drawn(ladder: Ladder, rung: Rung, width: int) -> list[Line]:
    """A rung as a small picture."""
    return [Line(f"    {row}".rstrip()) for row in picture.text(ladder, rung, width - 4)]


def parts_of(ladder: Ladder, rung: Rung, width: int) -> Iterator[Line]:
    """The parts of a rung in order, those beside each other with a dash."""
    for depth, words in ladder.told(rung.rung.tree):
        mark = words[:2] if words.startswith(("- ", "  ")) else ""
        yield from para(words.removeprefix(mark), width, "      " + "  " * depth + mark)


def purpose(rung: Rung) -> str:
    """What a rung is for."""
    found = []
    if rung.loads:
        found.append(f"for {said(rung.loads)}")
    if rung.relays:
        found.append(f"the coil of {said(rung.relays)}")
    if rung.transformers:
        found.append(f"feeds {said(rung.transformers)}")
    if rung.sources:
        found.append(f"{said(rung.sources)}, the source of this circuit")
    return ", ".join(found) or "what joins the two"


def _about(circuit: Circuit, load: str) -> str:
    """What kind of thing a load is, as its type says."""
    device = circuit.devices[circuit.loads[load].device]
    words = device.about.partition(";")[0].strip() or device.type
    return words[0].lower() + words[1:]


def rung_says(reading: Reading, rung: Rung) -> Iterator[str]:
    """The sentences about what a rung carries."""
    yield from sentences.loads_when(reading.circuit, [reading.loads[n] for n in rung.loads])
    for n in rung.relays:
        yield sentences.relay_when(reading.relays[n])
        if text := sentences.without(reading.circuit, reading.relays[n]):
            yield text


# --- one load -----------------------------------------------------------------------------------------


def load_page(reading: Reading, width: int) -> list[Line]:
    """One load: when it works, its lines, the relays behind it, its current in one state."""
    (load,) = reading.loads.values()
    circuit, ladder = reading.circuit, Ladder(reading.circuit)
    lines = para(sentences.load_when(circuit, load), width, "", "head")
    lines += para(f"{load.name}: {_about(circuit, load.name)}.", width) if load.name in circuit.loads else []
    mine = ladder.behind(
        r for r in ladder.lines if load.name in r.loads or set(r.relays) & reading.relays.keys()
    )
    lines += head("Where it hangs, and what it needs") if mine else []
    for rung in mine:
        lines += bare_rung(ladder, rung, width)
    lines += listed("So", so(reading, load), width)
    lines += current(reading, load, width)
    lines += listed("Unusual here", (sentences.odd(reading, o) for o in reading.odd), width)
    return [*lines, Line(), *para(LAST, width)]


def bare_rung(ladder: Ladder, rung: Rung, width: int) -> Iterator[Line]:
    """A rung without its sentences."""
    yield from para(purpose(rung), width, f"  {rung.called.capitalize()}: ")
    yield from drawn(ladder, rung, width)
    yield from parts_of(ladder, rung, width)


def so(reading: Reading, load: Load) -> Iterator[str]:
    """What follows for the load."""
    for name in reading.relays:
        yield sentences.relay_when(reading.relays[name])
        if text := sentences.without(reading.circuit, reading.relays[name]):
            yield text
    yield from sentences.kept_off(reading)
    if load.words:
        yield f"In some state it {said(load.words, 'or')}: see below."


def current(reading: Reading, load: Load, width: int) -> list[Line]:
    """The way of the current in the working state nearest to ordinary operation."""
    if load.way is None:
        return []
    lines = head("Its current")
    lines += para(f"with {sentences.state(reading.pair, load.way.case)}, goes", width, "  ")
    for text in sentences.way_lines(reading.circuit, load.way.hops):
        lines += para(text, width, "    ")
    return lines


# --- JSON ---------------------------------------------------------------------------------------------


def as_json(reading: Reading) -> dict[str, Any]:
    """Lines with their parts, loads, relays, switches, and what is unusual, with the words of the page."""
    circuit, ladder = reading.circuit, Ladder(reading.circuit)
    return {
        "unit": circuit.name,
        "states": reading.states,
        "lines": [_rung(ladder, r) for r in ladder.lines],
        "loads": {n: _load(circuit, x) for n, x in reading.loads.items()},
        "relays": {
            n: {"when": r.when, "says": sentences.relay_when(r), "needed_by": list(r.loads)}
            for n, r in reading.relays.items()
        },
        "switches": [
            {"switch": m.switch, "goes": m.word, "restores": m.restores, "says": sentences.moved(reading, m)}
            for m in reading.switches
        ],
        "unusual": [
            {"kind": o.kind, "names": list(o.names), "says": sentences.odd(reading, o)} for o in reading.odd
        ],
    }


def _rung(ladder: Ladder, rung: Rung) -> dict[str, Any]:
    return {
        "line": rung.number,
        "between": list(rung.rung.section),
        "loads": list(rung.loads),
        "relays": list(rung.relays),
        "parts": [words.removeprefix("- ").strip() for _, words in ladder.told(rung.rung.tree)],
    }


def _load(circuit: Circuit, load: Load) -> dict[str, Any]:
    return {
        "when": load.when,
        "says": sentences.load_when(circuit, load),
        "needs": list(load.needs),
        "kept_off_by": [name for name, _ in load.kept_off],
        "route": list(load.way.hops) if load.way is not None else [],
    }
