"""JSON schemas of the two files, for editors: `python -m wirecheck.design.schemas [FOLDER]` writes them.

An ordinary YAML 1.2 reader types what our reader keeps as text, so text fields take numbers and booleans
there, and number fields take text with a unit.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wirecheck.design.models import ChangeFile, UnitFile
from wirecheck.design.types import built_in_fields, built_in_names

if TYPE_CHECKING:
    from wirecheck.design.base import Model

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schemas() -> dict[str, str]:
    """File name -> text of each schema."""
    return {
        "unit.schema.json": _text(_file_schema(UnitFile, "Unit file")),
        "change.schema.json": _text(_file_schema(ChangeFile, "Change file")),
    }


def _text(schema: dict[str, Any]) -> str:
    return json.dumps(schema, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def _file_schema(model: type[Model], title: str) -> dict[str, Any]:
    schema = model.model_json_schema(by_alias=True)
    definitions = schema["$defs"]
    definitions["Device"] = _devices(definitions)
    return {"$schema": DIALECT, **schema, "title": title}


def _devices(definitions: dict[str, Any]) -> dict[str, Any]:
    """A device: by its `type` one of the built-in ones; of a type that the file defines, anything."""
    branches = []
    for name in built_in_names():
        own = built_in_fields(name).model_json_schema(by_alias=True)
        definitions.update(own.pop("$defs", {}))
        own["properties"]["type"] = {"const": name}
        definitions[f"device-{name}"] = own
        branches.append(
            {
                "if": {"properties": {"type": {"const": name}}},
                "then": {"$ref": f"#/$defs/device-{name}"},
            }
        )
    return {"type": "object", "required": ["type"], "allOf": branches}


def main(folder: str = "schemas") -> None:
    """Write both schemas into a folder."""
    for name, text in schemas().items():
        (Path(folder) / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:2])
