"""What a logbook knows, as plain frozen records.

`core.records` reads and writes them, `core.stages` judges them, `core.sheet` prints them and the window
shows them; none of them holds a database session, so they may cross threads.

Numbers are in the canonical unit of their kind (`core.quantities`): mm, N·m, N, degrees, L, °C, K, kg, mm²/s.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from core.errors import NotFoundError
from core.language import mark, tr

LEFT = "left"
RIGHT = "right"


@dataclass(frozen=True)
class Shop:
    """The shop whose logbook this is; `units` is ``metric`` or ``inch``."""

    name: str = ""
    address: str = ""
    units: str = "metric"
    version: int = 0


@dataclass(frozen=True)
class ShopRules:
    """What the owner settled, as it was in force at one moment.

    `overdue` says what a gauge past its calibration does to a verdict: ``mark`` only marks it, ``widen`` takes the
    stated error `overdue_factor` times, ``withhold`` gives no verdict.
    """

    overdue: str = "mark"
    overdue_factor: float = 2.0


@dataclass(frozen=True)
class Person:
    """Somebody who measures, signs or owns; `role` is ``bench`` or ``owner``."""

    id: int
    name: str
    role: str = "bench"
    has_pin: bool = False
    is_active: bool = True
    version: int = 1


@dataclass(frozen=True)
class Calibration:
    """A gauge compared with something better; `found_error` (±) is in the canonical unit of the gauge's kind."""

    day: date
    is_good: bool = True
    found_error: float | None = None
    note: str = ""
    person: str = ""


@dataclass(frozen=True)
class ZeroCheck:
    """What a gauge showed at its zero [canonical unit of its kind], and whether that was good enough to go on."""

    at: datetime
    value: float
    is_good: bool
    person: str = ""
    note: str = ""


@dataclass(frozen=True)
class Gauge:
    """A measuring instrument; how it stands on a day is worked out in `core.gauges`.

    `use` says what it is for (``dial``, ``torque``, ``micrometer`` …, the word an entry asks for);
    `resolution` and `stated_error` (±) are in the canonical unit of `kind`. `calibrations` are all of them, good or
    not, oldest first, `calibrated_on` the newest day it was found good on; `zeros` its zero checks, oldest first;
    `intervals` the moments from which it was to be calibrated every so many months (None: not followed).
    """

    id: int
    name: str
    use: str
    kind: str
    resolution: float
    stated_error: float
    calibrated_on: date | None = None
    interval_months: int | None = None
    is_retired: bool = False
    calibrations: tuple[Calibration, ...] = ()
    zeros: tuple[ZeroCheck, ...] = ()
    intervals: tuple[tuple[datetime, int | None], ...] = ()
    version: int = 1


PART_WORDS = {
    "ring": mark("ring"),
    "shim": mark("shim"),
    "spacer": mark("spacer"),
    "seal": mark("seal"),
    "bearing": mark("bearing"),
}
"""What lies in a drawer, and what a piece of it is called."""

FITS_WORDS = {
    "": mark("not said"),
    "sides": mark("sides"),
    "pinion": mark("pinion"),
}
"""Where a shim fits by its diameters, and what that is called; one of which it is not said may be laid anywhere."""

SOURCE_WORDS = {
    "typed": mark("typed"),
    "drawer": mark("from the drawer"),
    "photo": mark("read from a photo"),
}
"""How a reading came in, and what that is called."""


@dataclass(frozen=True)
class Part:
    """One kind of piece in the drawer: ring, shim, spacer, seal or bearing.

    `count` pieces are free in the drawer; what a job holds is not among them. `measured_mm` are the places of the last
    time it was measured [mm], by `gauge_id`; empty where only the nominal thickness is known. `fits` says of a shim
    where it does, a key of `FITS_WORDS`.
    """

    id: int
    kind: str
    name: str
    place: str
    nominal_mm: float | None
    count: int
    reorder_level: int = 0
    measured_mm: tuple[float, ...] = ()
    is_retired: bool = False
    version: int = 1
    uid: str = ""
    gauge_id: int | None = None
    fits: str = ""

    @property
    def thickness_mm(self) -> float | None:
        """Mean of the measured places [mm], else nominal, else None."""
        return sum(self.measured_mm) / len(self.measured_mm) if self.measured_mm else self.nominal_mm

    @property
    def spread_mm(self) -> float | None:
        """Largest minus smallest of the measured places [mm], or None where fewer than two were measured."""
        return max(self.measured_mm) - min(self.measured_mm) if len(self.measured_mm) > 1 else None

    @property
    def to_order(self) -> int:
        """How many pieces are lacking up to the reorder level."""
        return 0 if self.is_retired else max(self.reorder_level - self.count, 0)

    @property
    def called(self) -> str:
        """What a person calls it: its name, or what it is, and where it lies."""
        what = self.name or tr(PART_WORDS[self.kind])
        return tr("{piece} from {place}", piece=what, place=self.place) if self.place else what


@dataclass(frozen=True)
class PartMove:
    """Something that happened to the pieces of a part; `pieces` is what it added to those free in the drawer.

    A job's hold on a piece goes ``reserved`` (a trial took it), ``fitted`` (the trial was accepted), ``unfitted``
    (the acceptance was taken back), ``returned`` (another piece took its place).
    """

    id: int
    part_id: int
    what: str
    pieces: int
    at: datetime
    person: str = ""
    job_id: int | None = None
    stage: str = ""
    entry: str = ""
    trial: int = 0
    reason: str = ""
    job_number: str = ""


@dataclass(frozen=True)
class Hold:
    """The piece of the drawer a job has on one side, or as its spacer: `entry`.

    `stage` and `trial` are the last it was taken for; `is_fitted` once a trial that has it was accepted.
    """

    part: Part
    stage: str
    entry: str
    trial: int
    is_fitted: bool
    person: str = ""


@dataclass(frozen=True)
class UsedPart:
    """How many pieces of a part a job has used up: seals, bearings, spacers."""

    part: Part
    pieces: int


@dataclass(frozen=True)
class JobParts:
    """What a job has of the drawer: the piece at each entry, and what it used."""

    holds: Mapping[str, Hold] = field(default_factory=dict)
    used: tuple[UsedPart, ...] = ()


@dataclass(frozen=True)
class Photo:
    """A picture bound to a place in a job, without its bytes; `strike_reason` is why it no longer counts."""

    id: int
    job_id: int
    stage: str
    entry: str
    position: str
    trial: int
    reading_id: int | None
    caption: str
    digest: str
    width: int
    height: int
    person: str
    at: datetime
    strike_reason: str = ""
    uid: str = ""
    struck_by: str = ""
    struck_at: datetime | None = None


@dataclass(frozen=True)
class TrailEntry:
    """One entry of the trail: who did what to which row, at which bench, when.

    `about` is what the row belongs to, by name: a gauge, a part, a casing family, a serial number.
    """

    id: int
    at: datetime
    bench: str
    person: str
    doing: str
    job_id: int | None
    what: str
    table: str
    row_id: int
    content: Mapping[str, object]
    chain: str
    job_number: str = ""
    about: str = ""


@dataclass(frozen=True)
class Limit:
    """One limit of a spec card, in the canonical unit; the texts are as the card has them, with their unit."""

    key: str
    low: float | None
    high: float | None
    low_text: str = ""
    high_text: str = ""
    unit: str = ""
    source: str = ""


@dataclass(frozen=True)
class CardFact:
    """One fact of a spec card that is not a limit: a size, a count, a choice, a word."""

    key: str
    value: float | None
    text: str
    unit: str = ""
    source: str = ""


@dataclass(frozen=True)
class SpecCard:
    """One revision of the limits and facts of one casing family; `id` is the revision's."""

    id: int
    family: str
    revision: int
    limits: Mapping[str, Limit] = field(default_factory=dict)
    facts: Mapping[str, CardFact] = field(default_factory=dict)

    def number(self, key: str) -> float | None:
        """Return the value of a fact, or None where the card does not give it."""
        fact = self.facts.get(key)
        return None if fact is None else fact.value

    def text(self, key: str) -> str:
        """Return the text of a fact, or "" where the card does not give it."""
        fact = self.facts.get(key)
        return "" if fact is None else fact.text

    @property
    def ring_gear_side(self) -> str:
        """``left`` or ``right``, seen from the pinion."""
        side = self.text("ring_gear_side")
        if side not in (LEFT, RIGHT):
            raise NotFoundError(
                tr("Spec card {family} does not say on which side the ring gear sits.", family=self.family),
                tr("Add the ring-gear side to the card."),
            )
        return side


@dataclass(frozen=True)
class CardRevision:
    """One revision of a spec card without what it says: when it was made, and by whom; `id` is the revision's."""

    id: int
    family: str
    revision: int
    made_at: datetime
    made_by: str = ""


@dataclass(frozen=True)
class Job:
    """One rebuild of one unit, with the spec card revision it started with."""

    id: int
    number: str
    serial: str
    customer: str
    vehicle: str
    asked_for: str
    ring_gear_teeth: int
    pinion_teeth: int
    tag_ratio: float | None
    is_limited_slip: bool
    card: SpecCard
    opened_at: datetime
    opened_by: str
    contact: str = ""
    revision: int = 1
    signed_at: datetime | None = None
    signed_by: str = ""
    signed_with_pin: bool = False
    reopen_reason: str = ""
    uid: str = ""
    version: int = 1


@dataclass(frozen=True)
class JobLine:
    """As much of a job as tells where it stands, without its card and readings.

    `sealed` is the event that signed it as it is now: nothing in it has changed since. None while it is open.
    `first_signed_at` is when it first left the shop, `signed_at` when it was last signed.
    """

    id: int
    uid: str
    number: str
    serial: str
    unit_id: int
    family: str
    opened_at: datetime
    first_signed_at: datetime | None = None
    signed_at: datetime | None = None
    sealed: int | None = None


@dataclass(frozen=True)
class Reading:
    """One measured or written value: a fact, never changed; a correction names what it replaces."""

    id: int
    job_id: int
    stage: str
    entry: str
    position: str
    trial: int
    value: float | None
    text: str
    unit: str
    gauge_id: int | None
    person: str
    taken_at: datetime
    source: str = "typed"
    replaces: int | None = None
    reason: str = ""


@dataclass(frozen=True)
class Advised:
    """What was advised before a trial: a pair, how likely it was said to conform, and what was expected of it.

    `ring_gear_side_mm` and `opposite_side_mm` are thicknesses, or the travel of nuts [mm]; `places` says where the two
    lie in the drawer, or at which notches the nuts are set, ring-gear side first. `chance` is from 0 to 1; `expected`,
    `low` and `high` are median and 90 % interval of the mean reading, in the canonical unit of the stage's quantity
    (N·m at preload, mm at backlash). Where a trial was advised on more than once, the last counts.
    """

    id: int
    job_id: int
    stage: str
    trial: int
    at: datetime
    person: str
    ring_gear_side_mm: float
    opposite_side_mm: float
    places: str
    chance: float
    expected: float
    low: float
    high: float


@dataclass(frozen=True)
class JobEvent:
    """Something that happened to a job: opened, signed, reopened, corrected, sheet issued."""

    job_id: int
    what: str
    at: datetime
    person: str
    detail: Mapping[str, str] = field(default_factory=dict)
