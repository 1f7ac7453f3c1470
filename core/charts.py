"""Charts of what a shop leaves behind in one casing family: one value a signed job, in time order.

A value comes from the judged stage, never worked out anew; each carries its job, who read it and with which gauge, so
that a habit that drifts or a gauge that went wrong can be told from the units themselves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import count, product
from statistics import fmean
from string import ascii_uppercase

from core.facts import Gauge, JobLine
from core.gauges import Doubt, doubts
from core.language import mark, tr
from core.mechanics.control_chart import ControlChart, control_chart
from core.stages import backlash, preload, stage
from core.stages.entry import Derived
from core.stages.sides import is_side
from core.stages.state import TrialState

BY_PERSON, BY_GAUGE = "person", "gauge"
BY = {BY_PERSON: mark("who read it"), BY_GAUGE: mark("gauge")}
"""By what the points of a chart may be told apart."""


@dataclass(frozen=True)
class Quantity:
    """A computed value of a stage's accepted trial that is charted, and which entries it is read by."""

    key: str
    stage: str
    derived_key: str
    is_read_by: Callable[[str], bool]

    @property
    def derived(self) -> Derived:
        """The declaration it comes from."""
        return next(d for d in stage(self.stage).derived if d.key == self.derived_key)

    @property
    def label(self) -> str:
        """What it is called, not translated yet."""
        return self.derived.sheet_label or self.derived.label


def _is_torque(entry: str) -> bool:
    return entry in ("torque_forward", "torque_back")


def _is_backlash(entry: str) -> bool:
    return entry == "backlash"


QUANTITIES = (
    Quantity("ring_sum", preload.KEY, "ring_sum", is_side),
    Quantity("turning_torque", preload.KEY, "torque_mean", _is_torque),
    Quantity("backlash", backlash.KEY, "backlash_mean", _is_backlash),
    Quantity("backlash_variation", backlash.KEY, "backlash_variation", _is_backlash),
)
"""What is charted of every family, in the order of work."""


def quantity(key: str) -> Quantity:
    """Return the quantity with this key; KeyError where there is none."""
    for declared in QUANTITIES:
        if declared.key == key:
            return declared
    raise KeyError(key)


# -- values ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Measured:
    """One value of a signed job [canonical unit of the quantity], and what the card allowed then.

    `person` read most of what it comes from, the last to read where several read as much; `taken_at` is when the last
    of it was read.
    """

    value: float | None = None
    low: float | None = None
    high: float | None = None
    person: str = ""
    gauge_ids: tuple[int, ...] = ()
    taken_at: datetime | None = None


def measured(wanted: Quantity, trial: TrialState | None) -> Measured:
    """Look a quantity up in the accepted trial of its stage; empty where there is none or it has no such value.

    Parameters
    ----------
    wanted : Quantity
        What to look up.
    trial : TrialState or None
        The accepted trial of the stage it belongs to, judged.
    """
    computed = next((d for d in trial.derived if d.derived.key == wanted.derived_key), None) if trial else None
    if trial is None or computed is None or computed.value is None:
        return Measured()
    readings = [f.reading for f in trial.fields if f.reading is not None and wanted.is_read_by(f.entry.key)]
    readings.sort(key=lambda reading: reading.id)
    names = [reading.person for reading in readings]
    return Measured(
        computed.value,
        computed.limit.low if computed.limit else None,
        computed.limit.high if computed.limit else None,
        max(reversed(names), key=names.count, default=""),
        tuple(dict.fromkeys(reading.gauge_id for reading in readings if reading.gauge_id is not None)),
        max((reading.taken_at for reading in readings), default=None),
    )


@dataclass(frozen=True)
class Point:
    """One job on a chart; `gauges` are the names, `doubts` what speaks against them for the day of the reading."""

    job_id: int
    number: str
    serial: str
    at: datetime
    value: float | None
    low: float | None = None
    high: float | None = None
    person: str = ""
    gauges: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()


@dataclass(frozen=True)
class FamilyChart:
    """A quantity of one casing family over the signed jobs, in time order."""

    family: str
    quantity: Quantity
    points: tuple[Point, ...]
    chart: ControlChart


def family_chart(
    family: str, wanted: Quantity, jobs: Iterable[tuple[JobLine, Measured]], gauges: Mapping[int, Gauge]
) -> FamilyChart:
    """Chart one quantity of a family.

    Parameters
    ----------
    family : str
        Name of the casing family.
    wanted : Quantity
        What is charted.
    jobs : iterable of tuple
        The signed jobs of the family, each with its value.
    gauges : mapping
        Every gauge by its id, as it is now.
    """
    points = sorted((_point(line, value, gauges) for line, value in jobs), key=lambda point: (point.at, point.job_id))
    return FamilyChart(family, wanted, tuple(points), control_chart([point.value for point in points]))


def _point(line: JobLine, read: Measured, gauges: Mapping[int, Gauge]) -> Point:
    at = read.taken_at or line.signed_at or line.opened_at
    used = [gauges[gauge_id] for gauge_id in read.gauge_ids if gauge_id in gauges]
    # Sums of the same rings may differ in their last bit, which no gauge shows and no chart should.
    value = None if read.value is None else round(read.value, 9)
    return Point(
        line.id,
        line.number,
        line.serial,
        at,
        value,
        read.low,
        read.high,
        read.person,
        tuple(gauge.name for gauge in used),
        tuple(doubt for gauge in used for doubt in doubts(gauge, at)),
    )


# -- who and with what -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Group:
    """The points one person read, or one gauge (or several together) was used for; `mean` is theirs."""

    letter: str
    name: str
    points: tuple[int, ...]
    mean: float


def grouped(points: Sequence[Point], by: str) -> tuple[Group, ...]:
    """Sort the points by who read them or by the gauge; letters go by who appears first.

    Parameters
    ----------
    points : sequence of Point
        In time order; those without a value belong to nobody.
    by : str
        ``person`` or ``gauge``.
    """
    members: dict[str, list[int]] = {}
    for at, point in enumerate(points):
        if point.value is not None:
            members.setdefault(_name(point, by), []).append(at)
    values = [point.value for point in points]
    return tuple(
        Group(letter, name, tuple(ats), fmean(value for at in ats if (value := values[at]) is not None))
        for letter, (name, ats) in zip(_letters(), members.items(), strict=False)
    )


def _name(point: Point, by: str) -> str:
    if by == BY_PERSON:
        return point.person or tr("nobody named")
    return ", ".join(point.gauges) or tr("no gauge named")


def _letters() -> Iterable[str]:
    return ("".join(letters) for length in count(1) for letters in product(ascii_uppercase, repeat=length))
