"""Contacts against what they switch: volts, running and locked-rotor amps, volt-amps of coils."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ratings.marks import Limit, Mark, Watch, amount, exceeds
from wirecheck.checks.ratings.moments import Span, exactly
from wirecheck.checks.ratings.noted import note_between
from wirecheck.circuit.elements import ByPosition

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from wirecheck.checks.ratings.carried import Carried
    from wirecheck.checks.ratings.moments import Look, Moment
    from wirecheck.checks.ratings.scene import Scene
    from wirecheck.circuit.elements import Contact, Device
    from wirecheck.circuit.graph import Circuit

# A contact marked with running amps alone makes this many times as much: the factor that the contract takes
# for a motor's locked-rotor current; category AC-8 makes 6 times (IEC 60947-4-1 table 7, from memory).
MAKES = 6.0
# A pilot-duty contact makes ten times the VA that it breaks: 7200 to 720, 3600 to 360, 1800 to 180
# (control-circuit classification sheet, NEMA and IEC 947-5-1; facts.md 2.4).
PILOT_MAKES = 10.0
# Under 120 V the current of the 120 V column governs, not the VA (from memory: NEMA ICS 5).
PILOT_VOLTS = 120.0
# Nominal volts over the nameplate's of the same system, at most 240/230 or 480/460 (ANSI C84.1, from memory).
NAMEPLATE = 1.05


def marks(scene: Scene) -> Iterator[Mark]:
    """What is to be said of the contacts of each device after the change."""
    for device in scene.after.devices.values():
        own = (c for c in scene.after.contacts.values() if c.device == device.tag)
        of = [c for c in own if not hidden(scene.after, c)]
        if of:
            yield from OneDevice(scene, device, of).marks()


def hidden(circuit: Circuit, c: Contact) -> bool:
    """The overload inside a motor, and what a PTC device does by its heat, are no contacts to be rated."""
    if not isinstance(c.mover, ByPosition):
        return False
    return circuit.inputs[c.mover.input].opened_only_by_name or (
        circuit.by_motor(c) and c.mover.input.endswith(".warm")
    )


class OneDevice:
    """The contacts of one device: of each figure the worst of all of them."""

    def __init__(self, scene: Scene, device: Device, contacts: list[Contact]) -> None:
        self.scene, self.device, self.contacts = scene, device, contacts
        self.own = scene.brought(device.tag)
        self.rated = any(figures_of(c) for c in contacts)
        self.watches: dict[tuple[str, float], Watch] = {}
        self.lacks: dict[tuple[str, ...], str] = {}  # the fields that are missing -> what cannot be judged

    def marks(self) -> Iterator[Mark]:
        for c in self.contacts:
            OneContact(self, c).look()
        for watch in self.watches.values():
            yield from watch.mark()
        for fields, says in self.lacks.items():
            yield Mark(self.device.tag, "note", f"{says} ({', '.join(fields)})", fields=fields)
        yield from self.exchanged()

    def exchanged(self) -> Iterator[Mark]:
        """A note where a contact is marked for fewer amps with a rotor locked than with it running."""
        for r in (c.rating for c in self.contacts):
            if r.fla is not None and r.lra is not None and r.lra < r.fla:
                fields = (f"{self.device.tag}.contact.fla", f"{self.device.tag}.contact.lra")
                amps = f"{amount(r.fla)} A running and {amount(r.lra)} A with rotors locked"
                says = f"its contact is marked for {amps} ({', '.join(fields)}): exchanged?"
                yield Mark(self.device.tag, "note", says, fields=fields)
                return


class OneContact:
    """One contact in every state. `before`: what it carried in every network of the unit before."""

    def __init__(self, of: OneDevice, c: Contact) -> None:
        self.of, self.c, self.rating = of, c, c.rating
        self.before = of.scene.carried_before(c.id)
        self.open_before = max((volts_at(w, c) for w in of.scene.old), default=0.0)
        self._most: dict[str, float | None] = {}
        self.called = f"{c.id.removeprefix(f'{c.device}.')} " if len(of.contacts) > 1 else ""
        unlike = of.rated and not figures_of(c)  # an auxiliary contact is rated by itself
        self.field = c.id if unlike else f"{c.device}.contact"

    def look(self) -> None:
        for moment in self.of.scene.seen:
            here = self.of.scene.now.carried(moment.now).get(self.c.id)
            self.volts(moment, here)
            if here is not None and (here.amps or here.missing):
                self.amps(moment, here)

    def watch(self, key: str, limit: float, unit: str, was: float | None, source: str = "as marked") -> Watch:
        """The watch of this figure; its `was` grows to the worst of all contacts of the device."""
        watches = self.of.watches
        if (key, limit) not in watches:
            tolerance = NAMEPLATE if key == "volts" else 1.0
            place = Limit(limit, unit, f"{self.field}.{key}", source)
            watches[key, limit] = Watch(self.c.device, place, self.of.own, was, tolerance)
        found = watches[key, limit]
        if was is not None:
            found.was = max(found.was or 0.0, was)
        return found

    def most(self, name: str, figure: Callable[[Carried], float]) -> float | None:
        """The worst of a figure before, kept by its name; None where there was no such contact."""
        if name not in self._most:
            self._most[name] = max((figure(b) for b in self.before), default=None)
        return self._most[name]

    def lack(self, says: str, now: float, was: float | None, *fields: str) -> None:
        """A note of what is missing, where the change brings the contact or puts more on it."""
        if self.of.own or exceeds(now, was):
            named = tuple(f if "." in f else f"{self.field}.{f}" for f in fields)
            self.of.lacks.setdefault(named, f"{self.called}{says}")

    def note(self, moment: Moment, name: str, figure: Callable[[Carried], float], limit: float) -> None:
        """Note the estimates that put a figure of what it carries over a limit, or under."""
        self.of.scene.now.note(moment.now, self.c.id, name, figure, limit)

    def volts(self, moment: Moment, here: Carried | None) -> None:
        """Across the contact where it is open, or across what it feeds."""
        volts = max(volts_at(moment.now, self.c), here.volts if here else 0.0)
        fed_before = self.most("volts", lambda b: b.volts)
        was = None if fed_before is None else max(self.open_before, fed_before)
        if self.rating.volts is not None:
            limit = NAMEPLATE * self.rating.volts
            note_open(moment.now, self.c, limit)
            self.note(moment, "volts", lambda b: b.volts, limit)
            watch = self.watch("volts", self.rating.volts, "V", was)
            watch.see(moment.case, exactly(volts), f"{self.called}switches {{}}")
        elif here is not None and here.amps:
            says = f"switches {amount(volts)} V; the volts of its contact are not given"
            self.lack(says, volts, was, "volts")

    def amps(self, moment: Moment, here: Carried) -> None:
        was = self.most("running", lambda b: b.running.nominal)
        if here.missing:
            self.lack(f"carries the current{here.of}, of unknown amps", 1.0, was, *here.missing)
        if self.rating.fla is not None:
            self.running(moment, here, self.rating.fla, was)
            self.making(moment, here, self.rating.fla)
            if self.rating.va is not None:
                self.pilot(moment, here, self.rating.va, alone=False)
        elif self.rating.va is not None:
            self.pilot(moment, here, self.rating.va, alone=True)
        else:
            amps = f" ({amount(here.running.nominal)} A)" if here.running.nominal else ""
            says = f"carries the current{here.of}{amps}; its contact is not rated"
            self.lack(says, here.running.nominal, was, "fla")

    def running(self, moment: Moment, here: Carried, limit: float, was: float | None) -> None:
        says = f"{self.called}carries {{}}{here.of}"
        self.note(moment, "running", lambda b: b.running.nominal, limit)
        self.watch("fla", limit, "A", was).see(moment.case, here.running, says, here.missing, here.loads)

    def making(self, moment: Moment, here: Carried, fla: float) -> None:
        """Locked rotors, and coils at inrush; a fuse or breaker is not rated by what it makes."""
        if self.of.device.fuse or self.of.device.symbol == "breaker":
            return
        was = self.most("making", lambda b: b.making.nominal)
        lra, source = self.rating.lra, "as marked"
        if lra is None:
            if here.making.nominal <= fla:
                return
            lra, source = MAKES * fla, f"not given: {MAKES:g} times fla taken"
            made = amount(here.making.nominal)
            self.lack(f"makes {made} A; its locked-rotor amps are not given", here.making.nominal, was, "lra")
        fields = tuple(f"{n}.lra" for n in here.loads if here.making.low != here.making.high)
        says = f"{self.called}makes {{}}{here.of} starting"
        self.note(moment, "making", lambda b: b.making.nominal, lra)
        self.watch("lra", lra, "A", was, source).see(moment.case, here.making, says, fields, here.loads)

    def pilot(self, moment: Moment, here: Carried, limit: float, alone: bool) -> None:
        """VA of coils; alone: of all that it carries, as pilot duty is all that the contact states."""
        broken, made = breaks(here, alone), makes(here, alone)
        if not made.high:
            return
        was = self.most("breaks", lambda b: breaks(b, alone).nominal)
        self.note(moment, f"breaks {alone}", lambda b: breaks(b, alone).nominal, limit)
        self.note(moment, f"makes {alone}", lambda b: makes(b, alone).nominal, PILOT_MAKES * limit)
        loads = here.loads
        self.watch("va", limit, "VA", was).see(
            moment.case, broken, f"{self.called}breaks {{}}{here.of}", here.missing, loads
        )
        source = f"pilot duty makes {PILOT_MAKES:g} times {amount(limit)} VA"
        made_before = self.most("makes", lambda b: makes(b, alone).nominal)
        self.watch("va", PILOT_MAKES * limit, "VA", made_before, source).see(
            moment.case, made, f"{self.called}makes {{}}{here.of}", here.missing, loads
        )
        if alone and here.motors.nominal:
            motor = f"carries {amount(here.running.nominal)} A{here.of}; pilot duty is not motor duty"
            self.lack(
                motor, here.motors.nominal, self.most("motors", lambda b: b.motors.nominal), "fla", "lra"
            )
        self.low_volts(here, limit, was)

    def low_volts(self, here: Carried, limit: float, was: float | None) -> None:
        """Under 120 V the same amps as at 120 V may be all that a pilot-duty contact breaks."""
        amps, least = here.running.nominal, limit / PILOT_VOLTS
        if 0 < here.volts < PILOT_VOLTS and amps > least:
            says = (
                f"breaks {amount(amps)} A at {amount(here.volts)} V; under 120 V pilot duty of "
                f"{amount(limit)} VA may mean {amount(least)} A (from memory: NEMA ICS 5)"
            )
            self.lack(says, breaks(here, True).nominal, was, "va")


def volts_at(look: Look, c: Contact) -> float:
    """Volts across the contact where it is open."""
    if c.id not in look.plain.circuit.elements or c.id in look.shut:
        return 0.0
    return abs(look.view.between(c.a, c.b, look.plain.scenario))


def note_open(look: Look, c: Contact, limit: float) -> None:
    """Note the estimates that put the volts across an open contact over a limit, or under."""
    if c.id not in look.shut:
        note_between(look.view, c.a, c.b, limit)


def breaks(here: Carried, alone: bool) -> Span:
    """VA broken: sealed coils; alone: heaters, lamps and running motors too."""
    return here.sealed.plus(here.other.plus(here.motors).times(here.volts)) if alone else here.sealed


def makes(here: Carried, alone: bool) -> Span:
    """VA made: coils at inrush; alone: all else with rotors locked."""
    return here.inrush.plus(here.rest_making.times(here.volts)) if alone else here.inrush


def figures_of(c: Contact) -> tuple[float, ...]:
    """The figures that its rating states."""
    r = c.rating
    return tuple(f for f in (r.volts, r.fla, r.lra, r.va) if f is not None)
