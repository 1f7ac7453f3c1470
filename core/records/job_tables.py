"""The tables of the work: customers, units, spec cards, jobs, and what was read, advised and photographed on them."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKeyConstraint, Index, LargeBinary, Table, UniqueConstraint

from core.records.columns import check, key, metadata, real, row_id, text, uid, version, whole, within

customer = Table(
    "customer",
    metadata,
    row_id(),
    uid(),
    text("name"),
    text("contact"),
    UniqueConstraint("name", "contact"),
    sqlite_strict=True,
)

unit = Table(
    "unit",
    metadata,
    row_id(),
    uid(),
    text("serial"),
    text("serial_key"),
    # The same again with the signs made one that are taken for each other (O and 0, I and 1).
    text("look_key"),
    UniqueConstraint("serial_key"),
    Index(None, "look_key"),
    check("serial", "serial_key <> ''"),
    sqlite_strict=True,
)

spec_card = Table(
    "spec_card",
    metadata,
    row_id(),
    text("family"),
    text("family_key"),
    UniqueConstraint("family_key"),
    sqlite_strict=True,
)

spec_revision = Table(
    "spec_revision",
    metadata,
    row_id(),
    key("card_id", "spec_card.id"),
    whole("revision"),
    text("made_at"),
    text("made_by"),
    UniqueConstraint("card_id", "revision"),
    check("revision", "revision > 0"),
    sqlite_strict=True,
)

spec_value = Table(
    "spec_value",
    metadata,
    row_id(),
    key("revision_id", "spec_revision.id"),
    text("key"),
    text("what"),
    real("low"),
    real("high"),
    real("value"),
    text("low_text"),
    text("high_text"),
    text("text"),
    text("unit"),
    text("source"),
    UniqueConstraint("revision_id", "what", "key"),
    check("what", "what IN ('limit', 'fact')"),
    check("order", "low <= high"),
    check("numbers", f"{within('low')} AND {within('high')} AND {within('value')}"),
    sqlite_strict=True,
)

job = Table(
    "job",
    metadata,
    row_id(),
    uid(),
    text("number"),
    text("number_key"),
    key("unit_id", "unit.id"),
    key("customer_id", "customer.id"),
    key("revision_id", "spec_revision.id"),
    text("vehicle"),
    text("asked_for"),
    whole("ring_gear_teeth"),
    whole("pinion_teeth"),
    real("tag_ratio"),
    whole("is_limited_slip"),
    version(),
    UniqueConstraint("number_key"),
    Index(None, "unit_id"),
    Index(None, "revision_id"),
    check("teeth", "pinion_teeth > 0 AND ring_gear_teeth > 0"),
    check("tag_ratio", "tag_ratio > 0"),
    check("is_limited_slip", "is_limited_slip IN (0, 1)"),
    sqlite_strict=True,
)

job_event = Table(
    "job_event",
    metadata,
    row_id(),
    key("job_id", "job.id"),
    text("what"),
    text("at"),
    text("person"),
    text("detail"),
    Index(None, "job_id"),
    check("what", "what IN ('opened', 'signed', 'reopened', 'corrected', 'sheet')"),
    sqlite_strict=True,
)

PLACE = ("job_id", "stage", "entry", "position", "trial")
"""What a reading is read at."""

reading = Table(
    "reading",
    metadata,
    row_id(),
    key("job_id", "job.id"),
    text("stage"),
    text("entry"),
    text("position"),
    whole("trial"),
    real("value"),
    text("text"),
    text("unit"),
    key("gauge_id", "gauge.id", is_needed=False),
    text("person"),
    text("taken_at"),
    text("source"),
    whole("replaces", is_needed=False),
    text("reason"),
    # One chain at each place: it has one beginning, each reading is replaced at most once, by a later one of its place.
    UniqueConstraint(*PLACE, "id"),
    UniqueConstraint("replaces"),
    ForeignKeyConstraint([*PLACE, "replaces"], [*(f"reading.{name}" for name in PLACE), "reading.id"]),
    check("replaces", "replaces < id"),
    check("trial", "trial >= 0"),
    check("value", within("value")),
    sqlite_strict=True,
)
Index(
    "uq_reading_first",
    *(reading.c[name] for name in PLACE),
    unique=True,
    sqlite_where=reading.c.replaces.is_(None),
    postgresql_where=reading.c.replaces.is_(None),
)

advised = Table(
    "advised",
    metadata,
    row_id(),
    key("job_id", "job.id"),
    text("stage"),
    whole("trial"),
    real("ring_gear_side_mm", is_needed=True),
    real("opposite_side_mm", is_needed=True),
    text("places"),
    real("chance", is_needed=True),
    real("expected", is_needed=True),
    real("low", is_needed=True),
    real("high", is_needed=True),
    text("person"),
    text("at"),
    Index(None, "job_id"),
    check("trial", "trial >= 1"),
    check("thickness", "ring_gear_side_mm BETWEEN 0 AND 1e9 AND opposite_side_mm BETWEEN 0 AND 1e9"),
    check("chance", "chance BETWEEN 0 AND 1"),
    check("order", "low <= expected AND expected <= high"),
    check("numbers", "low BETWEEN -1e9 AND 1e9 AND high BETWEEN -1e9 AND 1e9"),
    sqlite_strict=True,
)
"""What was said before a trial, whatever was then fitted; said again for the same trial, the last counts."""

photo = Table(
    "photo",
    metadata,
    row_id(),
    uid(),
    key("job_id", "job.id"),
    text("stage"),
    text("entry"),
    text("position"),
    whole("trial"),
    key("reading_id", "reading.id", is_needed=False),
    text("caption"),
    text("digest"),
    whole("width"),
    whole("height"),
    Column("image", LargeBinary, nullable=False, info={"is_digested": True}),
    Column("thumbnail", LargeBinary, nullable=False, info={"is_digested": True}),
    text("person"),
    text("at"),
    Index(None, "job_id"),
    check("size", "width > 0 AND height > 0"),
    sqlite_strict=True,
)

photo_strike = Table(
    "photo_strike",
    metadata,
    row_id(),
    key("photo_id", "photo.id"),
    text("person"),
    text("at"),
    text("reason"),
    UniqueConstraint("photo_id"),
    sqlite_strict=True,
)
