"""What each command loads: `--help` nothing heavy, a logic-only `verify` no numbers."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
HEAVY = {
    "pydantic",
    "pydantic_core",
    "networkx",
    "numpy",
    "lark",
    "yaml",
    "rich",
    "CoolProp",
    "graphviz",
}
LAMP = """
unit: {name: Lamp}
supplies:
  M: {kind: single-phase, volts: 24}
devices:
  SW: {type: switch}
  LP: {type: lamp, volts: 24, watts: 5}
rungs:
  - {id: C1, path: [M.L, SW, LP, M.N]}
expects:
  - LP runs exactly when SW closed
"""
LISTED = """
import sys
from wirecheck.cli import run
code = run(sys.argv[1:])
print("loaded:", *sorted(sys.modules))
sys.exit(code)
"""


def loaded(*args: str) -> set[str]:
    """The top-level modules that a command has loaded when it is done."""
    done = subprocess.run(
        [sys.executable, "-c", LISTED, *args], cwd=ROOT, capture_output=True, text=True, check=True
    )
    line = next(line for line in done.stdout.splitlines() if line.startswith("loaded: "))
    return {name.partition(".")[0] for name in line.split()[1:]}


def test_help_loads_nothing_heavy() -> None:
    assert loaded("--help") & HEAVY == set()


@pytest.mark.parametrize("command", ["verify", "states", "lift", "meter", "draw"])
def test_help_of_a_command_loads_nothing_heavy(command: str) -> None:
    """The command line library itself reads a command's arguments with pydantic from 0.29 on."""
    assert loaded(command, "--help") & (HEAVY - {"pydantic", "pydantic_core"}) == set()


def test_questions_load_no_library_of_others(tmp_path: Path) -> None:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(LAMP, encoding="utf-8")
    change.write_text("change: {name: none}\n", encoding="utf-8")
    assert loaded("verify", str(unit), str(change)) & {"CoolProp", "graphviz", "rich"} == set()


def test_a_logic_only_verify_loads_no_numbers_and_no_graphs(tmp_path: Path) -> None:
    """Nor what makes parsers: that of sentences was made ahead."""
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(LAMP, encoding="utf-8")
    change.write_text("change: {name: none}\n", encoding="utf-8")
    for command in (("verify", str(unit), str(change)), ("states", str(unit)), ("lift", str(unit), "LP")):
        assert loaded(*command) & {"numpy", "networkx", "scipy", "lark"} == set(), command
