"""The digest of a meaning: what leaves it as it is, and that every scalar of a file changes it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.cli.conftest import PLAYHOUSE
from tests.record.altered import meant, outcomes
from tests.record.conftest import DATA
from wirecheck.questions import meaning

if TYPE_CHECKING:
    import random
    from pathlib import Path

UNIT, CHANGE = DATA / "unit.yaml", DATA / "change.yaml"
# If this fails and equal files ought to mean what they meant, raise meaning.FORM and take the new digests:
# records of before are then told to be of another form, not to differ.
PINNED = {
    1: (
        "sha256:9e160b77eed55c593d3287eef5d6bd34d650b400d0bd6b70fbad025cd1312930",
        "sha256:15296917f50d5202890deb45d8f212189e7d1299f5e9f073011c51e20d0ab78e",
    )
}


def test_digests_of_one_form_stay_what_they_are() -> None:
    assert (meant(UNIT), meant(UNIT, CHANGE)) == PINNED[meaning.FORM]


SAME = {
    "comments": (r"^#.*$", "# other words altogether"),
    "a comment at the end of a line": (r"gauge: 14 AWG\}$", "gauge: 14 AWG}  # thick"),
    "a figure in quotes with its unit": (r"volts: 120,", 'volts: "120 V",'),
    "another unit of measure": (r"length: 4 ft", "length: 48 in"),
    "another prefix": (r"watts: 600", "watts: 0.6 kW"),
    "degrees": (r"opens_above: 95 degF", "opens_above: 35 degC"),
    "a gauge without its unit": (r"gauge: 18 AWG", "gauge: 18"),
    "the format said": (r"^unit:", "format: 1\nunit:"),
    "blank lines": (r"^wires:", "\n\n\nwires:"),
}


@pytest.mark.parametrize("name", SAME)
def test_the_same_meaning(name: str, tmp_path: Path) -> None:
    text = UNIT.read_text(encoding="utf-8")
    other, count = re.subn(SAME[name][0], SAME[name][1], text, flags=re.MULTILINE)
    assert count and other != text
    (tmp_path / "unit.yaml").write_text(other, encoding="utf-8")
    assert meant(tmp_path / "unit.yaml") == meant(UNIT)


@settings(max_examples=15, deadline=None)
@given(st.randoms(use_true_random=False))
def test_order_and_form_of_yaml_say_nothing(
    tmp_path_factory: pytest.TempPathFactory, r: random.Random
) -> None:
    """Read by a general YAML library, shuffled, and written by it: all comments and the layout are lost."""
    tree = yaml.load(UNIT.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506 all text
    for section in ("supplies", "conditions", "devices"):
        tree[section] = dict(r.sample([*tree[section].items()], len(tree[section])))
    tree["devices"] = {tag: dict(r.sample([*d.items()], len(d))) for tag, d in tree["devices"].items()}
    tree["wires"] = r.sample(tree["wires"], len(tree["wires"]))
    tree["expects"] = r.sample(tree["expects"], len(tree["expects"]))
    path = tmp_path_factory.mktemp("shuffled") / "unit.yaml"
    path.write_text(
        yaml.safe_dump(dict(r.sample([*tree.items()], len(tree))), sort_keys=False), encoding="utf-8"
    )
    assert meant(path) == meant(UNIT)


def test_a_change_means_the_same_by_number_or_by_sight_and_on_a_unit_that_differs_elsewhere(
    tmp_path: Path,
) -> None:
    by_sight = CHANGE.read_text(encoding="utf-8").replace("lift: {wire: C1.1,", "lift: {wire: {at: TS.1},")
    (tmp_path / "change.yaml").write_text(by_sight, encoding="utf-8")
    elsewhere = UNIT.read_text(encoding="utf-8").replace("color: white", "color: grey")
    (tmp_path / "unit.yaml").write_text(elsewhere, encoding="utf-8")
    assert meant(tmp_path / "unit.yaml", tmp_path / "change.yaml") == meant(UNIT, CHANGE)
    assert meant(tmp_path / "unit.yaml") != meant(UNIT)


def changes_nothing(path: tuple[str | int, ...]) -> bool:
    """What does not count: the unit of measure in which a quantity is printed; figures carry their own."""
    return path[0] == "conditions" and path[-1] == "unit"


WALKED = {
    "the small unit": (UNIT, None, 1),
    "its change": (UNIT, CHANGE, 1),
    "the playhouse, every ninth": (PLAYHOUSE / "unit.yaml", None, 9),
    "its change, every third": (PLAYHOUSE / "unit.yaml", PLAYHOUSE / "change.yaml", 3),
}


@pytest.mark.parametrize("name", WALKED)
def test_every_scalar_of_a_file_changes_what_it_means(name: str, tmp_path: Path) -> None:
    """`python -m tests.record.altered FILE...` walks whole files; all examples were."""
    unit, change, step = WALKED[name]
    text = None if change is None else change.read_text(encoding="utf-8")
    found = outcomes(tmp_path, unit.read_text(encoding="utf-8"), text, step)
    assert [o for o in found if not o.changes and not changes_nothing(o.scalar.path)] == []
    # Most values have another one that the reader takes, or nothing was shown.
    assert sum(o.other is not None for o in found) >= 2 / 3 * len(found)


def test_a_figure_that_no_json_holds_is_text_and_unknown_things_are_refused() -> None:
    assert meaning.tree(float("inf")) == "inf"
    assert meaning.tree(-0.0) == 0.0
    assert meaning.tree(complex(2.4e-15, 120)) == [0.0, 120.0]
    with pytest.raises(TypeError):
        meaning.tree(object())
