"""The rooms import one way, and each third-party library has one home."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
LINT = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"


def test_import_contracts() -> None:
    done = subprocess.run([sys.executable, "-c", LINT], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_package_itself_is_empty() -> None:
    """Or `--help` would pay for it."""
    assert (ROOT / "wirecheck" / "__init__.py").read_text(encoding="utf-8") == ""
