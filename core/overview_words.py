"""The owner's page in words: the same sentences on the page and on the command line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from core.charts import FamilyChart, grouped
from core.gauges import day_of, days_words, standing_words
from core.language import mark, tr
from core.mechanics.control_chart import (
    BEYOND,
    FIRM_VALUES,
    JUMP,
    LEAST_VALUES,
    ONE_SIDE,
    TREND_RULE,
    TWO_OF_THREE,
    Limits,
    Signal,
)
from core.overview import READY, CalibrationDue, Comeback, Overview, WaitingJob, stand_words
from core.quantities import KINDS, show, unit_for

ORDER, CALIBRATE, PIN, BACKUP = "order", "calibrate", "pin", "backup"
MOST_SIGNALS = 8
CARE_WORDS = {ORDER: mark("Order"), CALIBRATE: mark("Calibrate"), PIN: mark("Set a PIN"), BACKUP: mark("Back up")}
WHAT_LIMITS_SAY = mark(
    "The limits of the card say what is allowed; the control limits say what this shop usually does."
)
RULES = {
    BEYOND: mark("beyond"),
    JUMP: mark("jump"),
    ONE_SIDE: mark("one side"),
    TREND_RULE: mark("drift"),
    TWO_OF_THREE: mark("near limit"),
}
"""What is said, in a word or two, of a point a signal is about."""


def shown(kind: str, value: float, units: str, unit: str = "") -> str:
    """Return a value in the shop's system of units."""
    return show(kind, value, unit_for(kind, units, unit or KINDS[kind].canonical.id).id)


# -- jobs --------------------------------------------------------------------------------------------------------------


def counts_words(overview: Overview) -> str:
    """Say how many jobs stand where, in order of work; places where none stands are left out."""
    counted = {place: number for place, number in overview.counts.items() if number}
    if not counted:
        return tr("There is no job yet.")
    return ", ".join(
        tr("{place}: {number}", place=stand_words(place), number=number) for place, number in counted.items()
    )


def untouched_words(waiting: WaitingJob) -> str:
    """Say for how long nobody has touched an open job."""
    return tr("today") if waiting.days == 0 else days_words(waiting.days)


def first_words(overview: Overview) -> str:
    """Return the sentence the page begins with: what waits longest."""
    if not overview.waiting:
        return tr("No job is waiting.")
    longest = overview.waiting[0]
    place = (
        tr("is ready to sign") if longest.stage == READY else tr("stands in {stage}", stage=stand_words(longest.stage))
    )
    if longest.days == 0:
        return tr("Every open job was touched today.")
    return tr(
        "Job {number} waits longest: it {place} and was last touched {days} ago.",
        number=longest.job.number,
        place=place,
        days=days_words(longest.days),
    )


def moved_lines(comeback: Comeback, units: str) -> list[str]:
    """Say which values are not what they were when the unit left, one a line."""
    if not comeback.moved:
        return [tr("Nothing moved by more than the gauges can tell, as far as it was measured.")]
    return [
        tr(
            "{what}: left {left}, found {found}",
            what=tr(move.label),
            left=shown(move.kind, move.left, units, move.unit),
            found=shown(move.kind, move.found, units, move.unit),
        )
        for move in comeback.moved
    ]


def moved_words(comeback: Comeback, units: str) -> str:
    """Say in one line which values are not what they were when the unit left."""
    return "; ".join(moved_lines(comeback, units))


# -- what to see to ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Care:
    """One thing the owner has to see to: what it is, the thing's id, what it is called, and why."""

    what: str
    id: int
    name: str
    why: str


def cares(overview: Overview) -> list[Care]:
    """Return what the owner has to see to: to order, to calibrate, PINs, the backup."""
    lines = [
        Care(
            ORDER,
            part.id,
            part.called,
            tr("{lacking} lacking: {count} there, {level} wanted",
               lacking=part.to_order, count=part.count, level=part.reorder_level),
        )
        for part in overview.orders
    ]  # fmt: skip
    lines += [Care(CALIBRATE, due.gauge.id, due.gauge.name, _due_words(due)) for due in overview.calibrations]
    lines += [Care(PIN, person.id, person.name, tr("anybody can sign in this name")) for person in overview.without_pin]
    if overview.backup.is_late(overview.at):
        lines.append(Care(BACKUP, 0, tr("the logbook"), backup_words(overview)))
    return lines


def _due_words(due: CalibrationDue) -> str:
    return standing_words(due.standing)


def backup_words(overview: Overview) -> str:
    """Say when the last backup was made, and what is in none."""
    backup = overview.backup
    if backup.made_at is None:
        return tr("There is no backup yet.")
    day = day_of(backup.made_at).isoformat()
    if not backup.entries_since:
        return tr("Last backup on {day}.", day=day)
    return tr("Last backup on {day}; {count} entries were made since.", day=day, count=backup.entries_since)


# -- charts ------------------------------------------------------------------------------------------------------------


def value_words(chart: FamilyChart, value: float, units: str) -> str:
    """Return a value of a chart's quantity in the shop's system of units."""
    derived = chart.quantity.derived
    return shown(derived.kind, value, units, derived.unit)


def signal_sentences(chart: FamilyChart, units: str) -> Iterator[str]:
    """Say what is unusual on a chart, the latest first, and no more of it than anybody reads."""
    latest = sorted(chart.chart.signals, key=lambda signal: -signal.points[-1])
    for signal in latest[:MOST_SIGNALS]:
        yield signal_words(chart, signal, units)
    if len(latest) > MOST_SIGNALS:
        yield tr("{count} more further back; the list names them job by job.", count=len(latest) - MOST_SIGNALS)


def chart_sentences(chart: FamilyChart, units: str) -> Iterator[str]:
    """Say what the limits of a chart rest on, and what they mean."""
    control = chart.chart
    if not control.count:
        yield tr("No signed job of this family has this value yet.")
        return
    if control.limits is None:
        yield tr(
            "{count} values, shown without control limits: those need {least} that follow each other.",
            count=control.count,
            least=LEAST_VALUES,
        )
        return
    if not control.signals:
        yield tr("Nothing unusual: this is how it usually comes out here.")
    yield from _limit_sentences(chart, control.limits, units)
    yield tr(WHAT_LIMITS_SAY)


def group_sentences(chart: FamilyChart, by: str, units: str) -> Iterator[str]:
    """Say how much each person or gauge usually reads, where there is more than one to compare."""
    groups = grouped(chart.points, by)
    for group in groups if len(groups) > 1 else ():
        mean = value_words(chart, group.mean, units)
        if len(group.points) == 1:
            yield tr("{letter}: {name}, 1 job, {mean}", letter=group.letter, name=group.name, mean=mean)
        else:
            yield tr(
                "{letter}: {name}, {count} jobs, on average {mean}",
                letter=group.letter,
                name=group.name,
                count=len(group.points),
                mean=mean,
            )


def _limit_sentences(chart: FamilyChart, limits: Limits, units: str) -> Iterator[str]:
    control = chart.chart
    if limits.high == limits.low:
        yield tr(
            "All values are {value}, so the control limits fall together; look whether the gauge can tell them apart.",
            value=value_words(chart, limits.centre, units),
        )
    else:
        centre = value_words(chart, limits.centre, units)
        yield tr("Usually {range}, on average {centre}.", range=range_words(chart, limits, units), centre=centre)
    if not control.is_firm:
        yield tr(
            "The control limits rest on {count} values and may still move; {firm} make them firm.",
            count=control.count,
            firm=FIRM_VALUES,
        )
    if control.is_stretched and control.robust is not None:
        yield tr(
            "Jumps have widened the control limits. By the median of the steps it is usually {range}.",
            range=range_words(chart, control.robust, units),
        )
        outside = control.beyond_robust()
        if outside:
            yield tr("Beyond that: {jobs}.", jobs=jobs_words(chart, outside))


def range_words(chart: FamilyChart, limits: Limits, units: str) -> str:
    """Return the range of limits; below nothing no value of the trade can lie."""
    high = value_words(chart, limits.high, units)
    if limits.low <= 0.0:
        return tr("up to {high}", high=high)
    return tr("{low} to {high}", low=value_words(chart, limits.low, units), high=high)


def jobs_words(chart: FamilyChart, points: Sequence[int]) -> str:
    """Name the jobs of some points: each, or the first and last of many."""
    numbers = [chart.points[at].number for at in points]
    if not numbers:
        return ""
    if len(numbers) == 1:
        return tr("job {number}", number=numbers[0])
    if len(numbers) <= 3:
        return tr("jobs {numbers}", numbers=", ".join(numbers))
    return tr("{count} jobs, {first} to {last}", count=len(numbers), first=numbers[0], last=numbers[-1])


def signal_words(chart: FamilyChart, signal: Signal, units: str) -> str:
    """Say in a sentence what is unusual, and at which jobs."""
    jobs = jobs_words(chart, signal.points)
    jobs = jobs[0].upper() + jobs[1:]
    last = chart.points[signal.points[-1]].value or 0.0
    if signal.rule == BEYOND:
        fields = {"jobs": jobs, "value": value_words(chart, last, units)}
        if signal.is_up:
            return tr("{jobs}: {value} is above the upper control limit.", **fields)
        return tr("{jobs}: {value} is below the lower control limit.", **fields)
    if signal.rule == JUMP:
        step = value_words(chart, abs(last - (chart.points[signal.points[0]].value or 0.0)), units)
        if signal.is_up:
            return tr("{jobs}: a jump up by {step}, more than is usual from job to job.", jobs=jobs, step=step)
        return tr("{jobs}: a jump down by {step}, more than is usual from job to job.", jobs=jobs, step=step)
    return tr(_PATTERNS[signal.rule, signal.is_up], jobs=jobs)


_PATTERNS = {
    (ONE_SIDE, True): mark("{jobs}: all above the average. Something shifted and stayed so."),
    (ONE_SIDE, False): mark("{jobs}: all below the average. Something shifted and stayed so."),
    (TREND_RULE, True): mark("{jobs}: each higher than the one before. That is a drift, of a habit or a gauge."),
    (TREND_RULE, False): mark("{jobs}: each lower than the one before. That is a drift, of a habit or a gauge."),
    (TWO_OF_THREE, True): mark("{jobs}: near the upper control limit again and again."),
    (TWO_OF_THREE, False): mark("{jobs}: near the lower control limit again and again."),
}


def point_words(chart: FamilyChart, at: int) -> str:
    """Say in a few words what is unusual at one point; "" where nothing is."""
    rules = dict.fromkeys(signal.rule for signal in chart.chart.signals if at in signal.points)
    return ", ".join(tr(RULES[rule]) for rule in rules)


def point_sentences(chart: FamilyChart, at: int, units: str) -> str:
    """Say in sentences what is unusual at one point; "" where nothing is."""
    return " ".join(signal_words(chart, signal, units) for signal in chart.chart.signals if at in signal.points)
