"""``pinionbook overview``: the owner's page in text or as JSON."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import Any

from app.settings import load
from core.charts import FamilyChart, Point
from core.language import tr
from core.mechanics.control_chart import Limits
from core.overview import Comeback, Overview, WaitingJob, stand_words
from core.overview_words import (
    CARE_WORDS,
    WHAT_LIMITS_SAY,
    backup_words,
    cares,
    chart_sentences,
    counts_words,
    moved_words,
    signal_sentences,
    untouched_words,
)
from core.quantities import KINDS
from core.records import open_logbook
from core.workshop import Workshop

DONE = 0

Charts = list[FamilyChart]


def add_to(commands: Any) -> None:
    """Add the command to the command line."""
    overview = commands.add_parser(
        "overview", help=tr("say where the jobs stand, what came back, what to see to, and what is unusual")
    )
    overview.add_argument("--json", action="store_true", help=tr("print it as JSON, charts point by point"))
    overview.set_defaults(command=run)


def run(options: argparse.Namespace) -> int:
    """Print the overview of a logbook."""
    with open_logbook(options.logbook) as logbook:
        workshop = Workshop(logbook)
        overview, units = workshop.overview(load().backup_folder), workshop.shop().units
        charts = [chart for family in workshop.charted_families() for chart in workshop.family_charts(family).values()]
    if options.json:
        print(json.dumps(as_json(overview, charts), ensure_ascii=False, indent=1))
    else:
        print("\n".join(as_text(overview, charts, units)))
    return DONE


# --- text ------------------------------------------------------------------------------------------------------------


def as_text(overview: Overview, charts: Charts, units: str) -> Iterator[str]:
    """Yield the overview line by line, in the shop's system of units."""
    yield counts_words(overview)
    yield from _under(tr("Open jobs, the longest untouched first"), map(_waiting_line, overview.waiting))
    yield from _under(tr("Came back"), (_comeback_line(comeback, units) for comeback in overview.comebacks))
    to_see_to = (
        tr("{what}: {name}, {why}", what=tr(CARE_WORDS[care.what]), name=care.name, why=care.why)
        for care in cares(overview)
    )
    yield from _under(tr("To see to"), to_see_to)
    if not overview.backup.is_late(overview.at):
        yield from ("", backup_words(overview))
    for chart in charts:
        title = tr("{family}, {quantity}", family=chart.family, quantity=tr(chart.quantity.label))
        said = (*signal_sentences(chart, units), *chart_sentences(chart, units))
        # What holds for every chart is said once, at the end.
        yield from _under(title, (line for line in said if line != tr(WHAT_LIMITS_SAY)))
    if charts:
        yield from ("", tr(WHAT_LIMITS_SAY))


def _under(title: str, lines: Iterable[str]) -> Iterator[str]:
    """Yield lines under a title, and nothing where there are none."""
    found = list(lines)
    if found:
        yield from ("", title, *(f"  {line}" for line in found))


def _waiting_line(line: WaitingJob) -> str:
    return tr(
        "{number}, unit {serial}: {stage}{wanted}; last touched: {days}",
        number=line.job.number,
        serial=line.job.serial,
        stage=stand_words(line.stage),
        wanted=f", {line.wanted}" if line.wanted else "",
        days=untouched_words(line),
    )


def _comeback_line(comeback: Comeback, units: str) -> str:
    return tr(
        "Unit {serial}, job {again}, {days} days after job {before}: {asked_for} {moved}",
        serial=comeback.again.serial,
        again=comeback.again.number,
        days=comeback.days,
        before=comeback.before.number,
        asked_for=comeback.again.asked_for.replace("\n", " "),
        moved=moved_words(comeback, units),
    )


# --- JSON ------------------------------------------------------------------------------------------------------------


def as_json(overview: Overview, charts: Charts) -> dict[str, object]:
    """Return the overview for other programs: keys stay as they are, numbers are in the unit beside them."""
    return {
        "at": _time(overview.at),
        "jobs": overview.counts,
        "waiting": [
            {
                "job": line.job.number,
                "serial": line.job.serial,
                "stands_in": line.stage,
                "wanted": line.wanted,
                "last_touched": _time(line.since),
                "days": line.days,
            }
            for line in overview.waiting
        ],
        "comebacks": [_comeback(comeback) for comeback in overview.comebacks],
        "to_order": [
            {"part": part.called, "kind": part.kind, "lacking": part.to_order, "count": part.count}
            for part in overview.orders
        ],
        "calibrations_due": [
            {"gauge": due.gauge.name, "state": due.standing.state.value, "due_on": _time(due.standing.due_on)}
            for due in overview.calibrations
        ],
        "without_pin": [person.name for person in overview.without_pin],
        "last_backup": _time(overview.backup.made_at),
        "charts": [_chart(chart) for chart in charts],
    }


def _time(moment: date | datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()


def _comeback(comeback: Comeback) -> dict[str, object]:
    return {
        "serial": comeback.again.serial,
        "before": comeback.before.number,
        "again": comeback.again.number,
        "days": comeback.days,
        "asked_for": comeback.again.asked_for,
        "moved": [
            {"what": move.label, "left": move.left, "found": move.found, "unit": KINDS[move.kind].canonical.label}
            for move in comeback.moved
        ],
    }


def _chart(chart: FamilyChart) -> dict[str, object]:
    control = chart.chart
    return {
        "family": chart.family,
        "quantity": chart.quantity.key,
        "unit": KINDS[chart.quantity.derived.kind].canonical.label,
        "points": [_point(point) for point in chart.points],
        "control_limits": _limits(control.limits),
        "median_range_limits": _limits(control.robust),
        "mean_range": control.range_mean,
        "range_limit": control.range_high,
        "signals": [
            {
                "rule": signal.rule,
                "direction": "up" if signal.is_up else "down",
                "jobs": [chart.points[at].number for at in signal.points],
            }
            for signal in control.signals
        ],
    }


def _point(point: Point) -> dict[str, object]:
    return {
        "job": point.number,
        "at": _time(point.at),
        "value": point.value,
        "card_low": point.low,
        "card_high": point.high,
        "person": point.person,
        "gauges": list(point.gauges),
        "gauge_doubts": [doubt.why.value for doubt in point.doubts],
    }


def _limits(limits: Limits | None) -> dict[str, float] | None:
    return None if limits is None else {"low": limits.low, "centre": limits.centre, "high": limits.high}
