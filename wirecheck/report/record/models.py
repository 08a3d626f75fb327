"""The record as a file; schemas/record.schema.json is made of it. Keys of a later version are let pass."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

FORM = 1  # of the record; raise it where one of today's readers would misread it

Verdict = Literal["pass", "fail", "unknown", "note"]
Digest = Annotated[str, Field(pattern="^sha256:[0-9a-f]{64}$")]
Words = dict[str, str]


class Part(BaseModel):
    """A mapping of the record."""

    model_config = ConfigDict(frozen=True, extra="allow", strict=True)


class Tool(Part):
    """What made the record. `code`: digest over the program's own files, which a version number is not."""

    name: str
    version: str
    code: Digest


class People(Part):
    """Names as typed in; nothing was looked up."""

    made_by: str = Field("", description="who made the change")
    reviewed_by: str = Field("", description="who reviewed it")
    date: datetime.date = Field(description="of the record")


class FileSeen(Part):
    """One of the two files. `file`: its way from the folder of the record."""

    file: str
    name: str = Field(description="the unit's or the change's own")
    bytes: Digest = Field(description="over the file as it was, byte for byte")
    meaning: Digest = Field(description="over what it means: no comment, order or unit of measure counts")
    parts: Words = Field({}, description="part of the meaning -> 16 digits of its SHA-256: which one differs")


class ChangedUnit(Part):
    """The unit as the change leaves it."""

    meaning: Digest


class State(Part):
    """One state. Switch, load or relay -> word; quantity -> range."""

    inputs: Words
    before: Words
    after: Words
    quantities: Words = {}
    route: tuple[str, ...] = Field((), description="the way of the current, after the change")
    because: tuple[str, ...] = Field((), description="why the coils are in whose contacts carry the current")
    parted: tuple[str, ...] = Field((), description="what stands open between a stopped load and its supply")
    reached: tuple[str, ...] = Field((), description="from power-up by these moves, where not by power-up")
    move: str = ""
    earlier: tuple[State, ...] = Field((), description="the states that lead here")


JOINED = {"protections": "for", "no-sneak": "through"}  # what `other` is to the subject, where it is a name


class Check(Part):
    """One check of one subject. `other`: what else it is about, such as the load that a protection stops."""

    check: str
    subject: str
    other: str = ""
    verdict: Verdict
    says: str
    counterexample: State | None = None
    fields: tuple[str, ...] = Field((), description="what would decide it")

    @property
    def about(self) -> str:
        """What it is about, in words: HP for COMP."""
        joined = JOINED.get(self.check) if self.other else None
        return f"{self.subject} {joined} {self.other}" if joined else self.subject


class Effect(Part):
    """When a load runs."""

    before: str | None = Field(description="null: it was not there")
    after: str


class Record(Part):
    """What was checked over how many states, by which version, with which result, and what was not."""

    record: int = Field(description="form of this file")
    tool: Tool
    people: People
    unit: FileSeen
    change: FileSeen
    changed: ChangedUnit
    meaning_form: int = Field(description="only digests of meaning of one form can be compared")
    verdict: Verdict
    says: str = Field(description="why, in a sentence")
    states: int = Field(ge=0, description="how many reachable states; 0: proved or left open without listing")
    steps: tuple[str, ...] = Field(description="what is done, in order")
    effect: dict[str, Effect] = {}
    checks: tuple[Check, ...]
    checks_made: tuple[str, ...] = Field((), description="every check of this version")
    assumes: tuple[str, ...] = Field((), description="assumptions and estimates")
    not_checked: tuple[str, ...] = Field((), strict=False)
    seal: Digest = Field(description="SHA-256 over the RFC 8785 form of all else in this file; no signature")
