from __future__ import annotations

from tests.cli.conftest import here

__all__ = ["here"]
