"""The way of the current: terminal by terminal, along conductors, links, closed contacts and impedances."""

from __future__ import annotations

from heapq import heappop, heappush
from itertools import count
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import ByCoil, Conductor, Link, Transformer
from wirecheck.engine import figures

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from wirecheck.circuit.elements import Impedance
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.solver import View

WIDEST = 1 << 20  # more ways than lead on from any one terminal
Hop = tuple[str, str]  # the words of the way taken, the terminal it leads to


def describe(wire: Conductor) -> str:
    """A conductor as the eye knows it: W7 (yellow, 18 AWG)."""
    marks = ", ".join(t for t in (wire.color, wire.gauge) if t)
    return f"{wire.id} ({marks})" if marks else wire.id


def hops(view: View, idle: bool = False) -> dict[str, list[Hop]]:
    """Every way that current can take here: zero-impedance joins, and impedances that carry some.

    idle: impedances that carry none too.
    """
    plain = view.plain
    found: dict[str, list[Hop]] = {}

    def both(a: str, b: str, words: str) -> None:
        found.setdefault(a, []).append((words, b))
        found.setdefault(b, []).append((words, a))

    for wire in plain.circuit.conductors.values():
        both(wire.a, wire.b, describe(wire))
    for element in plain.circuit.elements.values():
        if isinstance(element, Link):
            both(element.a, element.b, f"link {element.id}")
        elif isinstance(element, Transformer):
            continue
        elif element.id in plain.impedances:
            if idle or abs(view.amps(element.id, plain.scenario)) > figures.SLACK:
                both(element.a, element.b, element.id)
        elif element.id in view.shut:
            both(element.a, element.b, f"contact {element.id} closed")
    return found


def sources(view: View) -> set[str]:
    """Where current comes from and goes back to: supply poles, and the ends of secondaries."""
    ends = {t for c in view.plain.transformers.values() for t in c.secondary}
    return ends | set(view.plain.circuit.poles)


def way(
    start: str,
    goals: set[str],
    ways: dict[str, list[Hop]],
    taken: frozenset[str],
    last: Collection[str] = (),
    along: Callable[[str, str], bool] | None = None,
) -> list[Hop]:
    """The way from `start` to a goal that takes nothing in `taken`, the shortest.

    last: what is passed only where nothing else leads on, as few of them as will do: other impedances.
    along: may this be passed, to this terminal?
    """
    came: dict[str, tuple[str, str]] = {}
    queue = [(0, 0, 0, start, "", "")]
    for number in count(1):
        if not queue:
            return []
        passed, hops, _, at, source, words = heappop(queue)
        if at in came:
            continue
        came[at] = (source, words)
        if at in goals:
            break
        for k, (by, to) in enumerate(ways.get(at, ())):
            if to not in came and by not in taken and (along is None or along(by, to)):
                heappush(queue, (passed + (by in last), hops + 1, number * WIDEST + k, to, at, by))
    path = []
    while came[at][0]:
        path.append((came[at][1], at))
        at = came[at][0]
    return list(reversed(path))


def between(view: View, one: str, other: str) -> tuple[str, ...]:
    """The way from one circuit to another, a supply or a secondary, that does not pass earth."""
    plain = view.plain
    node, of = view.network.node, plain.nets.of
    earth = {node[of[t]] for t in plain.circuit.earth}
    ends = {name: ends_of(view, name) for name in (one, other)}
    ways = {
        at: [hop for hop in leads if node[of[hop[1]]] not in earth]
        for at, leads in hops(view, idle=True).items()
    }
    for start in sorted(ends[one]):
        found = way(start, ends[other], ways, frozenset()) if node[of[start]] not in earth else []
        if found:
            return (start, *(f"{words} to {t}" for words, t in found))
    return ()


def ends_of(view: View, name: str) -> set[str]:
    """The poles of a supply, or the ends of a transformer's secondary."""
    cores = view.plain.transformers.values()
    secondary = {t for core in cores if core.device == name for t in core.secondary}
    return secondary | {t for t, pole in view.plain.circuit.poles.items() if pole.supply == name}


def coils_in(view: View, lines: tuple[str, ...]) -> tuple[str, ...]:
    """Why the coils are in whose contacts carry the current along a route: a line each, what feeds them too.

    Only of contacts that a coil in closes: one that rests closed, or is held by a delay, tells nothing.
    """
    circuit, found = view.plain.circuit, dict[str, str]()
    pulled = {c.id for c in circuit.contacts.values() if not c.rests_closed and isinstance(c.mover, ByCoil)}
    pulled -= {
        c.id for c in circuit.contacts.values() if isinstance(c.mover, ByCoil) and c.mover.late == "off"
    }
    queue = list(lines)
    for line in queue:
        contact = closed_in(line)
        relay = next((r for r in circuit.relays.values() if contact in pulled & {*r.contacts}), None)
        if relay is None or relay.name in found:
            continue
        fed = route(view, relay.name)
        if fed:
            passed = [p for line in fed if (p := passed_in(circuit, line, relay.coil))]
            through = f" through {', '.join(passed)}" if passed else ""
            found[relay.name] = (
                f"{relay.name} is in: its coil is fed from {fed[0]}{through} to {fed[-1].split()[-1]}"
            )
            queue += fed
    return tuple(found.values())


def passed_in(circuit: Circuit, line: str, own: str) -> str:
    """The contact or other element that a line of a route passes; "" of conductors, links and `own`."""
    if contact := closed_in(line):
        return called(circuit, contact)
    element = line.split()[0]
    return f"{element} in series" if element in circuit.elements and element != own else ""


def called(circuit: Circuit, contact: str) -> str:
    """A contact by its device's tag, where that has no other."""
    device = circuit.contacts[contact].device
    return device if sum(c.device == device for c in circuit.contacts.values()) == 1 else contact


def closed_in(line: str) -> str:
    """The closed contact that a line of a route passes."""
    return line.split()[1] if line.startswith("contact ") else ""


def route(view: View, name: str) -> tuple[str, ...]:
    """The current's way through a load or a coil in one network, pole to pole; () where none flows."""
    plain = view.plain
    load, relay = plain.circuit.loads.get(name), plain.circuit.relays.get(name)
    if view.short is not None or (load is None and relay is None):
        return ()
    own_elements = [relay.coil] if relay is not None else view.elements_of(load) if load is not None else []
    carrying = [e for e in own_elements if abs(view.amps(e, plain.scenario)) > figures.SLACK]
    if not carrying:
        return ()
    element, own = plain.impedances[carrying[0]], frozenset(carrying)
    found = through(view, element, own, directed=True) or through(view, element, own, directed=False)
    if found is None:
        return ()
    out, back = found
    lines = [out[-1][1] if out else element.a]
    turned = [element.a, *(t for _, t in out)]
    lines += [f"{out[k][0]} to {turned[k]}" for k in range(len(out) - 1, -1, -1)]
    lines.append(f"{element.id} to {element.b}")
    lines += [f"{w} to {t}" for w, t in back]
    return tuple(lines)


def through(
    view: View, element: Impedance, own: frozenset[str], directed: bool
) -> tuple[list[Hop], list[Hop]] | None:
    """The ways from both ends of an element to where its current comes from and goes to.

    directed: other impedances are passed as the current flows in them, within a quarter turn of phase.
    """
    ways, goals, impedances = hops(view), sources(view), view.plain.impedances
    node, of = view.network.node, view.plain.nets.of
    up, down = (flowing(view, element.id, sense) if directed else None for sense in (-1, 1))
    out = way(element.a, goals, ways, own, impedances, up)
    end = node[of[out[-1][1] if out else element.a]]
    others = {t for t in goals if node[of[t]] != end}  # current comes from one potential and goes to another
    back = way(element.b, others, ways, own | {w for w, _ in out}, impedances, down)
    lost = (element.a not in goals and not out) or (element.b not in others and not back)
    return None if lost else (out, back)


def flowing(view: View, element: str, sense: int) -> Callable[[str, str], bool]:
    """May an impedance be passed to this terminal, with (1) or against (-1) the current of an element?"""
    scenario, impedances = view.plain.scenario, view.plain.impedances
    lead = view.amps(element, scenario).conjugate() * sense

    def along(by: str, to: str) -> bool:
        if by not in impedances:
            return True
        amps = view.amps(by, scenario) * (1 if to == impedances[by].b else -1)
        return (amps * lead).real > 0

    return along
