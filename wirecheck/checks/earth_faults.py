"""Earth faults: what would start, or could no longer be stopped, if a conductor of the change touched earth.

Always notes. Each net on which the change brings or moves a conductor is joined to the protective earth, one
at a time, in every state that the changed unit can be in; its relays settle, moves go on from there, and the
words are compared with those of the sound unit in the same state. That is no check of the change as it is
made, so it stands under the check that only ever notes.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.checks.live_parts import NAME
from wirecheck.circuit.elements import Conductor
from wirecheck.engine.answers import OFF, OUT, SHORT, UNKNOWN, TooMany
from wirecheck.engine.plain.explore import Explorer, Joint
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Short, Words
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.world import Setting

# States looked at for all conductors together, so that the notes cost less than the checks. Project rule.
LOOKS = 20_000
QUIET = (OFF, OUT, SHORT, UNKNOWN)  # words of what does not work, or of which that is not known

Stand = tuple[int, bool]  # number of a variable, moved?


def notes(pair: Pair) -> Iterator[Finding]:
    """One note for each thing that an earth fault would do, with the conductors that do it."""
    nets = touched(pair)
    if not nets:
        return
    sound = Sound(pair)
    most = LOOKS // len(sound.joints) if sound.joints else len(nets)
    found: dict[str, tuple[list[str], dict[str, None]]] = {}
    for wires in nets[:most]:
        says, needs = told(sound, wires)
        names, fields = found.setdefault(says, ([], {}))
        names += [w.id for w in wires]
        fields |= dict.fromkeys(needs)
    for says, (names, fields) in found.items():
        guess = f" (with the usual figures of what is not given: {', '.join(fields)})" if fields else ""
        yield finding(names, f"{says}{guess}", tuple(fields))
    if left := [w.id for wires in nets[most:] for w in wires]:
        yield finding(left, f"not looked at, that would be over {LOOKS} states")


def told(sound: Sound, wires: list[Conductor]) -> tuple[str, tuple[str, ...]]:
    """What a fault of these conductors does, in words, and the estimates that it rests on."""
    try:
        fault = of_net(sound, wires)
    except TooMany:
        return "not looked at, the relays come to too many states", ()
    return fault.says(), fault.fields


def finding(wires: list[str], says: str, fields: tuple[str, ...] = ()) -> Finding:
    """A note on conductors, under the first of them."""
    return Finding(NAME, wires[0], "note", f"{', '.join(wires)} touching earth: {says}", None, fields)


def touched(pair: Pair) -> list[list[Conductor]]:
    """The conductors that the change brings or moves, by net; those that lie at earth anyhow are left out."""
    before, after, of = pair.changed.before, pair.changed.after, pair.after.nets.of
    earth = {of[t] for t in after.earth}
    found: dict[int, list[Conductor]] = {}
    for wire in after.conductors.values():
        old = before.conductors.get(wire.id)
        if (old is None or (old.a, old.b) != (wire.a, wire.b)) and of[wire.a] not in earth:
            found.setdefault(of[wire.a], []).append(wire)
    return list(found.values())


def watched(circuit: Circuit) -> list[str]:
    """What works something: loads, and relays that work something outside the file."""
    return [*circuit.loads, *(r.name for r in circuit.relays.values() if r.external)]


def word(words: Words, name: str) -> str:
    """The word of a load or relay."""
    return words.loads.get(name) or words.relays[name]


class Sound:
    """The changed unit without a fault: its reachable states, and what keeps each load off in them."""

    def __init__(self, pair: Pair) -> None:
        self.plain, self.circuit = pair.after, pair.changed.after
        self.world = World(self.circuit, self.circuit)
        self.explorer = Explorer(self.world, self.plain).run()
        self.joints = tuple(self.explorer.came)
        # Do moves lead to what power-up does not?
        self.remembers = any(before is not None for before, _ in self.explorer.came.values())

    @cached_property
    def keeps_off(self) -> dict[str, set[Stand]]:
        """Load -> the positions of switches in each of which it is off in every state."""
        every = {(k, moved) for k in range(len(self.world.variables)) for moved in (False, True)}
        found = {name: set(every) for name in watched(self.circuit)}
        for joint in self.joints:
            words = self.explorer.words(True, joint.setting, joint.after)
            for name in found:
                if word(words, name) not in QUIET:
                    found[name].difference_update(enumerate(joint.setting.bits))
        return found

    def told(self, stands: Iterable[Stand]) -> list[str]:
        """Positions in words: "TH.cool open"."""
        variables = self.world.variables
        return [f"{variables[k].name} {variables[k].word(moved)}" for k, moved in sorted(stands)]

    def where(self, setting: Setting) -> str:
        """A state in words: what stands otherwise than in ordinary operation."""
        places = enumerate(zip(self.world.variables, setting.bits, strict=True))
        away = self.told((k, moved) for k, (v, moved) in places if moved != v.normal)
        return f"with {listed(away, 'and')}" if away else "in ordinary operation"


@dataclass
class Fault:
    """What one earth fault does. The first state of each is the one nearest to ordinary operation.

    shorts: what is shorted -> (state, what opens). works: (load, word) where it is off otherwise -> state.
    lost: load -> positions that keep it off no more. stops: (load, word) where it works otherwise -> state.
    """

    sound: Sound
    shorts: dict[str, tuple[Setting, str]] = field(default_factory=dict)
    works: dict[tuple[str, str], Setting] = field(default_factory=dict)
    lost: dict[str, set[Stand]] = field(default_factory=dict)
    stops: dict[tuple[str, str], Setting] = field(default_factory=dict)
    fields: tuple[str, ...] = ()

    def see(self, joint: Joint, faulty: Words, right: Words) -> None:
        """Compare the words of one state, with the fault and without it."""
        setting = joint.setting
        for name in self.sound.keeps_off:
            here, there = word(faulty, name), word(right, name)
            if there in (OFF, OUT) and here not in QUIET:
                self.works.setdefault((name, here), setting)
                lost = self.sound.keeps_off[name].intersection(enumerate(setting.bits))
                self.lost.setdefault(name, set()).update(lost)
            elif there not in QUIET and here not in (there, SHORT, UNKNOWN) and joint.after.short is None:
                self.stops.setdefault((name, here), setting)

    def says(self) -> str:
        """All of it in a sentence, what is worst first."""
        parts = [*self._works(), *self._shorts(), *self._stops()]
        return "; ".join(parts) or "no load does otherwise"

    def _works(self) -> Iterator[str]:
        told: set[str] = set()
        for (name, now), setting in self.works.items():
            lost = self.lost[name]
            if not lost or name in told:
                where = self.sound.where(setting)
                yield f"{name} {now} {where}, where it would be off"
            elif len(self.sound.keeps_off[name]) == 2 * len(self.sound.world.variables):
                yield f"{name} {now}, which it never does otherwise"
            else:
                which = "which keeps" if len(lost) == 1 else "each of which keeps"
                yield f"{name} {now} with {listed(self.sound.told(lost), 'or')}, {which} it off otherwise"
            told.add(name)

    def _shorts(self) -> Iterator[str]:
        for what, (setting, opens) in self.shorts.items():
            yield f"{what} is shorted {self.sound.where(setting)}: {opens}"

    def _stops(self) -> Iterator[str]:
        for (name, now), setting in self.stops.items():
            if (name, now) not in self.works and not (self.shorts and now in QUIET):
                yield f"{name} {now} {self.sound.where(setting)}, where it would run"


def of_net(sound: Sound, wires: list[Conductor]) -> Fault:
    """What it does if the net of these conductors touches earth."""
    pole = next(t for t in sound.circuit.poles if t in sound.circuit.earth)
    touch = Conductor(f"{wires[0].id} to earth", wires[0].a, pole)
    circuit = replace(sound.circuit, conductors={**sound.circuit.conductors, touch.id: touch})
    faulty = type(sound.plain)(circuit, sound.plain.scenario)
    fault, explorer = Fault(sound), explored(sound, faulty)
    for joint in sorted(explorer.came, key=lambda j: sound.world.away(j.setting)):
        short, was = joint.after.short, joint.befores[0].short
        if short is not None and was is None:
            fault.shorts.setdefault(shorted(circuit, short), (joint.setting, opens(circuit, short)))
        faults = explorer.words(True, joint.setting, joint.after)
        fault.see(joint, faults, explorer.words(False, joint.setting, joint.befores[0]))
    fault.fields = tuple(f for f in faulty.sensitive if f not in sound.plain.sensitive)
    return fault


def explored(sound: Sound, faulty: Plain) -> Explorer:
    """The unit with the fault beside the sound one: it comes in any state, and moves go on from there."""
    explorer = Explorer(sound.world, faulty, sound.plain, common=tuple(sound.circuit.relays))
    for joint in sound.joints:
        for state in joint.after.onward:
            for end in faulty.settle(sound.world.inputs(True, joint.setting), state):
                explorer.came.setdefault(Joint(joint.setting, end, (joint.after,)), (None, "touches earth"))
    if sound.remembers:
        follow(explorer)
    return explorer


def follow(explorer: Explorer) -> None:
    """Every move, and the failing of power, from what has been reached."""
    for setting in {j.setting for j in explorer.came}:
        for joint in explorer.powered(setting):
            explorer.came.setdefault(joint, (None, "power comes on"))
    queue = list(explorer.came)
    for joint in queue:
        for move, to in explorer.successors(joint):
            if to not in explorer.came:
                explorer.came[to] = (joint, move)
                queue.append(to)


def shorted(circuit: Circuit, short: Short) -> str:
    """What feeds a short: the transformer whose secondary its way begins at, else its supplies."""
    device = circuit.device_of(short.path[0])
    return ", ".join(sorted(short.supplies)) if device is None else device.tag


def opens(circuit: Circuit, short: Short) -> str:
    """The fuses and breakers on the way of a short."""
    devices = {d.tag: d for t in short.path if (d := circuit.device_of(t)) is not None}
    found = [tag for tag, d in devices.items() if d.fuse or d.symbol == "breaker"]
    return f"{listed(found, 'or')} opens" if found else "no fuse or breaker of the file is on its way"


def listed(names: list[str], last: str) -> str:
    """A, B or C."""
    return f" {last} ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))
