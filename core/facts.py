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
from core.language import tr

LEFT = "left"
RIGHT = "right"


@dataclass(frozen=True)
class Shop:
    """The shop whose logbook this is; `units` is ``metric`` or ``inch``."""

    name: str = ""
    address: str = ""
    units: str = "metric"


@dataclass(frozen=True)
class Person:
    """Somebody who measures, signs or owns; `role` is ``bench`` or ``owner``."""

    id: int
    name: str
    role: str = "bench"


@dataclass(frozen=True)
class Gauge:
    """A measuring instrument.

    `use` says what it is for (``dial``, ``torque``, ``micrometer`` …, the word an entry asks for);
    `resolution` and `stated_error` (±) are in the canonical unit of `kind`.
    """

    id: int
    name: str
    use: str
    kind: str
    resolution: float
    stated_error: float
    calibrated_on: date | None = None
    interval_months: int | None = None


@dataclass(frozen=True)
class Ring:
    """A select-fit ring or shim in the drawer; thickness in mm, nominal and as measured."""

    id: int
    place: str
    nominal_mm: float
    measured_mm: float | None
    count: int

    @property
    def thickness_mm(self) -> float:
        """Measured thickness [mm] where there is one, else nominal."""
        return self.nominal_mm if self.measured_mm is None else self.measured_mm


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
    reopen_reason: str = ""


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
class JobEvent:
    """Something that happened to a job: opened, signed, reopened, corrected, sheet issued."""

    job_id: int
    what: str
    at: datetime
    person: str
    detail: Mapping[str, str] = field(default_factory=dict)
