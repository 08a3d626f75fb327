"""The closed set of things a circuit is made of. Frozen; every figure in SI units.

A figure that the file lacks is an `Estimate`: what is taken for it, and between which ends.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from msgspec import Struct, field

from wirecheck.aside import Aside

if TYPE_CHECKING:
    from wirecheck.problem import Place


class Estimate(Struct, frozen=True):
    """A figure that the file does not give. `field` is the place where it could be given."""

    field: str
    nominal: float
    low: float
    high: float


Figure = float | Estimate


class ContactRating(Struct, frozen=True):
    """What a contact may switch, as the file states it; None where it does not."""

    volts: float | None = None
    fla: float | None = None
    lra: float | None = None
    va: float | None = None


class ByPosition(Struct, frozen=True):
    """A contact moved by an input: a switch's position, `atspeed`, `warm`, an inner overload."""

    input: str


Late = Literal["on", "off"]


class ByCoil(Struct, frozen=True):
    """A contact moved by a coil, at once or late. `coil` is an element id."""

    coil: str
    late: Late | None = None


Mover = ByPosition | ByCoil


class Link(Struct, frozen=True):
    """Two terminals that are always joined."""

    id: str
    device: str
    a: str
    b: str


class Contact(Struct, frozen=True):
    """Joins a and b where closed. `rests_closed`: with its mover at rest (an NC contact)."""

    id: str
    device: str
    a: str
    b: str
    rests_closed: bool
    mover: Mover
    rating: ContactRating = ContactRating()


class Coil(Struct, frozen=True):
    """An electromagnet. |Z| = volts² / va at power factor 0.3; `va` when in, `inrush` when out.

    `inrush` None: `va` times `inrush_ratio`. `ohms` given: that impedance in either position.
    stateless: the potential relay's coil, which is an impedance only. dc_ohms: what an ohmmeter reads.
    """

    id: str
    device: str
    a: str
    b: str
    volts: Figure
    va: Figure
    inrush: Figure | None
    inrush_ratio: Figure
    pick_up: Figure
    drop_out: Figure
    ohms: float | None = None
    stateless: bool = False
    dc_ohms: float | None = None


class Resistor(Struct, frozen=True):
    """Ohms at rated volts. A load (heater, lamp) where `volts` is given."""

    id: str
    device: str
    a: str
    b: str
    ohms: Figure
    volts: float | None = None
    watts: float | None = None
    starts: bool = False  # the resistance of a start device (PTC)


class Capacitor(Struct, frozen=True):
    """Its reactance follows from `farads` and the unit's hertz. volts: rated, None where not given."""

    id: str
    device: str
    a: str
    b: str
    farads: Figure
    volts: float | None = None
    starts: bool = False  # a start capacitor


class Winding(Struct, frozen=True):
    """A motor winding at standstill: `ohms` times `scale`."""

    id: str
    device: str
    a: str
    b: str
    ohms: complex
    scale: Figure = 1.0


class Transformer(Struct, frozen=True):
    """An ideal transformer. `windings`: (from, to, turns); the last is the secondary.

    Every winding obeys V(from) - V(to) = turns * φ with one φ; the sum of turns * current is 0.
    """

    id: str
    device: str
    windings: tuple[tuple[str, str, float], ...]
    va: float | None = None

    @property
    def secondary(self) -> tuple[str, str]:
        return self.windings[-1][0], self.windings[-1][1]


Impedance = Coil | Resistor | Capacitor | Winding
Element = Link | Contact | Coil | Resistor | Capacitor | Winding | Transformer


class Conductor(Aside, frozen=True):
    """One wire. `a` is its `from` end, `b` its `to` end. Text fields as the user wrote them."""

    aside: ClassVar = frozenset({"place"})

    id: str
    a: str
    b: str
    color: str | None = None
    gauge: str | None = None  # "18 AWG", "1.5 mm2"
    awg: float | None = None  # gauge number where the gauge is AWG
    insulation_volts: float | None = None
    insulation_degc: float | None = None
    route: str | None = None
    label: str | None = None
    length_m: float | None = None
    length: str | None = None
    place: Place | None = None


class Pole(Struct, frozen=True):
    """A supply pole at a fixed phasor, V rms. `source` names the supplies known to be in step with it.

    Earth, PE and N have phasor 0 and source "": they are known against every supply.
    """

    terminal: str
    supply: str
    phasor: complex
    source: str


class SetPoints(Struct, frozen=True):
    """Where a switch moves: above `high` it stands at `above_moved`, below `low` at the other.

    low, high: the quantity's base unit (Pa gauge, K, m, m³/s …). `text`: as the user wrote them.
    """

    quantity: str
    low: float
    high: float
    above_moved: bool
    text: str = ""


class Quantity(Struct, frozen=True):
    """A physical quantity that switches sense. `unit` is for print."""

    name: str
    unit: str


class Input(Struct, frozen=True):
    """The position of a switch. A state holds False for rest, True for moved."""

    name: str  # tag, or TAG.position
    device: str
    words: tuple[str, str]  # the word at rest, the word moved: ("closed", "open"), ("rest", "moved") …
    set_points: SetPoints | None = None
    hand_reset: bool = False
    normal: bool = False  # moved in ordinary operation?
    given: bool | None = None  # held at this position in every question
    tripped: bool | None = None  # a protection: the position (moved?) of its tripped side
    listed: bool = True
    lever: bool = False  # shows open and closed by its lever: isolates, or a hand switch
    opened_only_by_name: bool = False  # an overload inside a motor
    by_motor: bool = False  # moved by a motor's speed or a start device's heat

    def word(self, moved: bool) -> str:
        return self.words[moved]


class Delay(Struct, frozen=True):
    """The delay of a relay's late contacts. `elapsed` of an on-delay, `held` of an off-delay."""

    name: str  # TAG.elapsed, TAG.held
    coil: str
    late: Late


class Relay(Struct, frozen=True):
    """A coil that moves contacts."""

    name: str
    device: str
    coil: str
    contacts: tuple[str, ...]
    external: bool = False


class VoltLoad(Struct, frozen=True):
    """A load judged by the volts across one element: heater, lamp, valve."""

    name: str
    device: str
    element: str
    volts: Figure | None  # None: not given


class Motor(Struct, frozen=True):
    """A motor. psc: `main` holds one winding, or one for each tap; `aux` the other. 3ph: `main` holds three.

    needs: farads of the capacitor as designed. terminals: of 3ph, in phase order.
    """

    name: str
    device: str
    kind: Literal["psc", "1ph", "3ph"]
    volts: float | None
    main: tuple[str, ...]
    aux: str | None = None
    needs: float | None = None
    taps: tuple[str, ...] = ()  # names of the taps, as `main`
    terminals: tuple[str, ...] = ()
    compressor: bool = False
    fla: float | None = None
    rla: float | None = None
    lra: float | None = None
    lra_given: bool = False


Load = VoltLoad | Motor


class Device(Aside, frozen=True):
    """A device as wired: its terminals and the ids of its elements."""

    aside: ClassVar = frozenset({"place"})

    tag: str
    type: str
    terminals: tuple[str, ...]  # full names, "K1.T2"
    elements: tuple[str, ...]
    inputs: tuple[str, ...] = ()
    isolates: bool = False
    external: bool = False
    earth: bool = False
    fuse: bool = False
    stacks: dict[str, int] = field(default_factory=dict)  # terminal -> most conductors
    leads: bool = False
    volts: float | None = None  # what its type states for every terminal
    symbol: str | None = None
    about: str = ""
    place: Place | None = None
