"""README's forms to copy: the unit answers as shown; every form of a step is there and is read."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from typing import TYPE_CHECKING

from tests.cli.conftest import ROOT
from wirecheck.design.models import Step
from wirecheck.design.reader import parse

if TYPE_CHECKING:
    from pathlib import Path

FORMS = (
    (ROOT / "README.md").read_text(encoding="utf-8").partition("## Forms to copy")[2].partition("\n## ")[0]
)
YAML = re.findall(r"^```yaml\n(.*?)^```$", FORMS, re.DOTALL | re.MULTILINE)


def test_the_unit_answers_as_shown(tmp_path: Path) -> None:
    (tmp_path / "mixer.yaml").write_text(
        next(y for y in YAML if y.startswith("# mixer.yaml")), encoding="utf-8"
    )
    ((command, shown),) = re.findall(
        r"^```console\n\$ wirecheck (.*?)\n(.*?)^```$", FORMS, re.DOTALL | re.MULTILINE
    )
    name, _, when = command.partition(" --when ")
    done = subprocess.run(
        [sys.executable, "-m", "wirecheck", *name.split(), "--when", when.strip('"')],
        cwd=tmp_path, env={**os.environ, "COLUMNS": "80", "NO_COLOR": "1", "PYTHONPATH": str(ROOT)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (0, shown)
    assert "moves" in shown


def test_every_form_of_a_step_is_there_and_is_read() -> None:
    steps = parse(next(y for y in YAML if y.startswith("# each form")), "README.md")["steps"]
    read = [Step.model_validate(step) for step in steps]
    forms = {f.alias or name for name, f in Step.model_fields.items()}
    assert {key for step in steps for key in step} == forms
    assert len(read) == len(forms) + 1
