"""What a conductor's end may name: a terminal, a supply's pole, a splice, a way through a device."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from wirecheck.design import models
from wirecheck.design.broken import CONDUCTORS, NODES, SPLICES, inside_of
from wirecheck.problem import BadInput, Problem, meant

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from wirecheck.circuit.elements import Pole
    from wirecheck.design.resolved import ResolvedDevice
    from wirecheck.problem import Place


@dataclass
class Nodes:
    """Finds nodes by name. `splices` None: any bare name that is no device is one, as in a unit file.

    declared: where each device stands, those that could not be read included. Every method raises BadInput
    where there is no such node; without a problem in it where the reason has been said before.
    """

    devices: Mapping[str, ResolvedDevice]
    declared: Mapping[str, Place]
    poles: Mapping[str, Pole]
    splices: Collection[str] | None
    said: set[str] = field(default_factory=set)

    @property
    def supplies(self) -> set[str]:
        return {pole.supply for pole in self.poles.values()}

    def end(self, text: str, place: Place) -> str:
        """The node that one end of a conductor names."""
        tag, dot, terminal = text.partition(".")
        if not dot:
            return self._bare(text, place)
        if text in self.poles or (self.splices is not None and text in self.splices):
            return text
        if tag in self.supplies:
            raise self._no_pole(tag, terminal, place)
        device = self.device(tag, place)
        if terminal in device.terminals:
            return text
        raise self._no_terminal(device, terminal, place)

    def way(self, text: str, place: Place) -> tuple[str, str]:
        """The left and the right node of one item of a rung: a way through a device, or one point twice."""
        tag, dot, what = text.partition(".")
        if text in self.poles or tag in self.supplies or (not dot and tag not in self.declared):
            node = self.end(text, place)
            return node, node
        return self.through(self.device(tag, place), what, place)

    def through(self, device: ResolvedDevice, what: str, place: Place) -> tuple[str, str]:
        """T one terminal, A-B a way, the name of an element; nothing: a two-terminal device itself."""
        tag = device.tag
        if not what:
            return self._itself(device, place)
        if what in device.terminals:
            return f"{tag}.{what}", f"{tag}.{what}"
        ways = [(a, b) for a, b in _splits(what) if a in device.terminals and b in device.terminals]
        if len(ways) == 1:
            return self._joined(device, *ways[0], place)
        if len(ways) > 1:
            says = " or ".join(f"from {a} to {b}" for a, b in ways)
            message = f"{tag}.{what} may go {says}; name the terminals one by one."
            raise self._wrong("ambiguous-way", message, place, about=inside_of(tag))
        if what in device.elements:
            return self._element(device, what, place)
        raise self._no_terminal(device, what, place)

    def device(self, tag: str, place: Place) -> ResolvedDevice:
        """The device of that tag; what is wrong with it is said once."""
        if tag not in self.declared and tag not in self.said:
            self.said.add(tag)
            near = meant(tag, [*self.declared, *self.supplies])
            message = f"no device or supply is called {tag}.{near}"
            raise self._wrong("unknown-device", message, place, about=(tag, *NODES))
        if tag not in self.devices:
            raise BadInput([])
        return self.devices[tag]

    def _bare(self, text: str, place: Place) -> str:
        if self.splices is not None and text in self.splices:
            return text
        if text in self.declared:
            device = self.devices.get(text)
            has = f" It has {', '.join(device.terminals)}." if device else ""
            message = f"{text} is a device; say at which terminal.{has}"
            raise self._wrong("terminal-missing", message, place, about=inside_of(text))
        if text in self.supplies:
            has = ", ".join(p.terminal for p in self.poles.values() if p.supply == text)
            raise self._wrong("terminal-missing", f"{text} is a supply; say at which pole: {has}.", place)
        if self.splices is None:
            return text
        hint = "A splice is made by a step of its own: splice: {name: S1, join: [W7]}."
        message = f"no splice is called {text}.{meant(text, self.splices)}"
        raise self._wrong("unknown-splice", message, place, hint=hint, about=(text, SPLICES, *CONDUCTORS))

    def _itself(self, device: ResolvedDevice, place: Place) -> tuple[str, str]:
        tag, terminals = device.tag, device.terminals
        if len(terminals) == 2:
            return f"{tag}.{terminals[0]}", f"{tag}.{terminals[1]}"
        if len(terminals) == 1:
            return f"{tag}.{terminals[0]}", f"{tag}.{terminals[0]}"
        has = f"{tag} has {len(terminals)} terminals: {', '.join(terminals)}"
        message = f"{has}; say which way through it, {tag}.A-B."
        raise self._wrong("way-missing", message, place, about=inside_of(tag))

    def _joined(self, device: ResolvedDevice, a: str, b: str, place: Place) -> tuple[str, str]:
        """The way from a to b, where something inside the device leads from the one to the other."""
        if b not in inside(device, a):
            leads = sorted(inside(device, a) & set(device.terminals) - {a}, key=device.terminals.index)
            to = (
                f"From {a} there is a way to {', '.join(leads)}."
                if leads
                else f"Nothing inside leads from {a}."
            )
            message = f"{device.tag} has nothing between {a} and {b}. {to}"
            raise self._wrong("no-way-through", message, place, about=inside_of(device.tag))
        return f"{device.tag}.{a}", f"{device.tag}.{b}"

    def _element(self, device: ResolvedDevice, name: str, place: Place) -> tuple[str, str]:
        spec, tag = device.elements[name], device.tag
        ends = spec.secondary if isinstance(spec, models.Transformer) else spec.across
        inner = [e for e in ends if e not in device.terminals]
        if inner or isinstance(spec, models.Transformer):
            why = "has two sides" if not inner else f"ends inside the device at {inner[0]}"
            message = f"{tag}.{name} {why}; name the terminals: {tag}.A-B."
            raise self._wrong("ambiguous-way", message, place, about=inside_of(tag))
        return f"{tag}.{ends[0]}", f"{tag}.{ends[1]}"

    def _no_terminal(self, device: ResolvedDevice, terminal: str, place: Place) -> BadInput:
        has = ", ".join(device.terminals)
        article = "an" if device.type_name[:1] in "aeiou" else "a"
        message = (
            f"{device.tag} has no terminal {terminal}; {article} {device.type_name} has {has}."
            f"{meant(terminal, [*device.terminals, *device.elements])}"
        )
        others = ((self.declared[device.tag], "declared here"),) if device.tag in self.declared else ()
        about = [f"{device.tag}.{terminal}", *inside_of(device.tag)]
        about += [SPLICES] if terminal == "joint" else []  # what a step in series makes
        return self._wrong("unknown-terminal", message, place, others, about=about)

    def _no_pole(self, supply: str, pole: str, place: Place) -> BadInput:
        has = [p.terminal.partition(".")[2] for p in self.poles.values() if p.supply == supply]
        message = f"{supply} has no pole {pole}; it has {', '.join(has)}.{meant(pole, has)}"
        return self._wrong("unknown-terminal", message, place)

    def _wrong(
        self,
        code: str,
        message: str,
        place: Place,
        others: tuple[tuple[Place, str], ...] = (),
        hint: str = "",
        about: Collection[str] = (),
    ) -> BadInput:
        return BadInput([Problem(code, message, place, others, hint, tuple(about))])


def inside(device: ResolvedDevice, start: str) -> set[str]:
    """Everything that hangs together with one terminal inside the device, whatever the positions."""
    if device.type.joined:
        return set(device.terminals)
    found, left = {start}, [start]
    pairs = [pair for spec in device.elements.values() for pair in _pairs(spec)]
    while left:
        here = left.pop()
        for a, b in pairs:
            other = b if a == here else a if b == here else None
            if other is not None and other not in found:
                found.add(other)
                left.append(other)
    return found


def _pairs(spec: models.Element) -> list[tuple[str, str]]:
    if isinstance(spec, models.Transformer):
        return [(spec.primary[0], tap) for tap in spec.primary[1:]] + [spec.secondary]
    return [spec.across]


def _splits(text: str) -> list[tuple[str, str]]:
    """Every way to read A-B, as a terminal's name may hold a dash itself."""
    return [(text[:i], text[i + 1 :]) for i, c in enumerate(text) if c == "-"]
