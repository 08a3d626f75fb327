"""Every AC solution that is held against an outside one is weighed too."""

from __future__ import annotations

import pytest

from tests.balance import weigh_all


@pytest.fixture(autouse=True)
def weighed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    return weigh_all(monkeypatch)
