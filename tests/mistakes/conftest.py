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


@pytest.fixture(scope="session")
def pump_down() -> Mistakes:
    return mistakes(change_of("walk-in-pump-down"))


@pytest.fixture(scope="session")
def delayed() -> Mistakes:
    return mistakes(change_of("anti-short-cycle"))
