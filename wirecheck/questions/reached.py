"""A reachable state with delays or relays as they are named: for readings that switches alone do not fix."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.engine.ask import Asked, ask
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer
from wirecheck.engine.world import World
from wirecheck.questions.meter import Reading, at_normal, blended, chosen, read_estimates, stood

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Estimate
    from wirecheck.engine.answers import Outcome
    from wirecheck.engine.world import Setting
    from wirecheck.questions.holding import Holding


def meter(holding: Holding, a: str, b: str) -> Reading | None:
    """The reading in the reachable state nearest to power-up that has what is held; None where none has.

    Inputs not held stand at normal. Raises Impossible, TooMany.
    """
    circuit, held = holding.circuit, holding.inputs
    fixed = World(circuit, held={**at_normal(circuit, held), **held})
    setting = chosen(fixed, held)
    inputs = fixed.inputs(True, setting)

    def run(scenario: Mapping[str, int]) -> tuple[Reading | None, list[Estimate]]:
        plain = Plain(circuit, scenario)
        end = _reached(holding, plain, fixed, setting)
        if end is None:
            return None, list(plain.sensitive.values())
        reading = stood(plain, inputs, (end,), a, b)
        return reading, [*plain.sensitive.values(), *read_estimates(plain, inputs, (end,), a, b)]

    asked = ask(run)
    found = {ends: reading for ends, reading in asked.answers.items() if reading is not None}
    if len(found) < len(asked.answers):
        says = "whether such a state is reached depends on what the file does not say"
        fields = asked.deciding(lambda r: r is None)
        return Reading("unknown", None, says, fields) if found else None
    words = tuple(fixed.words(setting, listed_only=False).items())
    return replace(blended(Asked(asked.fields, found)), inputs=words)


def _reached(holding: Holding, plain: Plain, fixed: World, setting: Setting) -> Outcome | None:
    """Where some way leads, with every input free on the way and as in `setting` at its end."""
    world = World(holding.circuit, named=fixed.index)
    explorer = Explorer(world, plain).run()
    wanted = fixed.words(setting, listed_only=False)
    for joint in explorer.came:
        words = explorer.words(True, joint.setting, joint.after)
        delays = {d: "moved" if m else "rest" for d, m in words.delays.items()}
        stands = world.words(joint.setting, listed_only=False)
        if all(stands.get(n, w) == w for n, w in wanted.items()) and holding.admits(delays, words.relays):
            return joint.after
    return None
