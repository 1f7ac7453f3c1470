"""What a job, a comeback, something to see to and a point of a chart show as one row."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from app.jobs.rows import Column
from core.charts import BY_PERSON, FamilyChart, Group, Point
from core.gauges import day_of, doubts_words
from core.language import mark, tr
from core.overview import Comeback, WaitingJob, stand_words
from core.overview_words import (
    CARE_WORDS,
    Care,
    moved_words,
    point_sentences,
    point_words,
    untouched_words,
    value_words,
)

NOTHING = "–"

WAITING_COLUMNS = (
    Column(mark("Job"), lambda line: line.job.number),
    Column(mark("Unit"), lambda line: line.job.serial),
    Column(mark("Casing"), lambda line: line.job.card.family),
    Column(mark("Customer"), lambda line: line.job.customer),
    Column(mark("Stands in"), lambda line: stand_words(line.stage)),
    Column(mark("What is wanted"), lambda line: line.wanted or tr("a signature"), stretches=True),
    Column(mark("Untouched for"), lambda line: untouched_words(line)),
)

CARE_COLUMNS = (
    Column(mark("What"), lambda care: tr(CARE_WORDS[care.what])),
    Column(mark("Which"), lambda care: care.name),
    Column(mark("Why"), lambda care: care.why, stretches=True),
)


def waiting_key(line: WaitingJob) -> int:
    """Return what a line of the waiting jobs is known by."""
    return line.job.id


def care_key(care: Care) -> tuple[str, int]:
    """Return what a thing to see to is known by."""
    return care.what, care.id


# -- comebacks ---------------------------------------------------------------------------------------------------------


def comeback_columns(units: Callable[[], str]) -> tuple[Column, ...]:
    """Return the columns of the comebacks, their values in the shop's units."""

    def moved(comeback: Comeback) -> str:
        count = len(comeback.moved)
        return tr("1 value") if count == 1 else tr("{count} values", count=count) if count else tr("nothing")

    return (
        Column(mark("Unit"), lambda comeback: comeback.again.serial),
        Column(mark("Came back as"), lambda comeback: comeback.again.number),
        Column(mark("On"), lambda comeback: day_of(comeback.again.opened_at).isoformat()),
        Column(mark("Signed before as"), lambda comeback: comeback.before.number),
        Column(mark("Days between"), lambda comeback: str(comeback.days), is_number=True),
        Column(mark("Asked for"), lambda comeback: comeback.again.asked_for or NOTHING, stretches=True),
        Column(mark("What moved"), moved, lambda comeback: moved_words(comeback, units())),
    )


def comeback_key(comeback: Comeback) -> int:
    """Return what a comeback is known by."""
    return comeback.again.id


# -- points of a chart -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class PointRow:
    """One point of a chart, with what its row shows of it."""

    point: Point
    value: str
    change: str
    person: str
    gauge: str
    unusual: str
    unusual_spoken: str


def point_rows(chart: FamilyChart, groups: tuple[Group, ...], by: str, units: str) -> list[PointRow]:
    """Return the points of a chart as rows, the newest first; the letter of a mark stands with whoever it is for."""
    letters = {at: group.letter for group in groups for at in group.points}
    return [_point_row(chart, at, letters.get(at, ""), by, units) for at in reversed(range(len(chart.points)))]


def _point_row(chart: FamilyChart, at: int, letter: str, by: str, units: str) -> PointRow:
    point = chart.points[at]
    gauges = ", ".join(point.gauges) or NOTHING
    doubted = doubts_words(point.doubts)
    gauge = tr("{gauge} ({doubts})", gauge=gauges, doubts=doubted) if doubted else gauges
    is_by_person = by == BY_PERSON
    return PointRow(
        point,
        tr("not measured") if point.value is None else value_words(chart, point.value, units),
        _change(chart, at, units),
        _lettered(point.person or NOTHING, letter if is_by_person else ""),
        _lettered(gauge, "" if is_by_person else letter),
        point_words(chart, at),
        point_sentences(chart, at, units),
    )


def _lettered(name: str, letter: str) -> str:
    return tr("{letter}: {name}", letter=letter, name=name) if letter else name


def _change(chart: FamilyChart, at: int, units: str) -> str:
    """Return how far a point lies from the one before, with its sign; "" beside a gap."""
    now, before = chart.points[at].value, chart.points[at - 1].value if at else None
    if now is None or before is None:
        return ""
    # Rounded far below any gauge: what was read alike did not change.
    step = round(now - before, 9)
    sign = "+" if step > 0 else "−" if step < 0 else ""
    return sign + value_words(chart, abs(step), units)


def _of(name: str) -> Callable[[Any], str]:
    return lambda row: str(getattr(row, name))


POINT_COLUMNS = (
    Column(mark("Job"), lambda row: row.point.number),
    Column(mark("Read on"), lambda row: day_of(row.point.at).isoformat()),
    Column(mark("Value"), _of("value"), is_number=True),
    Column(mark("Change"), _of("change"), is_number=True),
    Column(mark("Read by"), _of("person")),
    Column(mark("Gauge"), _of("gauge")),
    Column(mark("Unusual"), _of("unusual"), _of("unusual_spoken"), stretches=True),
)


def point_key(row: PointRow) -> int:
    """Return what a point is known by."""
    return row.point.job_id
