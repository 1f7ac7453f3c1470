"""Flat CSV: stable columns, units in the header or beside the value, one fact a row, nothing that could be run."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from core.facts import Reading
from core.quantities import KINDS
from core.stages import stage
from core.stages.context import Context

Table = Mapping[str, Any]

READINGS = (
    "job", "serial", "stage", "trial", "entry", "position", "value", "value_unit", "typed", "typed_unit", "gauge",
    "person", "taken_at", "source", "reading", "replaces", "reason", "stands",
    "gauge_marks",
)  # fmt: skip
JOBS = (
    "job", "revision", "serial", "customer", "contact", "vehicle", "asked_for", "family", "card_revision",
    "ring_gear_teeth", "pinion_teeth", "tag_ratio", "limited_slip", "opened_at", "opened_by", "signed_at", "signed_by",
    "reopened_because", "uid",
)  # fmt: skip
PARTS = (
    "part", "kind", "name", "place", "nominal_mm", "measured_mm", "measured_places", "free_pieces", "reorder_level",
    "retired", "fits",
)  # fmt: skip
MOVES = (
    "part", "kind", "name", "nominal_mm", "what", "pieces", "job", "stage", "entry", "trial", "person", "at", "reason",
)  # fmt: skip
GAUGES = (
    "gauge", "name", "use", "resolution", "stated_error", "unit", "interval_months", "calibrated_on", "retired",
)  # fmt: skip


def readings_csv(*contexts: Context) -> str:
    """Return the readings of jobs as CSV (RFC 4180), header first, in the order they were taken.

    A reading is known by its number within its job, so that another logbook tells the same.
    """
    return _written(READINGS, (row for context in contexts for row in _readings(context)))


def jobs_csv(contexts: Iterable[Context]) -> str:
    """Return jobs as CSV, one row each."""
    return _written(JOBS, (_job(context) for context in contexts))


def parts_csv(parts: Iterable[Table]) -> str:
    """Return what the drawer holds as CSV; `parts` as an archive tells them."""
    return _written(PARTS, (_part(part) for part in parts))


def moves_csv(moves: Iterable[Table], parts: Iterable[Table], numbers: Mapping[str, str]) -> str:
    """Return what happened to the pieces of the drawer as CSV; `numbers` are the job numbers by the jobs' uids."""
    known = {part["uid"]: part for part in parts}
    return _written(MOVES, (_move(known[move["part"]], move, numbers) for move in moves))


def gauges_csv(gauges: Iterable[Table]) -> str:
    """Return the gauges as CSV; `gauges` as an archive tells them."""
    return _written(GAUGES, (_gauge(gauge) for gauge in gauges))


def _written(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(columns)
    writer.writerows([_cell(cell) for cell in row] for row in rows)
    return text.getvalue()


def _cell(value: object) -> object:
    """Return a cell as it is written; only what people typed could be taken for a formula, numbers stay numbers."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r", "\n"):
        return "'" + value
    return value


def _readings(context: Context) -> Iterator[Sequence[object]]:
    standing = {reading.id for reading in context.current.values()}
    number = {reading.id: count for count, reading in enumerate(context.readings, 1)}
    for reading in context.readings:
        trust = context.trust(reading)
        yield (
            context.job.number,
            context.job.serial,
            reading.stage,
            reading.trial or "",
            reading.entry,
            reading.position,
            reading.value,
            _value_unit(reading),
            reading.text,
            reading.unit,
            trust.gauge.name if trust else "",
            reading.person,
            reading.taken_at.isoformat(),
            reading.source,
            number[reading.id],
            None if reading.replaces is None else number.get(reading.replaces),
            reading.reason,
            reading.id in standing,
            # Why what it was read with is doubted, in stable words: overdue, never_calibrated, bad_zero …
            " ".join(doubt.why for doubt in trust.doubts) if trust else "",
        )


def _value_unit(reading: Reading) -> str:
    """Return the label of the canonical unit the value column is in; "" for words and for entries not known here."""
    try:
        kind = KINDS[stage(reading.stage).entry(reading.entry).kind]
    except KeyError:  # written by another version of the program: the fact is still handed out
        return ""
    return kind.canonical.label if kind.is_number and reading.value is not None else ""


def _job(context: Context) -> Sequence[object]:
    job = context.job
    return (
        job.number,
        job.revision,
        job.serial,
        job.customer,
        job.contact,
        job.vehicle,
        job.asked_for,
        job.card.family,
        job.card.revision,
        job.ring_gear_teeth,
        job.pinion_teeth,
        job.tag_ratio,
        job.is_limited_slip,
        job.opened_at.isoformat(),
        job.opened_by,
        None if job.signed_at is None else job.signed_at.isoformat(),
        job.signed_by,
        job.reopen_reason,
        job.uid,
    )


def _part(part: Table) -> Sequence[object]:
    last = max((measure["round"] for measure in part["measures"]), default=0)
    places = [measure["mm"] for measure in part["measures"] if measure["round"] == last]
    mean_mm = sum(places) / len(places) if places else None
    tail = (part["count"], part["reorder_level"], part["is_retired"], part["fits"])
    head = (part["uid"], part["kind"], part["name"], part["place"], part["nominal_mm"], mean_mm)
    return (*head, len(places), *tail)


def _move(part: Table, move: Table, numbers: Mapping[str, str]) -> Sequence[object]:
    head = (part["uid"], part["kind"], part["name"], part["nominal_mm"], move["what"], move["pieces"])
    place = (numbers.get(move["job"], "") if move["job"] else "", move["stage"], move["entry"], move["trial"] or "")
    return (*head, *place, move["person"], move["at"], move["reason"])


def _gauge(gauge: Table) -> Sequence[object]:
    days = [check["at"] for check in gauge["checks"] if check["what"] == "calibration" and check["is_good"]]
    kind = KINDS.get(gauge["kind"])
    unit = kind.canonical.label if kind is not None else ""
    head = (gauge["uid"], gauge["name"], gauge["use"], gauge["resolution"], gauge["stated_error"], unit)
    return (*head, gauge["interval_months"], max(days, default=""), gauge["is_retired"])
