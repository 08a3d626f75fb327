"""What a meter shows, and when a mistake shows in that for certain."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.circuit.elements import Winding
from wirecheck.engine.figures import SLACK
from wirecheck.questions.lookalikes import apart as ohms_apart
from wirecheck.questions.meter import of_outcomes
from wirecheck.questions.ohms import of_view

if TYPE_CHECKING:
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.solver import View
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.mistakes.scene import Probe, Scene
    from wirecheck.questions.ohms import Ohms

# A meter tells two volt readings apart where they differ by this share of the greater and by this many volts.
# Project rule.
APART_SHARE, APART_VOLTS = 0.2, 5.0


def readings(scene: Scene, plain: Plain, probe: Probe, a: str, b: str) -> list[Reading]:
    """What a voltmeter between two terminals may read on a probe."""
    found = []
    for bits, outcome in scene.ends(plain, probe):
        reading = of_outcomes(plain, bits, (outcome,), a, b)
        sure = reading.reads != "value" or all(certain(view, a, b) for view in plain.views(bits, outcome))
        found.append(reading if sure else replace(reading, reads="unknown"))
    return found


def certain(view: View, a: str, b: str) -> bool:
    """Are two terminals one node, or is neither at volts that a turning motor makes?"""
    node, of = view.network.node, view.plain.nets.of
    return node[of[a]] == node[of[b]] or (held(view, a) and held(view, b))


def held(view: View, terminal: str) -> bool:
    """Is a terminal's potential free of a motor's current? A turning motor makes volts of its own there."""
    node = view.network.node[view.plain.nets.of[terminal]]
    if node in view.network.fixed:
        return True
    part = next((p for p in view.network.parts if node in p.nodes), None)
    turning = [b[0] for b in part.part.branches if isinstance(view.impedances[b[0]], Winding)] if part else []
    return all(abs(view.amps(i, view.plain.scenario)) < SLACK for i in turning)


def expected_volts(scene: Scene, probe: Probe, a: str, b: str) -> float | None:
    """The volts of the right unit, 0 where it floats; None where they are not one value for certain."""
    found = readings(scene, scene.right, probe, a, b)
    volts = {round(r.volts or 0.0, 1) for r in found if r.reads in ("value", "floating")}
    return volts.pop() if len(volts) == 1 and all(r.reads in ("value", "floating") for r in found) else None


def volts_seen(scene: Scene, plain: Plain, probe: Probe, a: str, b: str, right: float) -> str:
    """What a voltmeter shows of a mistaken unit where every outcome of it differs from `right`; else ""."""
    if a not in plain.nets.of or b not in plain.nets.of:
        return ""
    found = readings(scene, plain, probe, a, b)
    sure = all(apart(r, right) for r in found)
    return "; or ".join(dict.fromkeys(shown(r) for r in found)) if sure else ""


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
    comes_and_goes = "a reading that comes and goes: a relay chatters"
    return {"floating": "0 V, floating", "short": "nothing: breaker or fuse opens"}.get(
        found.reads, comes_and_goes
    )


def ohms_read(scene: Scene, plain: Plain, probe: Probe, a: str, b: str) -> list[Ohms]:
    """What an ohmmeter may read with the supplies away, the switches as at the end of a probe."""
    places = scene.bits(plain.circuit, probe[-1].setting)
    return [of_view(plain.look(bits, *plain.cold()), a, b) for bits in places]


def expected_ohms(scene: Scene, probe: Probe, a: str, b: str) -> Ohms | None:
    """The ohms of the right unit; None where they are not known."""
    found = ohms_read(scene, scene.right, probe, a, b)
    return found[0] if all(f.reads in ("value", "open") for f in found) else None


def ohms_seen(scene: Scene, plain: Plain, probe: Probe, a: str, b: str, right: float | None) -> str:
    """What an ohmmeter shows of a mistaken unit where it differs from `right` for certain. None: open."""
    if a not in plain.nets.of or b not in plain.nets.of:
        return ""
    found = ohms_read(scene, plain, probe, a, b)
    sure = all(f.reads in ("value", "open") and ohms_apart(f.ohms, right) for f in found)
    return (
        "; or ".join(dict.fromkeys("open" if f.ohms is None else f"{f.ohms:.3g} Ω" for f in found))
        if sure
        else ""
    )
