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
    """One line for each definition: short, and a change shows where it is."""
    lines = [f"  {_json(name)}: {_json(part)}" for name, part in sorted(schema.pop("$defs").items())]
    head = [f" {_json(key)}: {_json(value)}" for key, value in schema.items()]
    return "{\n" + ",\n".join(head) + ',\n "$defs": {\n' + ",\n".join(lines) + "\n }\n}\n"


def _json(part: Any) -> str:
    return json.dumps(part, ensure_ascii=False, sort_keys=True)


def _file_schema(model: type[Model], title: str) -> dict[str, Any]:
    schema = model.model_json_schema(by_alias=True)
    definitions = schema["$defs"]
    definitions["Device"] = _devices(definitions)
    plain = _plain({"$schema": DIALECT, **schema})
    _share(plain["$defs"])
    return {"title": title, **plain}


def _plain(part: Any) -> Any:
    """Without titles, and without the null of a key left out: our reader takes no empty value."""
    if isinstance(part, list):
        return [_plain(p) for p in part]
    if not isinstance(part, dict):
        return part
    part = {k: v for k, v in part.items() if not (k == "title" and isinstance(v, str))}
    if part.get("default", 0) is None:
        del part["default"]
        choices = [c for c in part.pop("anyOf", []) if c != {"type": "null"}]
        part |= choices[0] if len(choices) == 1 else {"anyOf": choices} if choices else {}
    return {k: _plain(v) for k, v in part.items()}


def _share(definitions: dict[str, Any]) -> None:
    """Fields that several definitions have alike become definitions themselves."""
    names: dict[str, str] = {}
    shared: dict[str, Any] = {}
    for part in definitions.values():
        for field, schema in part.get("properties", {}).items():
            if "$ref" in schema or "const" in schema:
                continue
            text = _json(schema)
            if text not in names:
                taken = sum(n == f"field-{field}" or n.startswith(f"field-{field}-") for n in shared)
                names[text] = f"field-{field}" if not taken else f"field-{field}-{taken + 1}"
                shared[names[text]] = schema
            part["properties"][field] = {"$ref": f"#/$defs/{names[text]}"}
    definitions.update(shared)


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
                "if": {"properties": {"type": {"const": name}}, "required": ["type"]},
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
