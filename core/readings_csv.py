"""The readings of a job as CSV: every fact, superseded ones included, one row each, stable columns."""

from __future__ import annotations

import csv
import io

from core.facts import Reading
from core.quantities import KINDS
from core.stages import stage
from core.stages.context import Context

COLUMNS = (
    "job",
    "serial",
    "stage",
    "trial",
    "entry",
    "position",
    "value",
    "value_unit",
    "typed",
    "typed_unit",
    "gauge",
    "person",
    "taken_at",
    "source",
    "reading",
    "replaces",
    "reason",
    "stands",
)


def _value_unit(reading: Reading) -> str:
    """Return the label of the canonical unit the value column is in; "" for words and for entries not known here."""
    try:
        kind = KINDS[stage(reading.stage).entry(reading.entry).kind]
    except KeyError:  # written by another version of the program: the fact is still handed out
        return ""
    return kind.canonical.label if kind.is_number and reading.value is not None else ""


def _harmless(cell: object) -> object:
    """Keep a spreadsheet from taking a note for a formula."""
    if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@", "\t", "\r"):
        return "'" + cell
    return cell


def _row(context: Context, reading: Reading, stands: bool) -> list[object]:
    gauge = None if reading.gauge_id is None else context.gauges.get(reading.gauge_id)
    cells: list[object] = [
        context.job.number,
        context.job.serial,
        reading.stage,
        reading.trial or "",
        reading.entry,
        reading.position,
        "" if reading.value is None else repr(reading.value),
        _value_unit(reading),
        reading.text,
        reading.unit,
        gauge.name if gauge else "",
        reading.person,
        reading.taken_at.isoformat(),
        reading.source,
        reading.id,
        reading.replaces or "",
        reading.reason,
        "yes" if stands else "no",
    ]
    # Values are written by this program; only what people typed may pass for a formula.
    return [cell if place == COLUMNS.index("value") else _harmless(cell) for place, cell in enumerate(cells)]


def readings_csv(context: Context) -> str:
    """Return the readings of a job as CSV (RFC 4180), header first, in the order they were taken."""
    standing = {reading.id for reading in context.current.values()}
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for reading in context.readings:
        writer.writerow(_row(context, reading, reading.id in standing))
    return text.getvalue()
