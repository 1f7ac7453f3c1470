"""The tables as they are now; how they came to be is in `migrations`, and a test holds the two together.

A new entry, limit or fact adds rows, never columns. Times are ISO 8601 texts in UTC, flags are 0 or 1. What must
not change once written is guarded; see `core.records.guards`.
"""

from __future__ import annotations

from sqlalchemy import Index, Table

from core.records.columns import check, metadata, row_id, text, whole
from core.records.job_tables import (
    PLACE,
    advised,
    customer,
    job,
    job_event,
    photo,
    photo_strike,
    reading,
    spec_card,
    spec_revision,
    spec_value,
    unit,
)
from core.records.shop_tables import (
    gauge,
    gauge_check,
    part,
    part_measure,
    part_move,
    person,
    shop,
    shop_rule,
)

__all__ = [
    "APPLICATION_ID",
    "PLACE",
    "REVISION",
    "advised",
    "customer",
    "gauge",
    "gauge_check",
    "job",
    "job_event",
    "metadata",
    "part",
    "part_measure",
    "part_move",
    "person",
    "photo",
    "photo_strike",
    "reading",
    "shop",
    "shop_rule",
    "spec_card",
    "spec_revision",
    "spec_value",
    "trail",
    "unit",
]

REVISION = "0004"
"""The step of `migrations` these tables are of."""
APPLICATION_ID = 0x50494E42
"""How a logbook is told from any other SQLite file: the word PINB in its header."""

trail = Table(
    "trail",
    metadata,
    row_id(),
    text("at"),
    text("bench"),
    text("person"),
    text("doing"),
    # No foreign keys: the trail must be able to name what is gone.
    whole("job_id", is_needed=False),
    text("what"),
    text("in_table"),
    whole("row_id"),
    text("content"),
    text("chain"),
    Index(None, "job_id"),
    Index(None, "in_table", "row_id"),
    check("what", "what IN ('added', 'changed')"),
    sqlite_strict=True,
)
"""Every change of every other row, each chained to the one before; see `core.records.trail`."""
