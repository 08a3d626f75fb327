"""What becomes of `wires` and `rungs`: each conductor of the unit as changed, under the id that it has."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from wirecheck.design.edits import Edit, flow, one_line, scalar
from wirecheck.design.tree import Items, Table
from wirecheck.report.asbuilt.section import Altered, Gone, Kept, New, Planned

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Changed
    from wirecheck.problem import Place


@dataclass
class Wires:
    """names: node -> the name under which the file has it. expand: write out every rung that was touched."""

    unit: Table
    change: Table
    changed: Changed
    names: Mapping[str, str]
    expand: bool = False

    def __post_init__(self) -> None:
        self.by = one_line(self.changed.name)
        self.after: dict[Place | None, list[Conductor]] = {}
        for wire in self.changed.after.conductors.values():
            self.after.setdefault(wire.place, []).append(wire)
        self.runs = {step["run"].place: step["run"] for step in listed(self.change, "steps") if "run" in step}
        self.written_out: list[New] = []

    def rungs(self) -> list[Planned]:
        """A rung stays while its path gives its conductors; else they are written out."""
        return [self._rung(k, rung) for k, rung in enumerate(listed(self.unit, "rungs"))]

    def _rung(self, key: int, rung: Table) -> Planned:
        places = rung["path"].places
        before = [w for w in self.changed.before.conductors.values() if w.place in places]
        after = [w for place in places for w in self.after.get(place, ())]
        if before == after:
            return Kept(key)
        path = [self._renamed(item) for item in rung["path"]]
        if not self.expand and path != [*rung["path"]] and [w.id for w in before] == [w.id for w in after]:
            said = zip(rung["path"], path, rung["path"].stretches, strict=True)
            edits = tuple(Edit(s.start, s.end, scalar(new)) for old, new, s in said if old != new)
            return Altered(key, edits, {**rung, "path": path}, why=f"devices replaced by: {self.by}")
        why = f"rung {rung['id']}, written out by: {self.by}"
        self.written_out += [New((flow(self._fields(w, rung, ("color", "gauge"))),), why) for w in after]
        return Gone(key, f"under `wires` now, touched by: {self.by}")

    def _renamed(self, item: str) -> str:
        tag, dot, rest = item.partition(".")
        for step in self.changed.replaced:
            tag = step.new if tag == step.old else tag
        return f"{tag}{dot}{rest}"

    def wires(self) -> list[Planned]:
        """Those of the file in their order, halves of a cut one in its place, then the new ones.

        To be asked after `rungs`.
        """
        own = listed(self.unit, "wires")
        plan = [entry for key, wire in enumerate(own) for entry in self._wire(key, wire)]
        known = {wire.place for wire in own}
        known |= {place for rung in listed(self.unit, "rungs") for place in rung["path"].places}
        new = [w for w in self.changed.after.conductors.values() if w.place not in known]
        return [*plan, *self.written_out, *(New((self._new(w),), f"brought by: {self.by}") for w in new)]

    def _wire(self, key: int, wire: Table) -> list[Planned]:
        found = self.after.get(wire.place, [])
        if [w.id for w in found] == [wire["id"]]:
            return [self._moved(key, wire, found[0])]
        why = "cut" if found else "taken out"
        halves = [New((flow(self._fields(w, wire)),), f"halves of {wire['id']}: {self.by}") for w in found]
        return [Gone(key, f"{why} by: {self.by}"), *halves]

    def _moved(self, key: int, wire: Table, now: Conductor) -> Planned:
        ends = {"from": self._name(now.a), "to": self._name(now.b)}
        moved = {end: node for end, node in ends.items() if wire[end] != node}
        if not moved:
            return Kept(key)
        edits = tuple(
            Edit(wire.stretches[end].start, wire.stretches[end].end, scalar(node))
            for end, node in moved.items()
        )
        was = " and ".join(one_line(wire[end]) for end in moved)
        return Altered(key, edits, {**wire, **moved}, why=f"{wire['id']}: was on {was}; {self.by}")

    def _new(self, wire: Conductor) -> str:
        """A conductor as the change writes it, where its ends are still those."""
        run = self.runs.get(wire.place)
        fields = self._fields(wire, run)
        if run is None or dict(run) != fields:
            return flow(fields)
        at = listed_stretch(self.change, run)
        text = self.change.source.text[at[0] : at[1]]
        return text if text.startswith("{") and "\n" not in text else flow(fields)

    def _fields(
        self, wire: Conductor, source: Table | None, taken: tuple[str, ...] | None = None
    ) -> dict[str, Any]:
        """The entry of a conductor: its id and ends, the rest as its source has it."""
        rest = {k: v for k, v in (source or {}).items() if k not in ("id", "from", "to")}
        rest = rest if taken is None else {k: v for k, v in rest.items() if k in taken}
        return {"id": wire.id, "from": self._name(wire.a), "to": self._name(wire.b), **rest}

    def _name(self, node: str) -> str:
        return self.names.get(node, node)


def listed(root: Table, name: str) -> list[Any]:
    """The entries of a list section; none where there is no such section."""
    found = root.get(name)
    return [*found] if isinstance(found, Items) else []


def listed_stretch(change: Table, run: Table) -> tuple[int, int]:
    """Where a `run` step's value stands in the change."""
    step = next(step for step in listed(change, "steps") if step.get("run") is run)
    found = step.stretches["run"]
    return found.start, found.end
