"""What one visit of a unit came to: the few numbers a comeback is compared by, as found beside as left."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from core.language import mark, tr
from core.quantities import KINDS, show, unit_for
from core.stages.entry import FOUND, LEFT_AS, Derived, Entry
from core.stages.state import JobState, StageState

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
    asked_for: str
    compared: tuple[Compared, ...]
    signed: str

    @property
    def in_words(self) -> str:
        """The whole visit as one text, for who listens instead of looking."""
        lines = [tr("Job {number}, {dates}.", number=self.number, dates=self.dates), self.asked_for]
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
    return moment.astimezone().date().isoformat()


def visit(state: JobState, units: str) -> Visit:
    """Return one visit, its values in the units of the shop (``metric`` or ``inch``)."""
    job = state.context.job
    opened = day(job.opened_at)
    signed = day(job.signed_at) if job.signed_at else ""
    between = tr("{opened} to {signed}", opened=opened, signed=signed) if signed else tr("since {day}", day=opened)
    return Visit(
        job.id,
        job.number,
        between,
        job.asked_for,
        tuple(
            Compared(tr(label), _value(state, key, FOUND, units), _value(state, key, LEFT_AS, units))
            for key, label in COMPARED
        ),
        tr("Signed by {name}", name=job.signed_by) if job.signed_by else tr("Not signed yet"),
    )


def _value(state: JobState, compares: str, moment: str, units: str) -> str:
    """Return the last value given under a shared key at one moment, as text; "" where there is none."""
    texts = [
        show(what.kind, value, unit_for(what.kind, units, what.unit or KINDS[what.kind].canonical.id).id)
        for stage in state.stages
        for what, value in _values(stage)
        if (what.compares, what.moment) == (compares, moment) and value is not None
    ]
    return texts[-1] if texts else ""


def _values(stage: StageState) -> Iterator[tuple[Entry | Derived, float | None]]:
    """Go through the values a stage left behind; of the trials only the accepted one counts."""
    accepted = stage.accepted
    for field in (*stage.fields, *(accepted.fields if accepted else ())):
        if field.reading is not None:
            yield field.entry, field.reading.value
    for derived in (*stage.derived, *(accepted.derived if accepted else ())):
        yield derived.derived, derived.value
