"""The JSON schema of a record, from its models."""

from __future__ import annotations

import json
from typing import Any

from wirecheck.design.schemas import DIALECT
from wirecheck.report.record.models import Record

NAME = "record.schema.json"


def schema() -> str:
    """The text of the schema."""
    made: dict[str, Any] = Record.model_json_schema(by_alias=True)
    return json.dumps({"$schema": DIALECT, **made}, ensure_ascii=False, indent=1, sort_keys=True) + "\n"
