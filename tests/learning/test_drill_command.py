"""The drill as a command: notes, sheets, what is typed at it, and hostile names."""

from __future__ import annotations

import io
import json
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import pytest

from tests.learning.walked import EXAMPLES, paths
from wirecheck import api, cli
from wirecheck.questions.drill.session import sheet
from wirecheck.report.drilling import sheet as paper
from wirecheck.report.readings.rungs import Ladder

if TYPE_CHECKING:
    from collections.abc import Callable

PLAYHOUSE = paths("tidewater-playhouse", "change.yaml")


class Ran(NamedTuple):
    code: int
    out: str
    err: str


@pytest.fixture
def run(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ran]:
    """The command line without a process of its own, with lines typed at its prompts."""
    monkeypatch.setenv("COLUMNS", "80")

    def go(*args: str | Path, said: str = "") -> Ran:
        monkeypatch.setattr("sys.stdin", io.StringIO(said))
        code = cli.run([*map(str, args)])
        return Ran(code, *capfd.readouterr())

    return go


def test_it_goes_on_where_it_ended(tmp_path: Path, run: Callable[..., Ran]) -> None:
    notes = str(tmp_path / "mine.json")
    first = run("drill", *PLAYHOUSE, "--notes", notes, said="lines\nnonsense\nskip\nstop\n")
    assert first.code == 0
    assert "No load is called" in first.out
    assert "0 of 1 right" in first.out
    assert "MAINS.L1 --" in first.out
    kept = json.loads(Path(notes).read_text(encoding="utf-8"))
    assert kept["turn"] == 1
    again = run("drill", *PLAYHOUSE, "--notes", notes)
    assert again.code == 0
    assert "1. Name the load" in again.out
    assert json.loads(Path(notes).read_text(encoding="utf-8")) == kept


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "this is no notebook of `drill`"),
        ("[]", 'it has no "notebook": 1'),
        (
            '{"notebook": 1, "unit": "x", "seed": "1", "turn": 0, "cards": {"runs": {}}}',
            '"runs" names no question',
        ),
        ('{"notebook": 1, "unit": "x", "seed": "1", "turn": -1, "cards": {}}', '"turn" is no count'),
        ('{"notebook": 1, "unit": "x", "seed": "1", "turn": 0, "cards": {}}', "is of another unit"),
    ],
)
def test_another_file_is_no_notebook(text: str, says: str, tmp_path: Path, run: Callable[..., Ran]) -> None:
    notes = tmp_path / "notes.json"
    notes.write_text(text, encoding="utf-8")
    done = run("drill", PLAYHOUSE[0], "--notes", notes)
    assert done.code == 2
    assert "not-a-notebook" in done.err
    assert says in " ".join(done.err.split())
    assert notes.read_text(encoding="utf-8") == text


def test_sheet_has_its_answers_apart(tmp_path: Path, run: Callable[..., Ran]) -> None:
    for ending in ("html", "md"):
        out = tmp_path / f"drill.{ending}"
        assert run("drill", *PLAYHOUSE, "--sheet", out, "--questions", "9").code == 0
        asked_part, _, answer_part = out.read_text(encoding="utf-8").partition("Answers")
        assert answer_part
        found = paper.items(g := api.ground(*PLAYHOUSE), Ladder(g.circuit), sheet(g, 9))
        for item in found:
            assert (paper.plain(item.why) if ending == "md" else item.why.split(".")[0][:20]) in answer_part
        assert len(found) == 9
        assert asked_part.count("???") == sum("???" in row for i in found for row in i.way)
    assert run("drill", PLAYHOUSE[0], "--sheet", tmp_path / "drill.pdf").code == 2


def test_an_empty_line_is_told_what_is_waited_for(run: Callable[..., Ran]) -> None:
    for said in ("\n", "help\n"):
        done = " ".join(run("drill", PLAYHOUSE[0], said=f"{said}stop\n").out.split())
        assert "Type the name of a load, such as COMP; `lines` shows the ladder, `skip` the answer" in done


def test_notes_that_nobody_would_keep_are_refused(tmp_path: Path, run: Callable[..., Ran]) -> None:
    done = run("drill", PLAYHOUSE[0], "--notes", tmp_path / "n.json", "--sheet", tmp_path / "s.md")
    assert done.code == 2
    assert "--sheet asks nobody: there are no notes to keep" in done.err
    assert not [*tmp_path.iterdir()]
    assert "a file for the notebook was expected" in run("drill", PLAYHOUSE[0], "--notes", tmp_path).err


# --- hostile names ------------------------------------------------------------------------------------

HOSTILE = "A<script>alert(1)</script>\u202eevil\u0007 [x](javascript:1) `x` =1+1"


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> str:
    text = (EXAMPLES / "tidewater-playhouse" / "unit.yaml").read_text(encoding="utf-8")
    quoted = json.dumps(HOSTILE)
    text = text.replace("name: CU-3, dimmer room", f"name: {quoted}").replace(
        "color: yellow", f"color: {quoted}"
    )
    path = tmp_path_factory.mktemp("hostile") / "unit.yaml"
    path.write_text(text, encoding="utf-8")
    return str(path)


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.add(tag)


def test_a_hostile_name_is_inert_everywhere(hostile: str, tmp_path: Path, run: Callable[..., Ran]) -> None:
    texts = [
        run("read", hostile).out,
        run("read", hostile, "FAN").out,
        run("find", hostile, "--seen", "COMP runs, FAN off").out,
        run("find", hostile, "--seen", "COMP off", "--json", "-").out,
        run("drill", hostile, said="skip\n" * 6).out,
    ]
    for ending in ("html", "md"):
        out = tmp_path / f"s.{ending}"
        assert run("drill", hostile, "--sheet", out, "--questions", "14").code == 0
        texts.append(out.read_text(encoding="utf-8"))
    for text in texts:
        assert "evil" in text
        assert not re.search("[\u0007\u202e]", text)
    tags = Tags()
    tags.feed(texts[-2])
    assert "script" not in tags.tags
    outside_fences = re.sub(r"```.*?```", "", texts[-1], flags=re.DOTALL)
    assert "<script" not in outside_fences
    assert "[x](" not in outside_fences
