"""The page of a record: it says what the record says, and nothing that a file says acts in it."""

from __future__ import annotations

import json
from html.parser import HTMLParser
from typing import TYPE_CHECKING

import pytest

from tests.record.conftest import edit

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.cli.conftest import Result

    Here = Callable[..., Result]


class Page(HTMLParser):
    """Tags with their attributes, and the text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.texts.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.texts).split())


def page(path: Path) -> Page:
    return Page(path.read_text(encoding="utf-8"))


def test_it_says_what_the_record_says(here: Here, fan: Path) -> None:
    here("record", "unit.yaml", "change-across.yaml", "-o", "r.json", "--made-by", "A. Hand")
    found, text = json.loads((fan / "r.json").read_text(encoding="utf-8")), page(fan / "r.html").text
    for check in found["checks"]:
        assert " ".join(check["says"].replace("`", "").split()) in text
    for said in (*found["steps"], *found["assumes"], *found["not_checked"], found["says"], found["seal"]):
        assert said.replace("`", "") in text
    for file in (found["unit"], found["change"]):
        assert file["bytes"] in text
        assert file["meaning"] in text
    assert text.count("signature, date") == 2
    assert "A. Hand" in text and "not named" in text
    assert "HTR off on , differs" in text
    assert "no signature" in text and "licensed person decide" in text


HOSTILE = {
    "markup": '</td><script>alert(1)</script><img src=x onerror="alert(1)">',
    "a style": "</style><style>*{display:none}</style>",
    "a template": "{{ 7*7 }}{% raw %}",
    "an entity": "&lt;script&gt; &#x202E;",
    "a formula": "=HYPERLINK('http://x','y')",
    "direction": "abc\u202egnp.exe\u2066\u200f",
    "control": "a\x85b\x9b31m",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_inert(here: Here, fan: Path, name: str) -> None:
    said = HOSTILE[name]
    here("record", "unit.yaml", "change-across.yaml", "-o", "sound.json")
    quoted = json.dumps(said)
    edit(fan / "unit.yaml", '"Proofer [P-2]"', quoted)
    edit(
        fan / "unit.yaml",
        "W2, from: K1.NO, to: HTR.1, color: red",
        f"W2, from: K1.NO, to: HTR.1, color: {quoted}",
    )
    edit(fan / "change-across.yaml", '"Door switch across the thermostat <b>"', quoted)
    done = here(
        "record", "unit.yaml", "change-across.yaml", "-o", "r.json", "--made-by", said, "--reviewed-by", said
    )
    assert done.code == 1, done.err
    assert page(fan / "r.html").tags == page(fan / "sound.html").tags
    shown = (fan / "r.html").read_text(encoding="utf-8")
    assert all(c.isprintable() or c == "\n" for c in shown)
    if said.isprintable():
        assert " ".join(said.split()) in page(fan / "r.html").text
    text = (fan / "r.json").read_text(encoding="ascii")
    assert json.loads(text)["unit"]["name"] == said
    told = here("recheck", "r.json")
    assert told.code == 0
    assert all(c.isprintable() or c == "\n" for c in told.out)


def test_it_needs_nothing_from_outside_and_runs_nothing(here: Here, fan: Path) -> None:
    here("record", "unit.yaml", "change.yaml", "-o", "r.json")
    tags = page(fan / "r.html").tags
    assert not {tag for tag, _ in tags} & {"script", "link", "img", "iframe", "object", "embed", "form", "a"}
    assert not [a for _, attrs in tags for a in attrs if a.startswith("on") or a in ("href", "src")]
    assert ("meta", {"charset": "utf-8"}) in tags
    assert any("default-src 'none'" in (attrs.get("content") or "") for _, attrs in tags)
