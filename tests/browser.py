"""A real Chromium: the one that is here, else one that is fetched. Without one the tests fail."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Error, sync_playwright

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Playwright

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
# Ways to come by one, in this order: with what it needs of the system, without, by the system.
WAYS = (
    (sys.executable, "-m", "playwright", "install", "--with-deps", "chromium"),
    (sys.executable, "-m", "playwright", "install", "chromium"),
    ("apt-get", "install", "-y", "--no-install-recommends", "chromium"),
)
FLAGS = ("--no-sandbox", "--disable-dev-shm-usage")


@contextmanager
def alone(name: str, patience_s: float = 600.0) -> Iterator[None]:
    """One process at a time: pytest may run on several cores."""
    lock = Path(tempfile.gettempdir()) / f"wirecheck-{name}.lock"
    end = time.monotonic() + patience_s
    while True:
        try:
            handle = os.open(lock, os.O_CREAT | os.O_EXCL)
            break
        except FileExistsError:
            if time.monotonic() > end:
                lock.unlink(missing_ok=True)  # left by a run that was killed
            time.sleep(0.2)
    try:
        os.close(handle)
        yield
    finally:
        lock.unlink(missing_ok=True)


def launched(playwright: Playwright) -> tuple[Browser | None, str]:
    """A browser that starts, or why none does."""
    paths = [None, *(path for name in NAMES if (path := shutil.which(name)))]
    why = []
    for path in paths:
        try:
            return playwright.chromium.launch(executable_path=path, args=list(FLAGS)), ""
        except Error as error:
            why.append(f"{path or 'playwright'}: {error.message.splitlines()[0]}")
    return None, "; ".join(why)


@contextmanager
def running() -> Iterator[Browser]:
    """A browser, fetched where there is none."""
    with sync_playwright() as playwright:
        found, why = launched(playwright)
        for way in WAYS if found is None else ():
            with alone("chromium"):
                found, why = launched(playwright)
                if found is None and shutil.which(way[0]):
                    done = subprocess.run(way, check=False, capture_output=True, text=True, timeout=900)
                    found, why = launched(playwright)
                    why += f" ({' '.join(way)}: {done.returncode}, {done.stderr[-300:]})"
            if found is not None:
                break
        if found is None:
            pytest.fail(f"no Chromium, and none could be installed: {why}")
        yield found
        found.close()
