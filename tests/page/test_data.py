"""The diagram that a page looks up in, against the plain evaluator; and the diagram by itself."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.page.pages import EXAMPLES, Engine
from wirecheck.api.files import pair_of
from wirecheck.draw.scene import Scene, of_stretch
from wirecheck.draw.slices import slices
from wirecheck.draw.svg import panel_svg
from wirecheck.engine.levels import LEVELS, things
from wirecheck.questions.shown.answer import Shown, shown
from wirecheck.questions.shown.diagram import Diagram
from wirecheck.report.page.drawings import scene

BITS = 5
SETTINGS = st.integers(0, (1 << (1 << BITS)) - 1)


@given(SETTINGS, SETTINGS, SETTINGS)
def test_a_diagram_says_what_its_vectors_say(one: int, other: int, care: int) -> None:
    diagram = Diagram(BITS)
    values = {0: ~one, 1: one & ~other, 2: one & other}
    ref = diagram.vector({v: w & ((1 << (1 << BITS)) - 1) for v, w in values.items()}, care)
    assert (ref is None) == (care == 0)
    for k in range(1 << BITS):
        if care >> k & 1:
            assert ref is not None
            assert diagram.value(ref, k) == (one >> k & 1) * (1 + (other >> k & 1))


@given(SETTINGS, SETTINGS)
def test_what_is_put_together_is_so_everywhere(one: int, other: int) -> None:
    diagram, every = Diagram(BITS), (1 << (1 << BITS)) - 1
    a, b = (diagram.vector({0: every ^ w, 3: w}, every) for w in (one, other))
    assert a is not None
    assert b is not None
    for k in range(1 << BITS):
        x, y = diagram.value(a, k), diagram.value(b, k)
        assert diagram.value(diagram.highest([a, b]), k) == max(x, y)
        assert diagram.value(diagram.lowest([a, b]), k) == min(x, y)
    kept, number = diagram.kept([a])
    assert all(number.get(a, a) < len(kept) for a in (a,))


def state_of(page: Shown, engine: Engine, joint: object) -> int:
    """The number of a joint state in the diagram."""
    index = page.fast.index_of(joint.setting)  # type: ignore[attr-defined]
    found = [
        page.state(index, c.key)
        for c in page.fast.classes
        if index >> page.fast.space.low == c.key.chunk
        and c.reached >> (index - c.first) & 1
        and c.joint(index) == joint
    ]
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize("example", ["tidewater-playhouse", "lockout", "off-delay-fan", "walk-in-pump-down"])
def test_lines_that_are_no_conductor(example: str) -> None:
    """Of a line of the ladder: from the diagram what the same rule says of one state."""
    folder = EXAMPLES / example
    changed = pair_of(str(folder / "unit.yaml"), str(folder / "change.yaml"))
    page, engine = shown(changed), Engine(example)
    for joint in engine.joints[:: max(1, len(engine.joints) // 12)]:
        state = state_of(page, engine, joint)
        for side in ("before", "after"):
            inputs = engine.world.inputs(side == "after", joint.setting)
            (end,) = (joint.after,) if side == "after" else joint.befores
            plain = engine.meters[side].of_outcome(inputs, end)
            here = scene(page, side, state)
            assert here.levels == {t: plain[t] for t in things(here.circuit)}
            told = Scene(here.circuit, plain, here.closed, here.words, living=True)
            for part in slices(changed):
                panel_svg(part.panels[side], told)
            assert len(told.lines) > 5
            for line in told.lines.values():
                ref = of_stretch(line, lambda thing, side=side: page.ref(side, *thing), page.diagram)
                assert LEVELS[page.diagram.value(ref, state)] == told.of_line(line)
