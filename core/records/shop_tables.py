"""The tables of the shop itself: its rules, people and gauges, and what lies in its drawer."""

from __future__ import annotations

from sqlalchemy import Column, Index, Table, Text, UniqueConstraint

from core.records.columns import check, key, metadata, real, row_id, text, uid, version, whole

shop = Table(
    "shop",
    metadata,
    row_id(),
    text("name"),
    text("address"),
    text("units"),
    version(),
    check("one", "id = 1"),
    check("units", "units IN ('metric', 'inch')"),
    sqlite_strict=True,
)

shop_rule = Table(
    "shop_rule",
    metadata,
    row_id(),
    text("key"),
    text("value"),
    text("at"),
    text("person"),
    sqlite_strict=True,
)
"""What the owner settled, newest last; a job is judged by what was in force when it was signed."""

person = Table(
    "person",
    metadata,
    row_id(),
    uid(),
    text("name"),
    text("name_key"),
    text("role"),
    # A PIN is never stored, only what it is checked against; in the trail not even that.
    Column("pin", Text, info={"is_digested": True}),
    whole("pin_failures"),
    Column("pin_failed_at", Text),
    whole("is_active"),
    version(),
    UniqueConstraint("name_key"),
    check("role", "role IN ('bench', 'owner')"),
    check("is_active", "is_active IN (0, 1)"),
    check("pin_failures", "pin_failures >= 0"),
    sqlite_strict=True,
)

gauge = Table(
    "gauge",
    metadata,
    row_id(),
    uid(),
    text("name"),
    text("name_key"),
    text("use"),
    text("kind"),
    real("resolution", is_needed=True),
    real("stated_error", is_needed=True),
    whole("interval_months", is_needed=False),
    whole("is_retired"),
    version(),
    UniqueConstraint("name_key"),
    check("errors", "resolution >= 0 AND stated_error >= 0"),
    check("interval", "interval_months > 0"),
    check("is_retired", "is_retired IN (0, 1)"),
    sqlite_strict=True,
)

gauge_check = Table(
    "gauge_check",
    metadata,
    row_id(),
    key("gauge_id", "gauge.id"),
    text("what"),
    # The day of a calibration, the moment of a zero check.
    text("at"),
    real("value"),
    whole("is_good"),
    text("person"),
    text("note"),
    Index(None, "gauge_id"),
    check("what", "what IN ('calibration', 'zero')"),
    check("is_good", "is_good IN (0, 1)"),
    sqlite_strict=True,
)

PART_KINDS = ("ring", "shim", "spacer", "seal", "bearing")

part = Table(
    "part",
    metadata,
    row_id(),
    uid(),
    text("kind"),
    text("name"),
    text("place"),
    real("nominal_mm"),
    # Pieces free in the drawer: what a job holds or used is not among them. Below nothing is impossible.
    whole("count"),
    whole("reorder_level"),
    whole("is_retired"),
    version(),
    # Which of the shims: those of the bearing sides and of the pinion have other diameters. Empty: not said.
    text("fits"),
    check("kind", f"kind IN {PART_KINDS}"),
    check("fits", "fits = '' OR (kind = 'shim' AND fits IN ('sides', 'pinion'))"),
    check("thickness", "nominal_mm > 0"),
    check("thickness_known", "nominal_mm IS NOT NULL OR kind NOT IN ('ring', 'shim', 'spacer')"),
    check("count", "count >= 0"),
    check("reorder_level", "reorder_level >= 0"),
    check("is_retired", "is_retired IN (0, 1)"),
    sqlite_strict=True,
)

part_measure = Table(
    "part_measure",
    metadata,
    row_id(),
    key("part_id", "part.id"),
    # All places measured on one occasion share a round; the last round counts.
    whole("round"),
    whole("place"),
    real("mm", is_needed=True),
    key("gauge_id", "gauge.id", is_needed=False),
    text("person"),
    text("at"),
    UniqueConstraint("part_id", "round", "place"),
    check("mm", "mm > 0"),
    sqlite_strict=True,
)

part_move = Table(
    "part_move",
    metadata,
    row_id(),
    key("part_id", "part.id"),
    text("what"),
    # What the move adds to the pieces free in the drawer.
    whole("pieces"),
    key("job_id", "job.id", is_needed=False),
    text("stage"),
    text("entry"),
    whole("trial"),
    text("person"),
    text("at"),
    text("reason"),
    Index(None, "part_id"),
    Index(None, "job_id"),
    check(
        "what",
        "what IN ('received', 'reserved', 'fitted', 'unfitted', 'returned', 'used', 'counted', 'scrapped')",
    ),
    sqlite_strict=True,
)
