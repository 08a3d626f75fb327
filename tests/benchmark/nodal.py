"""The numpy loop: each state of a realistic unit solved whole, judged as engine.md section 3 says.

Written from the page and apart from the engine: one set of nodal equations with ideal transformers, a tiny
leak from each node to earth in place of any thought about what floats.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirecheck.circuit.elements import (
    ByPosition,
    Capacitor,
    Coil,
    Contact,
    Estimate,
    Link,
    Motor,
    Resistor,
    Transformer,
    VoltLoad,
    Winding,
)

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Figure, Impedance
    from wirecheck.circuit.graph import Circuit

Bits = tuple[bool, ...]
LEAK = 1e-10  # siemens from each node to earth
MAGNETISING = 1e-7  # volt-amperes at rated volts; keeps a core that nothing drives at rest
POWER_FACTOR = 0.3  # of a coil (engine.md section 2)
WORKS, TOO_MUCH, NOTHING = 0.85, 1.10, 0.10  # of rated volts (engine.md section 3)
STARTS = {True: 0.7, False: 0.5}  # starting torque over the designed one, of a compressor or not
OVERLOAD = 1.5  # times the designed standstill current


def figure(value: Figure | None) -> float:
    """A figure that the file gives: this loop knows no estimates."""
    if value is None or isinstance(value, Estimate):
        raise ValueError(f"{value}: the file has to give it")
    return float(value)


class Shorted(Exception):
    """Poles of unlike potential are joined."""


class Nodal:
    """One circuit, a state at a time."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.w = 2 * np.pi * circuit.hertz
        elements = circuit.elements.values()
        self.coils = [e.id for e in elements if isinstance(e, Coil) and not e.stateless]
        self.index = {c: k for k, c in enumerate(self.coils)}
        self.impedances = [e for e in elements if isinstance(e, Coil | Resistor | Capacitor | Winding)]
        self.cores = [e for e in elements if isinstance(e, Transformer)]
        self.contacts = [e for e in elements if isinstance(e, Contact)]
        self.inputs = {n: k for k, n in enumerate(circuit.inputs)}
        joined = [(w.a, w.b) for w in circuit.conductors.values()]
        joined += [(e.a, e.b) for e in elements if isinstance(e, Link)]
        terminals = {t: k for k, t in enumerate(circuit.terminals)}
        roots = _unions(len(terminals), [(terminals[a], terminals[b]) for a, b in joined])
        numbers = {root: k for k, root in enumerate(dict.fromkeys(roots))}
        self.net = {t: numbers[roots[k]] for t, k in terminals.items()}
        self.nets = len(numbers)
        self.fixed = {self.net[t]: p.phasor for t, p in circuit.poles.items()}
        self.fixed |= {self.net[t]: 0j for t in circuit.earth}
        self.delays = {(d.coil, d.late): k for k, d in enumerate(circuit.delays.values())}

    def shows(self, inputs: Bits, coils: Bits, delays: Bits) -> tuple[bool, tuple[str, ...]]:
        """Does it rest with these coils in and delays moved? And the word of each load. Raises Shorted."""
        solved = Solved(self, self._closed(inputs, coils, delays), coils)
        rests = all(self._wants(solved, k, is_in) == is_in for k, is_in in enumerate(coils))
        return rests, tuple(self._word(solved, load) for load in self.circuit.loads.values())

    def coils_in(self, relays: Bits, words: tuple[str, ...]) -> Bits:
        """Every coil in or out: those of relays as given, a valve's where the valve is on."""
        found = dict(zip((r.coil for r in self.circuit.relays.values()), relays, strict=True))
        for load, word in zip(self.circuit.loads.values(), words, strict=True):
            if isinstance(load, VoltLoad):
                found[load.element] = word in ("on", "over")
        return tuple(found[c] for c in self.coils)

    def _closed(self, inputs: Bits, coils: Bits, delays: Bits) -> list[tuple[str, str]]:
        found = []
        for c in self.contacts:
            if isinstance(c.mover, ByPosition):
                moved = inputs[self.inputs[c.mover.input]]
            else:
                moved = coils[self.index[c.mover.coil]]
                if c.mover.late is not None:
                    run_out = delays[self.delays[c.mover.coil, c.mover.late]]
                    moved = moved and run_out if c.mover.late == "on" else moved or run_out
            if moved != c.rests_closed:
                found.append((c.a, c.b))
        return found

    def ohms(self, z: Impedance, is_in: bool) -> complex:
        """The impedance of one element at the unit's hertz."""
        match z:
            case Resistor():
                return complex(figure(z.ohms))
            case Capacitor():
                return 1 / (1j * self.w * figure(z.farads))
            case Winding():
                return z.ohms * figure(z.scale)
            case Coil(ohms=None):
                inrush = z.inrush if z.inrush is not None else figure(z.va) * figure(z.inrush_ratio)
                size = figure(z.volts) ** 2 / figure(z.va if is_in else inrush)
                return size * complex(POWER_FACTOR, (1 - POWER_FACTOR**2) ** 0.5)
            case _:
                return complex(figure(z.ohms))

    def _wants(self, solved: Solved, k: int, is_in: bool) -> bool:
        coil = self.circuit.elements[self.coils[k]]
        assert isinstance(coil, Coil)
        share = abs(solved.across(coil.a, coil.b)) / figure(coil.volts)
        return share >= figure(coil.drop_out) if is_in else share >= figure(coil.pick_up)

    def _word(self, solved: Solved, load: VoltLoad | Motor) -> str:
        if isinstance(load, Motor):
            return self._motor(solved, load)
        z = self.circuit.elements[load.element]
        assert isinstance(z, Coil | Resistor)
        share = abs(solved.across(z.a, z.b)) / figure(load.volts)
        return (
            "off" if share < NOTHING else "weak" if share < WORKS else "on" if share <= TOO_MUCH else "over"
        )

    def _motor(self, solved: Solved, motor: Motor) -> str:
        """A motor of two windings and a run capacitor, by its currents at standstill against the designed."""
        main, aux = (self.circuit.elements[i] for i in (motor.main[0], motor.aux or ""))
        assert isinstance(main, Winding) and isinstance(aux, Winding)
        volts = figure(motor.volts)
        z_main, z_aux = self.ohms(main, False), self.ohms(aux, False)
        designed = volts / z_main, volts / (z_aux + 1 / (1j * self.w * figure(motor.needs)))
        now = solved.across(main.a, main.b) / z_main, solved.across(aux.a, aux.b) / z_aux
        shares = [abs(i) / abs(d) for i, d in zip(now, designed, strict=True)]
        if abs(solved.across(main.a, main.b)) > TOO_MUCH * volts or max(shares) > OVERLOAD:
            return "over"
        torque = _torque(*now) / _torque(*designed)
        starts = STARTS[motor.compressor]
        if torque >= starts:
            return "runs"
        if torque <= -starts:
            return "backward"
        return "stalls" if max(shares) >= NOTHING else "off"


def _torque(main: complex, aux: complex) -> float:
    """|Im| |Ia| sin(angle of Ia - angle of Im)."""
    return (main.conjugate() * aux).imag


class Solved:
    """The volts of every net with these contacts closed and coils in."""

    def __init__(self, unit: Nodal, closed: list[tuple[str, str]], coils: Bits) -> None:
        self.net = unit.net
        self.root = _unions(unit.nets, [(unit.net[a], unit.net[b]) for a, b in closed])
        fixed: dict[int, complex] = {}
        for net, phasor in unit.fixed.items():
            if fixed.setdefault(self.root[net], phasor) != phasor:
                raise Shorted
        free = {r: k for k, r in enumerate(dict.fromkeys(r for r in self.root if r not in fixed))}
        at = {r: k for k, r in enumerate(fixed)}
        n = len(free)
        size = n + sum(len(c.windings) + 1 for c in unit.cores)
        matrix = np.zeros((size, size), complex)
        # Columns of what is known stand apart and go to the right-hand side.
        known = np.zeros((size, len(fixed)), complex)

        def put(row: int, net: int, value: complex) -> None:
            if net in free:
                matrix[row, free[net]] += value
            else:
                known[row, at[net]] += value

        for z in unit.impedances:
            y = 1 / unit.ohms(z, z.id in unit.index and coils[unit.index[z.id]])
            a, b = self.root[unit.net[z.a]], self.root[unit.net[z.b]]
            for here, there in ((a, b), (b, a)):
                if here in free:
                    put(free[here], here, y)
                    put(free[here], there, -y)
        matrix[range(n), range(n)] += LEAK
        row = n
        for core in unit.cores:
            flux = row + len(core.windings)
            for k, (start, end, turns) in enumerate(core.windings):
                for terminal, sign in ((start, 1), (end, -1)):
                    net = self.root[unit.net[terminal]]
                    put(row + k, net, sign)
                    if net in free:
                        matrix[free[net], row + k] += sign
                matrix[row + k, flux] -= turns
                matrix[flux, row + k] += turns
            matrix[flux, flux] += MAGNETISING
            row = flux + 1
        phasors = np.array(list(fixed.values()))
        volts = np.linalg.solve(matrix, -known @ phasors)
        self.volts = {r: complex(volts[k]) for r, k in free.items()} | fixed

    def across(self, a: str, b: str) -> complex:
        return self.volts[self.root[self.net[a]]] - self.volts[self.root[self.net[b]]]


def _unions(count: int, pairs: list[tuple[int, int]]) -> list[int]:
    """The root of each after these are joined."""
    parent = list(range(count))

    def find(n: int) -> int:
        while parent[n] != n:
            parent[n] = n = parent[parent[n]]
        return n

    for a, b in pairs:
        parent[find(a)] = find(b)
    return [find(n) for n in range(count)]
