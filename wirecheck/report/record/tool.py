"""Which program it was: its version, and a digest over its own files."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import wirecheck
from wirecheck.questions.meaning import canonical, digest

NAME = "wirecheck"
DECIDING = (".py", ".yaml")  # files that can change a result


def version() -> str:
    """The installed version; "unknown" where it runs from a folder that is not installed."""
    from importlib.metadata import PackageNotFoundError
    from importlib.metadata import version as installed

    try:
        return installed(NAME)
    except PackageNotFoundError:
        return "unknown"


@cache
def code() -> str:
    """A digest over the program's files, by name: two programs of one version are told apart."""
    root = Path(wirecheck.__file__).parent
    files = sorted(p for p in root.rglob("*") if p.suffix in DECIDING and p.is_file())
    return digest(canonical([[p.relative_to(root).as_posix(), digest(p.read_bytes())] for p in files]))
