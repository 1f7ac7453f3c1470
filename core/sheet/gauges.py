"""The gauges of a job on the shop's record: how each stood when it was used, the shop's rule, the zero checks."""

from __future__ import annotations

from datetime import date

from reportlab.platypus import CondPageBreak, Flowable, Spacer

from core.facts import Gauge
from core.gauges import (
    LAPSED,
    combined,
    day_of,
    doubts_words,
    interval_on,
    rules_words,
    standing,
    width_words,
    zeros_on,
)
from core.language import tr
from core.sheet.flow import Heading, table
from core.sheet.footnotes import Footnotes
from core.sheet.parts import Parts
from core.sheet.style import GRID, STYLES
from core.sheet.values import day_and_time, short_day, written_gauge
from core.stages.entry import GAUGE_USES

LEAST_ROOM = 90.0
"""The heading with less room than this [pt] under it goes to the next page."""
GAUGE_COLUMNS = (0.26, 0.15, 0.12, 0.13, 0.34)
ZERO_COLUMNS = (0.26, 0.22, 0.14, 0.14, 0.24)


def gauges_section(parts: Parts) -> list[Flowable]:
    """Return the gauges the readings were taken with; nothing where none is named."""
    used = _used(parts)
    if not used:
        return []
    notes = Footnotes(parts)
    heads = [tr("Gauge"), tr("Use"), tr("Resolution"), tr("Stated error"), tr("Calibration when it was used")]
    rows: list[list[Flowable]] = [[parts.quiet(text) for text in heads]]
    rows += [_gauge_row(parts, notes, gauge, days[-1]) for gauge, days in used]
    made = table(rows, [parts.width * share for share in GAUGE_COLUMNS], heads=1, padding=1.4)
    heading = Heading(parts.type.paragraph(STYLES.heading, tr("Gauges")), tr("Gauges"), "gauges", 1)
    return [
        CondPageBreak(LEAST_ROOM),
        heading,
        made,
        *_rule(parts, used),
        *_zeros(parts, notes, used),
        *notes.flowables(),
    ]


def _used(parts: Parts) -> list[tuple[Gauge, list[date]]]:
    """Return the gauges used, each with the days it was used on."""
    context = parts.state.context
    days: dict[int, set[date]] = {}
    for reading in context.readings:
        if reading.gauge_id is not None and reading.gauge_id in context.gauges:
            days.setdefault(reading.gauge_id, set()).add(day_of(reading.taken_at))
    return [(gauge, sorted(days[gauge_id])) for gauge_id, gauge in context.gauges.items() if gauge_id in days]


def _gauge_row(parts: Parts, notes: Footnotes, gauge: Gauge, last_day: date) -> list[Flowable]:
    return [
        parts.type.paragraph(STYLES.small, *notes.cut(gauge.name)),
        parts.small(tr(GAUGE_USES.get(gauge.use, gauge.use))),
        parts.small(width_words(gauge, gauge.resolution, parts.system)),
        parts.small(written_gauge(gauge, parts.system)),
        parts.type.paragraph(STYLES.small, *notes.cut(_calibration(parts, gauge, last_day))),
    ]


def _calibration(parts: Parts, gauge: Gauge, last_day: date) -> str:
    """Say when a gauge had been calibrated when it was last used on the job, and why its readings are marked."""
    calibrated_on = standing(gauge, last_day).calibrated_on
    months = interval_on(gauge, last_day)
    told = tr("not on record") if calibrated_on is None else short_day(calibrated_on)
    if calibrated_on is not None and months is not None:
        told = tr("{day}, every {months} months", day=told, months=months)
    context = parts.state.context
    trusts = (context.trust(reading) for reading in context.readings if reading.gauge_id == gauge.id)
    trust = combined(trust for trust in trusts if trust is not None)
    doubted = "" if trust is None else doubts_words(trust.doubts)
    return tr("{calibrated}; {doubts}", calibrated=told, doubts=doubted) if doubted else told


def _rule(parts: Parts, used: list[tuple[Gauge, list[date]]]) -> list[Flowable]:
    """Return what the shop settled on overdue gauges, where one was used."""
    if not any(standing(gauge, day).state in LAPSED for gauge, days in used for day in days):
        return []
    return [Spacer(0, GRID / 2), parts.type.paragraph(STYLES.small, rules_words(parts.state.context.rules))]


def _zeros(parts: Parts, notes: Footnotes, used: list[tuple[Gauge, list[date]]]) -> list[Flowable]:
    """Return the zero checks of the days the gauges were used on, oldest first."""
    checks = [(check, gauge) for gauge, days in used for check in zeros_on(gauge, days)]
    if not checks:
        return []
    heads = [tr("Zero check"), tr("When"), tr("Showed"), tr("Found"), tr("By")]
    rows: list[list[Flowable]] = [[parts.quiet(text) for text in heads]]
    for check, gauge in sorted(checks, key=lambda pair: pair[0].at):
        rows.append(
            [
                parts.type.paragraph(STYLES.small, *notes.cut(gauge.name)),
                parts.small(day_and_time(check.at)),
                parts.small(width_words(gauge, check.value, parts.system)),
                parts.small(tr("good") if check.is_good else tr("off")),
                parts.type.paragraph(STYLES.small, *notes.cut(" · ".join(filter(None, (check.person, check.note))))),
            ]
        )
    made = table(rows, [parts.width * share for share in ZERO_COLUMNS], heads=1, padding=1.4)
    return [Spacer(0, GRID), made]
