"""What can be observed: how a load looks, what a meter shows; and when a mistake shows in it for certain."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Motor
from wirecheck.engine.answers import BACKWARD, CHATTERS, IN, OFF, ON, OUT, OVER, RUNS, SHORT, STALLS, WEAK
from wirecheck.questions.meter import of_outcomes

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Words
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.mistakes.scene import Probe, Scene

# What the eye and ear make of each word. A heater, lamp or valve at too few volts may look on or off, at too many
# it looks on; a motor at too few or too many turns or hums. Where two words can look alike they do not tell a
# mistake. Common practice, no source.
LOAD_LOOKS = {OFF: {"off"}, ON: {"on"}, OVER: {"on"}, WEAK: {"on", "off"}, RUNS: {"on"}}
MOTOR_LOOKS = {
    OFF: {"off"},
    RUNS: {"runs"},
    STALLS: {"hums"},
    BACKWARD: {"runs backward"},
    OVER: {"runs", "hums"},
    WEAK: {"runs", "hums"},
}
SAME_FOR_ALL = {SHORT: {"dead, breaker or fuse open"}, CHATTERS: {"chatters"}, IN: {"in"}, OUT: {"out"}}
ANY = frozenset({"?"})

# A meter tells two volt readings apart where they differ by this share of the greater and by this many volts.
# Project rule.
APART_SHARE, APART_VOLTS = 0.2, 5.0

Look = dict[str, frozenset[str]]  # load -> how it may look


def looks(circuit: Circuit, words: Words) -> Look:
    """How every load looks, and every relay that works something outside the file."""
    found = {}
    for name, load in circuit.loads.items():
        table = (MOTOR_LOOKS if isinstance(load, Motor) else LOAD_LOOKS) | SAME_FOR_ALL
        found[name] = frozenset(table.get(words.loads[name], ANY))
    for relay in circuit.relays.values():
        if relay.external:
            found[relay.name] = frozenset(SAME_FOR_ALL.get(words.relays[relay.name], ANY))
    return found


def expected(scene: Scene, probe: Probe) -> Look | None:
    """How the right unit looks on a probe; None where it may look more than one way."""
    found = [looks(scene.right.circuit, scene.right.words(*end)) for end in scene.ends(scene.right, probe)]
    first = found[0]
    sure = all(f == first for f in found) and all(len(x) == 1 and x != ANY for x in first.values())
    return first if sure else None


def seen(scene: Scene, plain: Plain, probe: Probe, right: Look) -> str:
    """What a mistaken unit looks like where every outcome of it differs from the right look; else ""."""
    texts: dict[str, None] = {}
    for end in sorted(scene.ends(plain, probe), key=str):
        found = looks(plain.circuit, plain.words(*end))
        other = [n for n, x in found.items() if not x & right[n] and x != ANY]
        if not other:
            return ""
        texts[", ".join(f"{n} {' or '.join(sorted(found[n]))}" for n in other)] = None
    return "; or ".join(texts)


def reading(scene: Scene, plain: Plain, probe: Probe, a: str, b: str) -> list[Reading]:
    """What a meter between two terminals may read on a probe."""
    ends = scene.ends(plain, probe)
    return [of_outcomes(plain, bits, (outcome,), a, b) for bits, outcome in ends]


def expected_volts(scene: Scene, probe: Probe, a: str, b: str) -> float | None:
    """The volts that the right unit shows for certain; None where it floats, or may show more than one value."""
    found = reading(scene, scene.right, probe, a, b)
    volts = {round(r.volts or 0.0, 1) for r in found if r.reads == "value"}
    return volts.pop() if len(volts) == 1 and all(r.reads == "value" for r in found) else None


def metered(scene: Scene, plain: Plain, probe: Probe, a: str, b: str, right: float) -> str:
    """What the meter shows of a mistaken unit where every outcome of it differs from `right`; else ""."""
    if a not in plain.nets.of or b not in plain.nets.of:
        return ""
    texts: dict[str, None] = {}
    for found in reading(scene, plain, probe, a, b):
        if not apart(found, right):
            return ""
        texts[shown(found)] = None
    return "; or ".join(texts)


def apart(found: Reading, right: float) -> bool:
    """Does this reading differ for certain from so many volts?"""
    match found.reads:
        case "value":
            gap = abs((found.volts or 0.0) - right)
            return gap >= APART_VOLTS and gap >= APART_SHARE * max(found.volts or 0.0, right)
        case "floating":  # 0 on a meter of low impedance
            return right >= APART_VOLTS
        case "short" | "chatters":
            return True
        case _:
            return False


def shown(found: Reading) -> str:
    """A reading in words."""
    if found.reads == "value":
        return f"{found.volts or 0.0:.0f} V"
    return {"floating": "0 V on a low-impedance meter: it floats", "short": "dead, breaker or fuse open"}.get(
        found.reads, "a reading that comes and goes: a relay chatters"
    )
