"""Random valid units and changes as plain data, as a person might write them, and their YAML.

A unit is drawn rung by rung: a source, up to three contacts, a load or coil, the way back; then, now
and then, a
conductor more between any two terminals, so that there are sneak paths, loads in series and shorts.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import yaml
from hypothesis import strategies as st

Data = dict[str, Any]
Draw = Any

SUPPLIES = [
    {"kind": "single-phase", "volts": 120},
    {"kind": "split-phase", "volts": 240},
    {"kind": "three-phase", "volts": 208},
]
POLES = {"single-phase": ["L", "N"], "split-phase": ["L1", "L2", "N"], "three-phase": ["L1", "L2", "L3", "N"]}
RELAYS: dict[str, list[tuple[str, str]]] = {
    "relay-no": [("C", "NO")],
    "relay-nc": [("C", "NC")],
    "relay-2-changeover": [("C", "NO"), ("C2", "NC2"), ("C2", "NO2")],
    "delay-on-relay": [("C", "NO"), ("C", "NC")],
    "delay-off-relay": [("C", "NO"), ("C", "NC")],
    "contactor-1p": [("L1", "T1")],
    "contactor-2p-aux": [("L1", "T1"), ("L2", "T2"), ("13", "14"), ("21", "22")],
}
ROWS = [  # set points of switches on one quantity, psig
    {"opens_above": 400, "closes_below": 300},
    {"closes_above": 350, "opens_below": 250},
    {"opens_above": 400, "closes_below": 300, "trips": "above"},
    {"opens_above": 380, "closes_below": 320, "resets": "hand"},
    {"opens_below": 50, "closes_above": 90, "trips": "below"},
]


@dataclass
class Plan:
    """A unit in the drawing: what it has, and the ways that a contact can take."""

    supplies: dict[str, Data] = field(default_factory=dict)
    devices: dict[str, Data] = field(default_factory=dict)
    wires: list[Data] = field(default_factory=list)
    ways: list[tuple[str, str, str]] = field(default_factory=list)  # device, terminal, terminal
    sources: list[tuple[str, str, int]] = field(default_factory=list)  # pole, return, volts
    loads: list[str] = field(default_factory=list)
    ends: list[str] = field(default_factory=list)  # every terminal with something on it

    def wire(self, a: str, b: str) -> None:
        if a != b:
            self.wires.append({"id": f"W{len(self.wires) + 1}", "from": a, "to": b})
            self.ends += [e for e in (a, b) if e not in self.ends]

    def chain(self, ways: list[tuple[str, str, str]], start: str) -> str:
        """Conductors from `start` through ways in line; the terminal where they end."""
        at = start
        for device, a, b in ways:
            self.wire(at, f"{device}.{a}")
            at = f"{device}.{b}"
        return at


@dataclass(frozen=True)
class Kind:
    """What units are to be like."""

    latches: bool = True  # coils hang on any contact; else only on switches and on relays before them
    motors: bool = True
    extra: int = 2  # how many conductors more, at most
    apart: bool = False  # no contact stands in two rungs, so no coil ever sees a part of its volts
    sources: bool = True  # a second supply, transformers that nothing earths


def units(kind: Kind = Kind()) -> st.SearchStrategy[Data]:
    return st.composite(_unit)(kind)


def _unit(draw: Draw, kind: Kind) -> Data:
    plan = Plan()
    _sources(draw, plan, kind)
    _switches(draw, plan)
    relays = draw(st.lists(st.sampled_from(sorted(RELAYS)), max_size=3))
    if kind.latches:
        for k, name in enumerate(relays):
            plan.ways += [(f"K{k}", a, b) for a, b in RELAYS[name]]
    for k, name in enumerate(relays):
        _relay(draw, plan, f"K{k}", name, kind)
    for k in range(draw(st.integers(1, 3))):
        _load(draw, plan, f"A{k}", kind)
    for _ in range(draw(st.integers(0, kind.extra))):
        plan.wire(draw(st.sampled_from(plan.ends)), draw(st.sampled_from(plan.ends)))
    return _said(draw, plan)


def _sources(draw: Draw, plan: Plan, kind: Kind) -> None:
    for k in range(draw(st.integers(1, 2 if kind.sources else 1))):
        said = dict(draw(st.sampled_from(SUPPLIES)))
        name = f"S{k}"
        if k and draw(st.booleans()) and said["kind"] == plan.supplies["S0"]["kind"]:
            said["same_source_as"] = "S0"
        plan.supplies[name] = said
        hot = [p for p in POLES[said["kind"]] if p != "N"]
        line = said["volts"] if len(hot) == 1 else said["volts"] // 2 if len(hot) == 2 else 120
        plan.sources.append((f"{name}.{hot[0]}", f"{name}.N", line))
        plan.ends += [f"{name}.{p}" for p in POLES[said["kind"]]]
        if len(hot) > 1:
            plan.sources.append((f"{name}.{hot[0]}", f"{name}.{hot[1]}", said["volts"]))
    for k in range(draw(st.integers(0, 2 if kind.sources else 1))):
        _transformer(draw, plan, f"X{k}")


def _transformer(draw: Draw, plan: Plan, tag: str) -> None:
    pole, back, volts = draw(st.sampled_from([s for s in plan.sources if s[2] > 24]))
    plan.devices[tag] = {"type": "transformer", "volts": [volts, 24], "va": 40}
    plan.wire(pole, f"{tag}.H1")
    plan.wire(back, f"{tag}.H2")
    if draw(st.booleans()):
        if "GB" not in plan.devices:
            plan.devices["GB"] = {"type": "earth-bar", "terminals": 6}
        plan.wire(f"{tag}.C", f"GB.{tag[1]}".replace(".0", ".3"))
    plan.sources.append((f"{tag}.R", f"{tag}.C", 24))


def _switches(draw: Draw, plan: Plan) -> None:
    for k in range(draw(st.integers(1, 3))):
        what = draw(
            st.sampled_from(["switch", "changeover-switch", "fuse", "disconnect-1p", "closed switch"])
        )
        tag = f"H{k}"
        plan.devices[tag] = {"type": "switch", "rests": "closed"} if " " in what else {"type": what}
        ends = {"changeover-switch": ("C", "NC"), "disconnect-1p": ("L1", "T1")}.get(what, ("1", "2"))
        plan.ways.append((tag, *ends))
        if what == "changeover-switch":
            plan.ways.append((tag, "C", "NO"))
    for k, row in enumerate(draw(st.lists(st.sampled_from(ROWS), max_size=2))):
        plan.devices[f"P{k}"] = {"type": "pressure-switch", "senses": "head", **row}
        plan.ways.append((f"P{k}", "1", "2"))


def _in_line(draw: Draw, plan: Plan, kind: Kind) -> list[tuple[str, str, str]]:
    if not plan.ways:
        return []
    chosen = draw(st.lists(st.sampled_from(plan.ways), max_size=3, unique_by=lambda way: way[:2]))
    if kind.apart:
        used = {way[:2] for way in chosen}
        plan.ways = [way for way in plan.ways if way[:2] not in used]
    return list(chosen)


def _relay(draw: Draw, plan: Plan, tag: str, name: str, kind: Kind) -> None:
    pole, back, volts = draw(st.sampled_from(plan.sources))
    coil: Data = {"volts": volts, "va": 6}
    if draw(st.booleans()):
        coil |= {"inrush": 20, "pick_up": 80, "drop_out": 50}
    plan.devices[tag] = {"type": name, "coil": coil}
    plan.wire(plan.chain(_in_line(draw, plan, kind), pole), f"{tag}.A1")
    plan.wire(f"{tag}.A2", back)
    if not kind.latches:
        plan.ways += [(tag, a, b) for a, b in RELAYS[name]]


def _load(draw: Draw, plan: Plan, tag: str, kind: Kind) -> None:
    pole, back, volts = draw(st.sampled_from(plan.sources))
    three = [n for n, s in plan.supplies.items() if s["kind"] == "three-phase"]
    sorts = ["lamp", "heater", "solenoid-valve"]
    sorts += ["psc-motor"] if kind.motors and volts > 24 else []
    sorts += ["motor-3ph"] if kind.motors and three else []
    what = draw(st.sampled_from(sorts))
    at = plan.chain(_in_line(draw, plan, kind), pole)
    plan.loads.append(tag)
    if what == "motor-3ph":
        plan.devices[tag] = {"type": what, "volts": 208, "fla": 4, "lra": 24}
        first = plan.chain(_in_line(draw, plan, kind), f"{three[0]}.L1")
        for k, from_ in enumerate((first, f"{three[0]}.L2", f"{three[0]}.L3")):
            plan.wire(from_, f"{tag}.T{k + 1}")
    elif what == "psc-motor":
        _motor(draw, plan, tag, at, back, volts)
    else:
        plan.devices[tag] = {"type": what, "volts": volts, "va": 9} if "valve" in what else {
            "type": what, "volts": volts, "watts": draw(st.sampled_from([5, 60, 1000]))
        }  # fmt: skip
        plan.wire(at, f"{tag}.1")
        plan.wire(f"{tag}.2", back)


def _motor(draw: Draw, plan: Plan, tag: str, at: str, back: str, volts: int) -> None:
    motor: Data = {"type": "psc-motor", "volts": volts, "fla": 1.4, "lra": 3.3, "needs": "5 uF"}
    if draw(st.booleans()):
        motor |= {"main": {"r": 40, "x": 60}, "aux": {"r": 55, "x": 45}}
    plan.devices[tag] = motor
    plan.devices[f"C{tag}"] = {"type": "run-capacitor", "capacitance": "5 uF"}
    plan.wire(at, f"{tag}.common")
    plan.wire(f"{tag}.main", back)
    plan.wire(f"{tag}.aux", f"C{tag}.1")
    plan.wire(f"C{tag}.2", back)


def _said(draw: Draw, plan: Plan) -> Data:
    """The unit's own file, with `given` and `impossible` of switches that are no protections."""
    unit: Data = {"unit": {"name": "drawn"}, "supplies": plan.supplies}
    if any("senses" in d for d in plan.devices.values()):
        unit["conditions"] = {"head": {"unit": "psig"}}
    unit |= {"devices": plan.devices, "wires": plan.wires}
    hands = [t for t, d in plan.devices.items() if d["type"] in ("switch", "fuse", "disconnect-1p")]
    if hands and draw(st.integers(0, 4)) == 0:
        unit["given"] = {hands[0]: draw(st.sampled_from(["open", "closed"]))}
    if len(hands) > 1 and draw(st.integers(0, 4)) == 0:
        unit["impossible"] = [f"{hands[-1]} open and {hands[-2]} closed"]
    return unit


ROUGH = ("series", "relay", "across", "move", "run", "cut", "cap")
GENTLE = ("cut", "cut", "lamp", "run")  # most units pass these


@st.composite
def changes(draw: Draw, unit: Data, kinds: tuple[str, ...] = ROUGH) -> Data:
    """A change of a unit: one to three steps that can be done, new switches and relays among them."""
    change: Data = {"change": {"name": "drawn"}, "devices": {}, "steps": []}
    wires = draw(
        st.lists(st.sampled_from(unit["wires"]), min_size=1, max_size=3, unique_by=lambda w: w["id"])
    )
    for k, wire in enumerate(wires):
        _step(draw, change, unit, wire, k, kinds)
    if draw(st.integers(0, 3)) == 0:  # last: no step after it names a terminal of what was taken out
        _swap(draw, change, unit, len(wires))
    return change


def terminals(unit: Data) -> list[str]:
    return sorted({w[end] for w in unit["wires"] for end in ("from", "to")})


def _step(draw: Draw, change: Data, unit: Data, wire: Data, k: int, kinds: tuple[str, ...]) -> None:
    what = draw(st.sampled_from(kinds))
    tag, steps, places = f"N{k}", change["steps"], terminals(unit)
    if what == "series":
        change["devices"][tag] = {"type": "switch"}
        steps.append({"in-series": {"device": tag, "in": wire["id"], "at": wire["to"]}})
    elif what == "relay":
        change["devices"][tag] = {"type": "relay-changeover", "coil": {"volts": 120, "va": 5}}
        steps.append({"in-series": {"device": f"{tag}.C-NC", "in": wire["id"], "at": wire["from"]}})
        coil = draw(st.lists(st.sampled_from(places), min_size=2, max_size=2, unique=True))
        steps += [{"run": {"id": f"J{k}{n}", "from": c, "to": f"{tag}.A{n}"}} for n, c in enumerate(coil, 1)]
    elif what == "across":
        change["devices"][tag] = {"type": "switch"}
        ends = draw(st.lists(st.sampled_from(places), min_size=2, max_size=2, unique=True))
        steps.append({"across": {"device": tag, "terminals": ends}})
    elif what == "lamp":
        change["devices"][tag] = {"type": "lamp", "volts": 120, "watts": 5}
        supply = "S0" if any(t.startswith("S0.") for t in places) else "S1"  # S0 may have nothing wired
        poles = sorted(t for t in places if t.startswith(f"{supply}."))
        steps.append({"run": {"id": f"J{k}1", "from": poles[0], "to": f"{tag}.1"}})
        steps.append({"run": {"id": f"J{k}2", "from": f"{tag}.2", "to": f"{supply}.N"}})
    elif what == "move":
        to = draw(st.sampled_from(places))
        if to != wire["from"]:
            steps.append({"lift": {"wire": wire["id"], "end": wire["to"]}})
            steps.append({"land": {"wire": wire["id"], "on": to}})
    elif what == "run":
        ends = draw(st.lists(st.sampled_from(places), min_size=2, max_size=2, unique=True))
        steps.append({"run": {"id": f"J{k}", "from": ends[0], "to": ends[1]}})
    elif what == "cut":
        steps.append({"cut": {"wire": wire["id"]}})
        steps.append({"splice": {"name": f"SP{k}", "join": [f"{wire['id']}.a", f"{wire['id']}.b"]}})
    else:
        steps.append({"lift": {"wire": wire["id"], "end": wire["to"]}})
        steps.append({"splice": {"name": f"SP{k}", "join": [wire["id"]]}})


def _swap(draw: Draw, change: Data, unit: Data, k: int) -> None:
    """A lamp, heater or switch replaced by its like."""
    kinds = ("lamp", "heater", "switch", "pressure-switch")
    old = [t for t, d in unit["devices"].items() if d["type"] in kinds]
    if old:
        tag = draw(st.sampled_from(old))
        change["devices"][f"N{k}"] = dict(unit["devices"][tag])
        change["steps"].append({"replace": {"device": tag, "with": f"N{k}"}})


def text(data: Data) -> str:
    """The YAML of a file, in the order in which the data stand; empty lists and mappings left out."""
    kept = {k: v for k, v in data.items() if v not in ({}, [])}
    return yaml.safe_dump(kept, sort_keys=False, width=10_000)
