"""What tests of several rooms share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One for a whole run: a process can have but one."""
    from tests.browser import running  # only where pages are looked at: the lowest versions go without

    with running() as found:
        yield found
