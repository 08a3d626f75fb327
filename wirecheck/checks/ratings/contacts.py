"""Contacts against what they switch: volts, running and locked-rotor amps, volt-amps of coils."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ratings.carried import Carried
from wirecheck.checks.ratings.marks import Limit, Mark, Watch, amount, exceeds
from wirecheck.checks.ratings.moments import Span, exactly
from wirecheck.circuit.elements import ByPosition

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.checks.ratings.carried import Survey
    from wirecheck.checks.ratings.moments import Look, Moment
    from wirecheck.circuit.elements import Contact
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


def marks(pair: Pair, seen: list[Moment], now: Survey, was: Survey) -> Iterator[Mark]:
    """What is to be said of each contact after the change."""
    for c in pair.changed.after.contacts.values():
        if not hidden(pair.changed.after, c):
            yield from OneContact(pair, c, now, was).marks(seen)


def hidden(circuit: Circuit, c: Contact) -> bool:
    """The overload inside a motor is the motor's own."""
    return isinstance(c.mover, ByPosition) and circuit.inputs[c.mover.input].opened_only_by_name


class OneContact:
    """One contact's figures over all states."""

    def __init__(self, pair: Pair, c: Contact, now: Survey, was: Survey) -> None:
        self.c, self.now, self.was = c, now, was
        self.own = c.device in pair.changed.brought
        circuit = pair.changed.after
        self.device = circuit.devices[c.device]
        several = sum(x.device == c.device for x in circuit.contacts.values()) > 1
        self.called = f"{c.id.removeprefix(f'{c.device}.')} " if several else ""
        rated = [x for x in circuit.contacts.values() if x.device == c.device and any(figures_of(x))]
        self.field = f"{c.id}" if several and rated and not any(figures_of(c)) else f"{c.device}.contact"
        self.watches: dict[str, Watch] = {}
        self.lacks: dict[str, tuple[str, ...]] = {}  # what cannot be judged -> the fields that would

    def marks(self, seen: list[Moment]) -> Iterator[Mark]:
        for moment in seen:
            here = self.now.carried(moment.now).get(self.c.id)
            self._volts(moment, here)
            if here is not None and here.amps:
                before = [self.was.carried(w).get(self.c.id, Carried()) for w in moment.was]
                self._amps(moment, here, before)
        for watch in self.watches.values():
            yield from watch.mark()
        for says, fields in self.lacks.items():
            yield Mark(self.c.device, "note", says, fields=fields)

    def _watch(self, key: str, amount: float, unit: str, what: str, source: str = "as marked") -> Watch:
        name = f"{key} {what}"
        if name not in self.watches:
            limit = Limit(amount, unit, f"{self.field}.{key}", source)
            tolerance = NAMEPLATE if key == "volts" else 1.0
            self.watches[name] = Watch(self.c.device, self.called + what, limit, self.own, tolerance)
        return self.watches[name]

    def _volts(self, moment: Moment, here: Carried | None) -> None:
        volts = max(volts_at(moment.now, self.c), here.volts if here else 0.0)
        before = [max(volts_at(w, self.c), self._fed(w)) for w in moment.was]
        limit = self.c.rating.volts
        if limit is not None:
            self._watch("volts", limit, "V", "switches").see(moment.case, exactly(volts), most(before))
        elif here is not None and here.amps and self._more(volts, most(before)):
            self._lack(f"{self.called}switches {amount(volts)} V; the volts of its contact are not given", "volts")

    def _fed(self, look: Look) -> float:
        return self.was.carried(look).get(self.c.id, Carried()).volts

    def _more(self, now: float, was: float | None) -> bool:
        return self.own or exceeds(now, was)

    def _lack(self, says: str, *fields: str) -> None:
        named = tuple(f if "." in f else f"{self.field}.{f}" for f in fields)
        self.lacks.setdefault(f"{says} ({', '.join(named)})", named)

    def _amps(self, moment: Moment, here: Carried, before: list[Carried]) -> None:
        if here.missing and self._more(1.0, 1.0 if any(set(here.loads) <= set(b.loads) for b in before) else 0.0):
            self._lack(f"{self.called}carries {names(here)}, of unknown amps", *here.missing)
        rating = self.c.rating
        if rating.fla is not None:
            self._running(moment, here, before, rating.fla)
            self._making(moment, here, before, rating.fla)
        elif rating.va is not None:
            self._by_va(moment, here, before, rating.va)
        elif self._more(here.running.nominal, most([b.running.nominal for b in before])):
            self._lack(f"{self.called}carries {names(here)}{at(here)}; its contact is not rated", "fla")
        if rating.fla is not None and rating.va is not None and here.sealed.high:
            self._pilot(moment, here, before, rating.va)

    def _running(self, moment: Moment, here: Carried, before: list[Carried], limit: float) -> None:
        self._watch("fla", limit, "A", "carries").see(
            moment.case, here.running, most([b.running.nominal for b in before]),
            f" of {names(here)}", here.missing, here.loads,
        )  # fmt: skip

    def _making(self, moment: Moment, here: Carried, before: list[Carried], fla: float) -> None:
        """Locked rotors, and coils at inrush; a fuse or breaker is not rated by what it makes."""
        if self.device.fuse or self.device.symbol == "breaker":
            return
        was = most([b.making.nominal for b in before])
        lra = self.c.rating.lra
        fields = tuple(f"{n}.lra" for n in here.loads if here.making.low != here.making.high)
        if lra is not None:
            watch = self._watch("lra", lra, "A", "makes")
            watch.see(moment.case, here.making, was, f" of {names(here)} starting", fields, here.loads)
            return
        if here.making.nominal <= fla:
            return
        source = f"not given: {MAKES:g} times fla taken"
        watch = self._watch("lra", MAKES * fla, "A", "makes", source)
        watch.see(moment.case, here.making, was, f" of {names(here)} starting", fields, here.loads)
        if self._more(here.making.nominal, was):
            self._lack(f"{self.called}makes {amount(here.making.nominal)} A; its locked-rotor amps are not given", "lra")

    def _by_va(self, moment: Moment, here: Carried, before: list[Carried], limit: float) -> None:
        """A contact that states pilot duty alone: by VA; of a motor within it, a note that it is no motor duty."""
        self._pilot(moment, here, before, limit)
        if here.motors.nominal and self._more(here.motors.nominal, most([b.motors.nominal for b in before])):
            says = f"{self.called}carries {names(here)}{at(here)}; pilot duty is not motor duty"
            self._lack(says, "fla", "lra")

    def _pilot(self, moment: Moment, here: Carried, before: list[Carried], limit: float) -> None:
        alone = self.c.rating.fla is None
        now, was = volt_amps(here, alone), most([volt_amps(b, alone).nominal for b in before])
        of, loads = f" of {names(here)}", here.loads
        self._watch("va", limit, "VA", "breaks").see(moment.case, now, was, of, here.missing, loads)
        made = here.inrush.plus(other_va(here, True)) if alone else here.inrush
        made_was = most([(b.inrush.plus(other_va(b, True)) if alone else b.inrush).nominal for b in before])
        self._watch("va", PILOT_MAKES * limit, "VA", "makes", f"pilot duty makes {PILOT_MAKES:g} times").see(
            moment.case, made, made_was, of, here.missing, loads
        )
        amps = here.running.nominal
        if 0 < here.volts < PILOT_VOLTS and amps > limit / PILOT_VOLTS and self._more(now.nominal, was):
            most_amps = limit / PILOT_VOLTS
            self._lack(
                f"{self.called}breaks {amount(amps)} A at {amount(here.volts)} V; under 120 V pilot duty of "
                f"{amount(limit)} VA may mean {amount(most_amps)} A (from memory: NEMA ICS 5)", "va"
            )  # fmt: skip


def volts_at(look: Look, c: Contact) -> float:
    """Volts across the contact where it is open."""
    if c.id not in look.plain.circuit.elements or c.id in look.shut:
        return 0.0
    return abs(look.view.between(c.a, c.b, look.plain.scenario))


def volt_amps(here: Carried, alone: bool) -> Span:
    """VA of coils; with everything else where pilot duty is all that the contact states."""
    return here.sealed.plus(other_va(here, False)) if alone else here.sealed


def other_va(here: Carried, making: bool) -> Span:
    """VA of heaters, lamps and motors: amps at the volts that they are switched at."""
    if making and here.motors.nominal:
        coils = here.inrush.times(1 / here.volts) if here.volts else exactly(0.0)
        return Span(*(max(0.0, a - b) for a, b in zip(here.making, coils, strict=True))).times(here.volts)
    return here.other.plus(here.motors).times(here.volts)


def most(figures: list[float]) -> float | None:
    return max(figures, default=None)


def figures_of(c: Contact) -> tuple[float, ...]:
    r = c.rating
    return tuple(f for f in (r.volts, r.fla, r.lra, r.va) if f is not None)


def names(here: Carried) -> str:
    return ", ".join(here.loads)


def at(here: Carried) -> str:
    return f" ({amount(here.running.nominal)} A)" if here.running.nominal else ""
