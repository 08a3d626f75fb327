"""One profile: the same examples on every run, no clock."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, Phase, settings

from tests.balance import weigh_all

settings.register_profile(
    "laws", derandomize=True, deadline=None, max_examples=20, database=None, print_blob=False,
    phases=[Phase.explicit, Phase.generate],  # to shrink takes minutes
    suppress_health_check=[
        HealthCheck.too_slow, HealthCheck.function_scoped_fixture, HealthCheck.filter_too_much,
    ],
)  # fmt: skip
settings.load_profile("laws")


@pytest.fixture(autouse=True)
def weighed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Every AC solution that a law comes upon is weighed."""
    return weigh_all(monkeypatch)
