"""A small logbook with at least one row in every table, for tests that must leave no table out."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from core.records import Work, tables

AT = "2026-03-02T08:00:00.000000+00:00"
NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)

ROWS: dict[str, dict[str, Any]] = {
    "shop": {"id": 1, "name": "Ferrow Lane Driveline", "address": "3 Ferrow Lane", "units": "metric"},
    "shop_rule": {"key": "overdue", "value": "widen", "at": AT, "person": "Wren Hask"},
    "person": {
        "name": "Łucja Ströß", "name_key": "łucja ströss", "role": "bench", "pin": "scrypt$1$x", "pin_failures": 0,
        "pin_failed_at": AT, "is_active": 1,
    },
    "gauge": {
        "name": "dial gauge 1", "name_key": "dial gauge 1", "use": "dial", "kind": "length", "resolution": 0.01,
        "stated_error": 0.005, "interval_months": 12, "is_retired": 0,
    },
    "gauge_check": {
        "gauge_id": 1, "what": "zero", "at": AT, "value": 0.002, "is_good": 1, "person": "Tam", "note": "warm",
    },
    "part": {
        "kind": "shim", "name": "plain", "place": "C3", "nominal_mm": 2.5, "count": 2, "reorder_level": 1,
        "is_retired": 0, "fits": "sides",
    },
    "customer": {"name": "Brackwater Hill-climb Club", "contact": "gate 2"},
    "unit": {"serial": "K-1183", "serial_key": "k1183", "look_key": "k1183"},
    "spec_card": {"family": "Orrin B", "family_key": "orrin b"},
    "spec_revision": {"card_id": 1, "revision": 1, "made_at": AT, "made_by": "Tam"},
    "spec_value": {
        "revision_id": 1, "key": "backlash", "what": "limit", "low": 0.06, "high": 0.1, "value": 0.08,
        "low_text": "0.06", "high_text": "0.10 mm", "text": "a note", "unit": "mm", "source": "shop practice",
    },
    "job": {
        "number": "2407", "number_key": "2407", "unit_id": 1, "customer_id": 1, "revision_id": 1,
        "vehicle": "rear axle", "asked_for": "quiet",
        "ring_gear_teeth": 43, "pinion_teeth": 11, "tag_ratio": 3.91, "is_limited_slip": 1,
    },
    "job_event": {"job_id": 1, "what": "opened", "at": AT, "person": "Tam", "detail": '{"reason": "came in"}'},
    "reading": {
        "job_id": 1, "stage": "backlash", "entry": "backlash", "position": "at_000", "trial": 1, "value": 0.08,
        "text": "0.08", "unit": "mm", "gauge_id": 1, "person": "Tam", "taken_at": AT, "source": "typed",
        "replaces": None, "reason": "first",
    },
    "advised": {
        "job_id": 1, "stage": "preload", "trial": 2, "ring_gear_side_mm": 2.5, "opposite_side_mm": 2.45,
        "places": "C3, A1", "chance": 0.84, "expected": 0.71, "low": 0.52, "high": 0.93, "person": "Tam", "at": AT,
    },
    "part_measure": {"part_id": 1, "round": 1, "place": 1, "mm": 2.498, "gauge_id": 1, "person": "Tam", "at": AT},
    "part_move": {
        "part_id": 1, "what": "counted", "pieces": 2, "job_id": 1, "stage": "preload", "entry": "ring_gear_side",
        "trial": 1, "person": "Tam", "at": AT, "reason": "counted",
    },
    "photo": {
        "job_id": 1, "stage": "teardown", "entry": "parts_note", "position": "", "trial": 0, "reading_id": 1,
        "caption": "as found", "digest": "ab" * 32, "width": 4, "height": 3, "image": b"\xff\xd8 a picture",
        "thumbnail": b"\xff\xd8 small", "person": "Tam", "at": AT,
    },
    "photo_strike": {"photo_id": 1, "person": "Tam", "at": AT, "reason": "wrong unit"},
}  # fmt: skip
"""One row for each table, those that others point at first."""


def live_in(work: Work) -> None:
    """Write one row into every table, as the verbs do."""
    for name, values in ROWS.items():
        work._add(tables.metadata.tables[name], **values)
    work.rebuild_search()
