from __future__ import annotations

import pytest

from tests.mistakes.sweep import change_of
from wirecheck.questions.mistakes.answer import Mistakes, mistakes


@pytest.fixture(scope="session")
def playhouse() -> Mistakes:
    return mistakes(change_of("tidewater-playhouse"))


@pytest.fixture(scope="session")
def pumps() -> Mistakes:
    return mistakes(change_of("two-pumps"))


@pytest.fixture(scope="session")
def lockout() -> Mistakes:
    return mistakes(change_of("lockout"))
