"""One function for each command: joins the rooms, no logic of its own. All raise BadInput."""

from wirecheck.api.answers import lift, meter, mistakes, ohms, ramp, states, verify
from wirecheck.api.drawings import draw, overview
from wirecheck.api.files import circuit_of, pair_of, unit_of
from wirecheck.api.reference import codes, device, devices, explain, schemas

__all__ = [
    "circuit_of",
    "codes",
    "device",
    "devices",
    "draw",
    "explain",
    "lift",
    "meter",
    "mistakes",
    "ohms",
    "overview",
    "pair_of",
    "ramp",
    "schemas",
    "states",
    "unit_of",
    "verify",
]
