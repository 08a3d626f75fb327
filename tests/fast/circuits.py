"""Random circuits, for holding the two evaluators against each other: what is drawn."""

from __future__ import annotations

import cmath
import math
from typing import TYPE_CHECKING

from tests.fast.plan import Plan, Thing
from wirecheck.circuit.bound import And, InputIs
from wirecheck.circuit.elements import (
    Estimate,
    Input,
    SetPoints,
)

if TYPE_CHECKING:
    import random

Figure = float | Estimate


SUPPLIES = {
    "single": {"L": 120 + 0j, "N": 0j, "PE": 0j},
    "split": {"L1": 120 + 0j, "L2": -120 + 0j, "N": 0j, "PE": 0j},
    "three": {f"L{k + 1}": cmath.rect(120, math.radians(-120 * k)) for k in range(3)} | {"N": 0j, "PE": 0j},
}


class Maker:
    """Draws one plan. `rich`: motors, transformers, loads in series too."""

    def __init__(
        self, rng: random.Random, rich: bool = True, most_inputs: int = 5, most_relays: int = 4
    ) -> None:
        self.rng, self.rich, self.plan = rng, rich, Plan()
        self.most_inputs, self.most_relays = most_inputs, most_relays
        self.left: list[tuple[int, float]] = []  # net, volts of its rail to the return
        self.right: dict[int, list[int]] = {}
        self.count = 0
        self.coils: list[str] = []

    def tag(self, letter: str) -> str:
        self.count += 1
        return f"{letter}{self.count}"

    def make(self) -> Plan:
        rng = self.rng
        rails = self._supplies()
        self._inputs(rng.randint(1, self.most_inputs))
        self.coils = [self.tag("K") for _ in range(rng.randint(0, self.most_relays))]
        self._delays = {k: rng.choice(["on", "off"]) for k in self.coils if rng.random() < 0.2}
        if self.rich and rng.random() < 0.5:
            rails += [self._transformer(rng.choice(rails)) for _ in range(1 if rng.random() < 0.8 else 2)]
        for k in self.coils:
            self._rung(rng.choice(rails), k)
        for _ in range(rng.randint(1, 5)):
            self._rung(rng.choice(rails), None)
        for _ in range(rng.randint(0, 2)):
            self._bridge()
        self._impossible()
        return self.plan

    def _supplies(self) -> list[tuple[int, int, float]]:
        """(hot net, return net, volts) to choose from."""
        rng, rails = self.rng, []
        for k in range(2 if self.rich and rng.random() < 0.15 else 1):
            kind = rng.choice(["single", "single", "split", "three"] if self.rich else ["single", "split"])
            name = f"S{k}"
            source = "S0" if rng.random() < 0.5 else name
            nets = {p: self.plan.net() for p in SUPPLIES[kind]}
            for p, phasor in SUPPLIES[kind].items():
                src = "" if phasor == 0 else source
                self.plan.things.append(
                    Thing("pole", name, [nets[p]], {"pole": p, "phasor": phasor, "source": src})
                )
            rails += self._pairs(nets, SUPPLIES[kind])
            if kind == "three":
                self.three = [nets["L1"], nets["L2"], nets["L3"]]
        return rails

    def _pairs(self, nets: dict[str, int], phasors: dict[str, complex]) -> list[tuple[int, int, float]]:
        hot = [p for p in phasors if p.startswith("L")]
        found = [(nets[p], nets["N"], 120.0) for p in hot]
        if len(hot) > 1:
            found += [(nets[hot[0]], nets[hot[1]], abs(phasors[hot[0]] - phasors[hot[1]]))] * 2
        return found

    def _inputs(self, count: int) -> None:
        rng = self.rng
        points = [(10.0, 20.0), (15.0, 30.0), (20.0, 30.0), (5.0, 10.0)]
        for _ in range(count):
            tag = self.tag("B")
            senses = rng.random() < 0.25
            low, high = rng.choice(points)
            self.plan.inputs[tag] = Input(
                name=tag,
                device=tag,
                words=("closed", "open") if rng.random() < 0.5 else ("open", "closed"),
                set_points=SetPoints("p", low, high, rng.random() < 0.5) if senses else None,
                hand_reset=senses and rng.random() < 0.3,
                normal=rng.random() < 0.2,
                given=(rng.random() < 0.5) if rng.random() < 0.05 else None,
                tripped=(rng.random() < 0.5) if rng.random() < 0.3 else None,
                lever=rng.random() < 0.3,
            )

    def _impossible(self) -> None:
        names = [n for n, i in self.plan.inputs.items()]
        if len(names) >= 2 and self.rng.random() < 0.1:
            a, b = self.rng.sample(names, 2)
            moved = self.rng.random() < 0.5
            self.plan.impossible.append((And((InputIs(a, True), InputIs(b, moved))), "both"))

    def _transformer(self, rail: tuple[int, int, float]) -> tuple[int, int, float]:
        rng = self.rng
        primary = self._chain(rail[0], rng.choice([0, 0, 1]))
        back = rail[1] if rng.random() < 0.8 else self._chain(rail[1], 1)
        r, c = self.plan.net(), self.plan.net()
        figures = {"volts": [rail[2], 24.0], "reversed": rng.random() < 0.2}
        nets = [primary, back, r, c]
        if rng.random() < 0.1:
            figures["tap"] = True
        self.plan.things.append(Thing("transformer", self.tag("X"), nets, figures))
        if rng.random() < 0.5:
            earth = next(
                t.nets[0] for t in self.plan.things if t.kind == "pole" and t.figures["pole"] == "PE"
            )
            self._link(c, earth)
        return r, c, 24.0

    def _link(self, a: int, b: int) -> None:
        self.plan.things.append(Thing("joint", self.tag("J"), [a, b]))

    def _contact(self, a: int, b: int) -> None:
        rng = self.rng
        rests = rng.random() < 0.5
        if self.coils and rng.random() < 0.4:
            coil = rng.choice(self.coils)
            late = self._delays.get(coil) if rng.random() < 0.6 else None
            figures: dict[str, object] = {"coil": coil, "late": late, "rests": rests}
        else:
            figures = {"input": rng.choice(list(self.plan.inputs)), "rests": rests}
        self.plan.things.append(Thing("contact", self.tag("C"), [a, b], figures))

    def _chain(self, start: int, count: int) -> int:
        for _ in range(count):
            end = self.plan.net()
            self._contact(start, end)
            start = end
        return start

    def _rung(self, rail: tuple[int, int, float], coil: str | None) -> None:
        rng = self.rng
        hot, back, volts = rail
        spots = [n for n, v in self.left if v == volts and rng.random() < 0.3]
        start = rng.choice(spots) if spots else hot
        at = self._chain(start, rng.choice([0, 1, 1, 2, 2, 3]))
        if at not in (hot, back):
            self.left.append((at, volts))
        if rng.random() < 0.15:
            back = self._chain(back, 1)
        if self.rich and rng.random() < 0.12:
            mid = self.plan.net()
            self._load(at, mid, volts / 2)
            at = mid
        if coil is not None:
            self._coil(coil, at, back, volts)
        else:
            self._load(at, back, volts)

    def _coil(self, tag: str, a: int, b: int, volts: float) -> None:
        rng = self.rng
        rated = volts * rng.choice([1, 1, 1, 1, 1, 0.5, 1.3, 1.5, 2])
        figures = {
            "volts": rated,
            "pick": 0.85 if rng.random() < 0.7 else Estimate(f"{tag}.pick_up", 0.85, 0.60, 0.85),
            "drop": 0.60 if rng.random() < 0.7 else Estimate(f"{tag}.drop_out", 0.60, 0.20, 0.75),
            "inrush": rng.choice([20.0, None]),
            "delay": self._delays.get(tag),
        }
        self.plan.things.append(Thing("coil", tag, [a, b], figures))

    def _load(self, a: int, b: int, volts: float) -> None:
        rng = self.rng
        kind = rng.choice(["heater", "heater", "heater", "valve", "1ph", "psc"]) if self.rich else "heater"
        if kind == "psc" and rng.random() < 0.3 and hasattr(self, "three"):
            self._three_phase()
            return
        rated: float | None = volts * rng.choice([1, 1, 1, 1, 0.8, 1.4, 3])
        if rng.random() < 0.03:
            rated = None
        if kind == "psc":
            self._psc(a, b, rated)
        else:
            self.plan.things.append(Thing(kind, self.tag("H"), [a, b], {"volts": rated}))

    def _psc(self, a: int, b: int, volts: float | None) -> None:
        rng, s = self.rng, self.plan.net()
        tag = self.tag("M")
        figures = {
            "volts": volts,
            "needs": 45e-6 if rng.random() < 0.95 else None,
            "compressor": rng.random() < 0.5,
        }
        common, main = (a, b) if rng.random() < 0.5 else (b, a)
        nets = [common, main, s]
        if rng.random() < 0.1:
            figures["tap"] = True
            nets.append(self.plan.net())
            self._contact(main, nets[3])
        self.plan.things.append(Thing("psc", tag, nets, figures))
        far = main if rng.random() < 0.85 else self._chain(main, 1)
        self.plan.things.append(Thing("capacitor", self.tag("Q"), [s, far], {"farads": 45e-6}))
        if rng.random() < 0.1:
            start = self._chain(main, 1)
            self.plan.things.append(
                Thing("capacitor", self.tag("Q"), [start, s], {"farads": 150e-6, "starts": True})
            )

    def _three_phase(self) -> None:
        rng = self.rng
        ends = [self._chain(n, rng.choice([1, 1, 2])) for n in self.three]
        rng.shuffle(ends)
        self.plan.things.append(Thing("3ph", self.tag("M"), ends, {"volts": 208.0}))

    def _bridge(self) -> None:
        spots = [n for n, _ in self.left]
        if len(spots) >= 2:
            a, b = self.rng.sample(spots, 2)
            if a != b:
                self._contact(a, b)
