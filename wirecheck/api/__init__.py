"""One function for each command: joins the rooms, no logic of its own. All raise BadInput."""

from wirecheck.api.answers import lift, live, meter, mistakes, ohms, ramp, states, verify
from wirecheck.api.drawings import connections, draw, overview, page, png
from wirecheck.api.field import card, jobsheet
from wirecheck.api.files import circuit_of, pair_of, unit_of
from wirecheck.api.fleet import sweep_of, swept, titles
from wirecheck.api.learning import find, find_on, ground, read, sitting
from wirecheck.api.library import unit_kind, unit_kinds
from wirecheck.api.records import recheck, record, sign
from wirecheck.api.reference import codes, device, devices, explain, schemas
from wirecheck.api.starting import apply, begin, kind_text

__all__ = [
    "apply",
    "begin",
    "card",
    "circuit_of",
    "codes",
    "connections",
    "device",
    "devices",
    "draw",
    "explain",
    "find",
    "find_on",
    "ground",
    "jobsheet",
    "kind_text",
    "lift",
    "live",
    "meter",
    "mistakes",
    "ohms",
    "overview",
    "page",
    "pair_of",
    "png",
    "ramp",
    "read",
    "recheck",
    "record",
    "schemas",
    "sign",
    "sitting",
    "states",
    "sweep_of",
    "swept",
    "titles",
    "unit_kind",
    "unit_kinds",
    "unit_of",
    "verify",
]
