"""How loads look, and when a mistake shows in that for certain."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Motor
from wirecheck.engine.answers import BACKWARD, CHATTERS, IN, OFF, ON, OUT, OVER, RUNS, SHORT, STALLS, WEAK

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Words
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.questions.mistakes.scene import Probe, Scene

# What the eye and ear make of each word. A heater, lamp or valve at too few volts may look on or off, at
# too many it looks on; a motor at too few or too many turns or hums. Where two words can look alike they do
# not tell a mistake. Common practice, no source.
LOAD_LOOKS = {OFF: {"off"}, ON: {"on"}, OVER: {"on"}, WEAK: {"on", "off"}, RUNS: {"on"}}
MOTOR_LOOKS = {
    OFF: {"off"},
    RUNS: {"runs"},
    STALLS: {"hums"},
    BACKWARD: {"runs backward"},
    OVER: {"runs", "hums"},
    WEAK: {"runs", "hums"},
}
SAME_FOR_ALL = {SHORT: {"dead (breaker or fuse opens)"}, CHATTERS: {"chatters"}, IN: {"in"}, OUT: {"out"}}
PLURAL = {"runs": "run", "hums": "hum", "runs backward": "run backward", "chatters": "chatter"}
ANY = frozenset({"?"})

Look = dict[str, frozenset[str]]  # load -> how it may look


def looks(circuit: Circuit, words: Words, turning: frozenset[str] = frozenset()) -> Look:
    """How every load looks, and every relay that works something outside the file.

    turning: motors that may turn already. Such a one may turn on where from standstill it would only hum.
    """
    found = {}
    for name, load in circuit.loads.items():
        table = (MOTOR_LOOKS if isinstance(load, Motor) else LOAD_LOOKS) | SAME_FOR_ALL
        found[name] = frozenset(table.get(words.loads[name], ANY))
        if name in turning and words.loads[name] in (STALLS, BACKWARD):
            found[name] |= {"runs"}
    for relay in circuit.relays.values():
        if relay.external:
            found[relay.name] = frozenset(SAME_FOR_ALL.get(words.relays[relay.name], ANY))
    return found


def may_turn(scene: Scene, plain: Plain, probe: Probe) -> frozenset[str]:
    """The motors that may have run before the last act of a probe."""
    if len(probe) < 2:
        return frozenset()
    words = [plain.words(*end) for end in scene.ends(plain, probe[:-1])]
    motors = (n for n, load in plain.circuit.loads.items() if isinstance(load, Motor))
    return frozenset(n for n in motors if any(w.loads[n] not in (OFF, STALLS) for w in words))


def expected(scene: Scene, probe: Probe) -> Look | None:
    """How the right unit looks on a probe; None where it may look more than one way."""
    found = [looks(scene.right.circuit, scene.right.words(*end)) for end in scene.ends(scene.right, probe)]
    first = found[0]
    sure = all(f == first for f in found) and all(len(x) == 1 and x != ANY for x in first.values())
    return first if sure else None


def seen(scene: Scene, plain: Plain, probe: Probe, right: Look) -> str:
    """What a mistaken unit looks like where every outcome of it differs from the right look; else ""."""
    texts: dict[str, None] = {}
    turning = may_turn(scene, plain, probe)
    for end in scene.ends(plain, probe):
        found = looks(plain.circuit, plain.words(*end), turning)
        other = [n for n, x in found.items() if not x & right[n] and x != ANY]
        if not other:
            return ""
        texts[alike({n: found[n] for n in other})] = None
    return "; or ".join(sorted(texts))


def alike(look: Look) -> str:
    """Loads that look alike in one: COMP and FAN off, HTR on."""
    groups: dict[frozenset[str], list[str]] = {}
    for name, how in look.items():
        groups.setdefault(how, []).append(name)
    return ", ".join(f"{' and '.join(names)} {_how(how, len(names) > 1)}" for how, names in groups.items())


def _how(how: frozenset[str], several: bool) -> str:
    return " or ".join(PLURAL.get(h, h) if several else h for h in sorted(how))
