"""What one visit of a unit came to on the time line: the few numbers a comeback is compared by, found beside left."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.gauges import day_of
from core.history import UnitVisit
from core.history_words import shown, signed_words, since_words, visit_dates
from core.language import mark, tr

COMPARED = (
    ("backlash_mean", mark("Mean backlash")),
    ("final_turning_torque", mark("Turning torque")),
    ("ring_sum", mark("Ring sum")),
)
"""What the time line shows of a visit, by the key found and left readings share."""


@dataclass(frozen=True)
class Compared:
    """One line of a visit: what it is, as found and as left; empty where it was not measured."""

    label: str
    found: str
    left: str


@dataclass(frozen=True)
class Visit:
    """One visit of a unit as the time line shows it."""

    job_id: int
    number: str
    dates: str
    since: str
    asked_for: str
    compared: tuple[Compared, ...]
    signed: str

    @property
    def in_words(self) -> str:
        """The whole visit as one text, for who listens instead of looking."""
        lines = [tr("Job {number}, {dates}.", number=self.number, dates=self.dates), self.since, self.asked_for]
        lines += [
            tr(
                "{label}: found {found}, left {left}.",
                label=line.label,
                found=line.found or tr("not measured"),
                left=line.left or tr("not measured"),
            )
            for line in self.compared
        ]
        return " ".join([*(line for line in lines if line), self.signed])


def day(moment: datetime) -> str:
    """Return the day a moment falls on where the shop is, as year-month-day."""
    return day_of(moment).isoformat()


def visit(of_unit: UnitVisit, units: str) -> Visit:
    """Return one visit, its values in the units of the shop (``metric`` or ``inch``)."""
    job, found, left = of_unit.job, of_unit.visit.found, of_unit.visit.left
    return Visit(
        job.id,
        job.number,
        visit_dates(of_unit),
        since_words(of_unit),
        job.asked_for,
        tuple(
            Compared(
                tr(label),
                shown(found[key], units) if key in found else "",
                shown(left[key], units) if key in left else "",
            )
            for key, label in COMPARED
        ),
        signed_words(of_unit),
    )
