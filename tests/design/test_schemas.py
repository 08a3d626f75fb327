"""The schemas are in step with the models, and take what an ordinary YAML 1.2 reader makes of valid files."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from ruamel.yaml import YAML

from wirecheck.design.schemas import main, schemas
from wirecheck.design.types import built_in_fields, built_in_names

ROOT = Path(__file__).parent.parent.parent
SOUND = ROOT / "tests" / "specimens" / "invalid" / "_unit.yaml"
FILES = sorted([*ROOT.glob("tests/specimens/valid/*/[uc]*.yaml"), *ROOT.glob("examples/*/[uc]*.yaml"), SOUND])


def plain(text: str) -> Any:
    """A file as an editor sees it: YAML 1.2, keys as text."""
    return _text_keys(YAML(typ="safe", pure=True).load(text))


def _text_keys(part: Any) -> Any:
    if isinstance(part, dict):
        return {str(k): _text_keys(v) for k, v in part.items()}
    return [_text_keys(p) for p in part] if isinstance(part, list) else part


@cache
def validator(name: str) -> jsonschema.Draft202012Validator:
    schema = json.loads(schemas()[f"{name}.schema.json"])
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def test_files_are_in_step(tmp_path: Path) -> None:
    main(str(tmp_path))
    for name, text in schemas().items():
        assert (ROOT / "schemas" / name).read_text(encoding="utf-8") == text
        assert (tmp_path / name).read_text(encoding="utf-8") == text


@pytest.mark.parametrize("path", FILES, ids=lambda p: f"{p.parent.name}-{p.stem}")
def test_an_editor_takes_every_valid_file(path: Path) -> None:
    kind = "change" if path.stem.startswith("change") else "unit"
    errors = list(validator(kind).iter_errors(plain(path.read_text(encoding="utf-8"))))
    assert [f"{e.json_path}: {e.message}" for e in errors] == []


@pytest.mark.parametrize(
    "device",
    [
        "{type: thermostat, normal: {cool: closed}, about: 3, label: true}",
        "{type: dual-run-capacitor, herm: 45 uF, fan: 5, volts: '440'}",
        "{type: dual-run-capacitor, herm: {capacitance: 45, volts: 370}}",
        "{type: fuse, isolates: true, stacks: {1: 2}}",
        "{type: switch, isolates: 'true', stacks: 2}",
        "{type: terminal-strip, terminals: 6}",
        "{type: of-my-own, whatever: [1, 2]}",
    ],
)
def test_text_for_numbers_and_numbers_for_text(device: str) -> None:
    text = f"format: 1\nunit: {{name: 3}}\ndevices:\n  D: {device}\n"
    assert list(validator("unit").iter_errors(plain(text))) == []


@pytest.mark.parametrize("name", built_in_names())
def test_every_type_refuses_an_unknown_field_in_the_editor(name: str) -> None:
    counted = ", terminals: 3" if "terminals" in built_in_fields(name).model_fields else ""
    text = f"unit: {{name: x}}\ndevices:\n  D: {{type: {name}{counted}%s}}\n"
    assert list(validator("unit").iter_errors(plain(text % ""))) == []
    assert list(validator("unit").iter_errors(plain(text % ", kolor: 1"))) != []


def test_a_device_without_type_is_one_error() -> None:
    errors = list(validator("unit").iter_errors({"unit": {"name": "x"}, "devices": {"D": {}}}))
    assert [e.message for e in errors] == ["'type' is a required property"]
