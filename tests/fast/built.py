"""A plan built: the circuit that the engine reads."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import (
    ByCoil,
    ByPosition,
    Capacitor,
    Coil,
    Conductor,
    Contact,
    Delay,
    Device,
    Estimate,
    Motor,
    Pole,
    Quantity,
    Relay,
    Resistor,
    Transformer,
    VoltLoad,
    Winding,
)
from wirecheck.circuit.graph import Circuit

if TYPE_CHECKING:
    from tests.fast.plan import Plan, Thing

Figure = float | Estimate


def build(plan: Plan) -> Circuit:
    """The circuit of a plan: the terminals of each net joined by conductors, one to the next."""
    return _Builder(plan).circuit()


class _Builder:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.on: dict[int, list[str]] = {}
        self.terminals: list[str] = []
        self.poles: dict[str, Pole] = {}
        self.elements: dict[str, object] = {}
        self.loads: dict[str, object] = {}
        self.relays: dict[str, Relay] = {}
        self.delays: dict[str, Delay] = {}

    def circuit(self) -> Circuit:
        for thing in sorted(self.plan.things, key=lambda t: t.kind == "contact"):
            ends = self._terminals(thing)
            getattr(self, "_" + {"1ph": "one", "3ph": "three"}.get(thing.kind, thing.kind))(thing, ends)
        wires = {}
        for row in self.on.values():
            for a, b in pairwise(row):
                wires[f"W{len(wires)}"] = Conductor(f"W{len(wires)}", a, b)
        points = {
            v
            for i in self.plan.inputs.values()
            if i.set_points
            for v in (i.set_points.low, i.set_points.high)
        }
        return Circuit(
            name="random",
            hertz=self.plan.hertz,
            terminals=tuple(self.terminals),
            poles=self.poles,
            earth=frozenset(t for t in self.poles if t.endswith("PE")),
            conductors=wires,
            devices=self._devices(),
            elements=self.elements,  # type: ignore[arg-type]
            loads=self.loads,  # type: ignore[arg-type]
            relays=self.relays,
            inputs=dict(self.plan.inputs),
            delays=self.delays,
            quantities={"p": Quantity("p", "V")} if points else {},
            impossible=tuple(self.plan.impossible),  # type: ignore[arg-type]
            cuts={"p": tuple(sorted(points))} if points else {},
        )

    def _devices(self) -> dict[str, Device]:
        """A device for each tag that an element, input or load names; every fifth isolates."""
        tags: dict[str, list[str]] = {}
        for i, e in self.elements.items():
            tags.setdefault(e.device, []).append(i)  # type: ignore[attr-defined]
        for i in self.plan.inputs.values():
            tags.setdefault(i.device, [])
        return {
            tag: Device(
                tag,
                "random",
                tuple(t for t in self.terminals if t.rpartition(".")[0] == tag),
                tuple(elements),
                isolates=k % 5 == 4,
            )
            for k, (tag, elements) in enumerate(tags.items())
        }

    def _terminals(self, thing: Thing) -> list[str]:
        names = []
        for k, net in enumerate(thing.nets):
            name = f"{thing.tag}.{thing.figures['pole'] if thing.kind == 'pole' else k + 1}"
            self.terminals.append(name)
            self.on.setdefault(net, []).append(name)
            names.append(name)
        return names

    def _pole(self, t: Thing, ends: list[str]) -> None:
        self.poles[ends[0]] = Pole(ends[0], t.tag, t.figures["phasor"], t.figures["source"])  # type: ignore[arg-type]

    def _joint(self, t: Thing, ends: list[str]) -> None:
        self.on.setdefault(-1 - len(self.on), []).extend(ends)

    def _contact(self, t: Thing, ends: list[str]) -> None:
        f = t.figures
        mover = ByPosition(f["input"]) if "input" in f else ByCoil(f"{f['coil']}.coil", f["late"])  # type: ignore[arg-type]
        self.elements[f"{t.tag}.contact"] = Contact(f"{t.tag}.contact", t.tag, *ends, bool(f["rests"]), mover)

    def _coil(self, t: Thing, ends: list[str]) -> None:
        f, i = t.figures, f"{t.tag}.coil"
        self.elements[i] = Coil(i, t.tag, *ends, f["volts"], 8.0, f["inrush"], 4.0, f["pick"], f["drop"])  # type: ignore[arg-type]
        contacts = tuple(
            f"{c.tag}.contact"
            for c in self.plan.things
            if c.kind == "contact" and c.figures.get("coil") == t.tag
        )
        self.relays[t.tag] = Relay(t.tag, t.tag, i, contacts)
        if f["delay"]:
            name = f"{t.tag}.{'elapsed' if f['delay'] == 'on' else 'held'}"
            self.delays[name] = Delay(name, i, f["delay"])  # type: ignore[arg-type]

    def _heater(self, t: Thing, ends: list[str]) -> None:
        i = f"{t.tag}.element"
        self.elements[i] = Resistor(i, t.tag, *ends, 100.0, t.figures["volts"])  # type: ignore[arg-type]
        self.loads[t.tag] = VoltLoad(t.tag, t.tag, i, t.figures["volts"])  # type: ignore[arg-type]

    def _valve(self, t: Thing, ends: list[str]) -> None:
        i = f"{t.tag}.coil"
        rated = t.figures["volts"]
        self.elements[i] = Coil(i, t.tag, *ends, rated or 24.0, 10.0, 30.0, 1.0, 0.85, 0.6)  # type: ignore[arg-type]
        self.loads[t.tag] = VoltLoad(t.tag, t.tag, i, rated)  # type: ignore[arg-type]

    def _one(self, t: Thing, ends: list[str]) -> None:
        i = f"{t.tag}.winding"
        self.elements[i] = Winding(i, t.tag, *ends, 20 + 30j)
        self.loads[t.tag] = Motor(t.tag, t.tag, "1ph", t.figures["volts"], (i,))  # type: ignore[arg-type]

    def _psc(self, t: Thing, ends: list[str]) -> None:
        main, aux = f"{t.tag}.main", f"{t.tag}.aux"
        scale: Figure = 1.0 if len(t.tag) % 2 else Estimate(f"{t.tag}.main", 1.0, 0.75, 1.25)
        self.elements[main] = Winding(main, t.tag, ends[0], ends[1], 1.1 + 3.1j, scale)
        mains, taps = (main,), ()
        if t.figures.get("tap"):
            low = f"{t.tag}.low"
            self.elements[low] = Winding(low, t.tag, ends[0], ends[3], 1.6 + 4.5j)
            mains, taps = (main, low), ("high", "low")
        self.elements[aux] = Winding(aux, t.tag, ends[0], ends[2], 2.4 + 4.6j)
        f = t.figures
        self.loads[t.tag] = Motor(
            t.tag,
            t.tag,
            "psc",
            f["volts"],
            mains,
            aux,
            f["needs"],
            taps,
            compressor=bool(f["compressor"]),  # type: ignore[arg-type]
        )

    def _capacitor(self, t: Thing, ends: list[str]) -> None:
        i = f"{t.tag}.element"
        self.elements[i] = Capacitor(
            i, t.tag, *ends, t.figures["farads"], 440.0, bool(t.figures.get("starts"))
        )  # type: ignore[arg-type]

    def _three(self, t: Thing, ends: list[str]) -> None:
        star = f"{t.tag}.(s)"
        self.terminals.append(star)
        names = []
        for k, e in enumerate(ends):
            i = f"{t.tag}.w{k}"
            self.elements[i] = Winding(i, t.tag, e, star, 10 + 14j)
            names.append(i)
        self.loads[t.tag] = Motor(t.tag, t.tag, "3ph", 208.0, tuple(names), terminals=tuple(ends))

    def _transformer(self, t: Thing, ends: list[str]) -> None:
        i = f"{t.tag}.core"
        primary, secondary = t.figures["volts"]  # type: ignore[misc]
        h1, h2, r, c = ends
        turns = -secondary if t.figures["reversed"] else secondary
        windings = [(h1, h2, primary)]
        if t.figures.get("tap"):
            h3 = f"{t.tag}.5"
            self.terminals.append(h3)
            windings.append((h1, h3, primary * 1.2))
        self.elements[i] = Transformer(i, t.tag, (*windings, (r, c, turns)))
