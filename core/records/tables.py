"""The tables as they are now; how they came to be is in `migrations`, and a test holds the two together.

A new entry, limit or fact adds rows, never columns. Times are ISO 8601 texts in UTC, flags are 0 or 1. What must
not change once written is guarded; see `core.records.guards`.
"""

from __future__ import annotations

from sqlalchemy import (
    REAL,
    BigInteger,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

REVISION = "0003"
"""The step of `migrations` these tables are of."""
APPLICATION_ID = 0x50494E42
"""How a logbook is told from any other SQLite file: the word PINB in its header."""

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)


WHOLE = BigInteger().with_variant(Integer(), "sqlite")
"""Eight bytes on a server too; SQLite's INTEGER is as wide."""


def _id() -> Column[int]:
    return Column("id", WHOLE, primary_key=True)


def _uid() -> Column[str]:
    # What a row is called in every logbook it was carried to; its id is this logbook's own.
    return Column("uid", Text, nullable=False, unique=True)


def _version() -> Column[int]:
    # Counts the changes of a row, so that nobody overwrites what he has not seen.
    return Column("version", WHOLE, nullable=False)


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False)


def _key(name: str, target: str, *, is_needed: bool = True) -> Column[int]:
    return Column(name, WHOLE, ForeignKey(target), nullable=not is_needed)


def _real(name: str, *, is_needed: bool = False) -> Column[float]:
    # A strict SQLite table knows REAL, not DOUBLE PRECISION; both are the same eight bytes.
    return Column(name, Double().with_variant(REAL(), "sqlite"), nullable=not is_needed)


def _whole(name: str, *, is_needed: bool = True) -> Column[int]:
    return Column(name, WHOLE, nullable=not is_needed)


def _check(name: str, rule: str) -> CheckConstraint:
    return CheckConstraint(rule, name=name)


def _within(column: str) -> str:
    # Nothing in a workshop is larger, and infinity is not a measurement.
    return f"({column} IS NULL OR {column} BETWEEN -1e9 AND 1e9)"


shop = Table(
    "shop",
    metadata,
    _id(),
    _text("name"),
    _text("address"),
    _text("units"),
    _version(),
    _check("one", "id = 1"),
    _check("units", "units IN ('metric', 'inch')"),
    sqlite_strict=True,
)

shop_rule = Table(
    "shop_rule",
    metadata,
    _id(),
    _text("key"),
    _text("value"),
    _text("at"),
    _text("person"),
    sqlite_strict=True,
)
"""What the owner settled, newest last; a job is judged by what was in force when it was signed."""

person = Table(
    "person",
    metadata,
    _id(),
    _uid(),
    _text("name"),
    _text("name_key"),
    _text("role"),
    # A PIN is never stored, only what it is checked against; in the trail not even that.
    Column("pin", Text, info={"is_digested": True}),
    _whole("pin_failures"),
    Column("pin_failed_at", Text),
    _whole("is_active"),
    _version(),
    UniqueConstraint("name_key"),
    _check("role", "role IN ('bench', 'owner')"),
    _check("is_active", "is_active IN (0, 1)"),
    _check("pin_failures", "pin_failures >= 0"),
    sqlite_strict=True,
)

gauge = Table(
    "gauge",
    metadata,
    _id(),
    _uid(),
    _text("name"),
    _text("name_key"),
    _text("use"),
    _text("kind"),
    _real("resolution", is_needed=True),
    _real("stated_error", is_needed=True),
    _whole("interval_months", is_needed=False),
    _whole("is_retired"),
    _version(),
    UniqueConstraint("name_key"),
    _check("errors", "resolution >= 0 AND stated_error >= 0"),
    _check("interval", "interval_months > 0"),
    _check("is_retired", "is_retired IN (0, 1)"),
    sqlite_strict=True,
)

gauge_check = Table(
    "gauge_check",
    metadata,
    _id(),
    _key("gauge_id", "gauge.id"),
    _text("what"),
    # The day of a calibration, the moment of a zero check.
    _text("at"),
    _real("value"),
    _whole("is_good"),
    _text("person"),
    _text("note"),
    Index(None, "gauge_id"),
    _check("what", "what IN ('calibration', 'zero')"),
    _check("is_good", "is_good IN (0, 1)"),
    sqlite_strict=True,
)

PART_KINDS = ("ring", "shim", "spacer", "seal", "bearing")

part = Table(
    "part",
    metadata,
    _id(),
    _uid(),
    _text("kind"),
    _text("name"),
    _text("place"),
    _real("nominal_mm"),
    # Pieces free in the drawer: what a job holds or used is not among them. Below nothing is impossible.
    _whole("count"),
    _whole("reorder_level"),
    _whole("is_retired"),
    _version(),
    _check("kind", f"kind IN {PART_KINDS}"),
    _check("thickness", "nominal_mm > 0"),
    _check("thickness_known", "nominal_mm IS NOT NULL OR kind NOT IN ('ring', 'shim', 'spacer')"),
    _check("count", "count >= 0"),
    _check("reorder_level", "reorder_level >= 0"),
    _check("is_retired", "is_retired IN (0, 1)"),
    sqlite_strict=True,
)

part_measure = Table(
    "part_measure",
    metadata,
    _id(),
    _key("part_id", "part.id"),
    # All places measured on one occasion share a round; the last round counts.
    _whole("round"),
    _whole("place"),
    _real("mm", is_needed=True),
    _key("gauge_id", "gauge.id", is_needed=False),
    _text("person"),
    _text("at"),
    UniqueConstraint("part_id", "round", "place"),
    _check("mm", "mm > 0"),
    sqlite_strict=True,
)

part_move = Table(
    "part_move",
    metadata,
    _id(),
    _key("part_id", "part.id"),
    _text("what"),
    # What the move adds to the pieces free in the drawer.
    _whole("pieces"),
    _key("job_id", "job.id", is_needed=False),
    _text("stage"),
    _text("entry"),
    _whole("trial"),
    _text("person"),
    _text("at"),
    _text("reason"),
    Index(None, "part_id"),
    Index(None, "job_id"),
    _check(
        "what",
        "what IN ('received', 'reserved', 'fitted', 'unfitted', 'returned', 'used', 'counted', 'scrapped')",
    ),
    sqlite_strict=True,
)

customer = Table(
    "customer",
    metadata,
    _id(),
    _uid(),
    _text("name"),
    _text("contact"),
    UniqueConstraint("name", "contact"),
    sqlite_strict=True,
)

unit = Table(
    "unit",
    metadata,
    _id(),
    _uid(),
    _text("serial"),
    _text("serial_key"),
    # The same again with the signs made one that are taken for each other (O and 0, I and 1).
    _text("look_key"),
    UniqueConstraint("serial_key"),
    Index(None, "look_key"),
    _check("serial", "serial_key <> ''"),
    sqlite_strict=True,
)

spec_card = Table(
    "spec_card",
    metadata,
    _id(),
    _text("family"),
    _text("family_key"),
    UniqueConstraint("family_key"),
    sqlite_strict=True,
)

spec_revision = Table(
    "spec_revision",
    metadata,
    _id(),
    _key("card_id", "spec_card.id"),
    _whole("revision"),
    _text("made_at"),
    _text("made_by"),
    UniqueConstraint("card_id", "revision"),
    _check("revision", "revision > 0"),
    sqlite_strict=True,
)

spec_value = Table(
    "spec_value",
    metadata,
    _id(),
    _key("revision_id", "spec_revision.id"),
    _text("key"),
    _text("what"),
    _real("low"),
    _real("high"),
    _real("value"),
    _text("low_text"),
    _text("high_text"),
    _text("text"),
    _text("unit"),
    _text("source"),
    UniqueConstraint("revision_id", "what", "key"),
    _check("what", "what IN ('limit', 'fact')"),
    _check("order", "low <= high"),
    _check("numbers", f"{_within('low')} AND {_within('high')} AND {_within('value')}"),
    sqlite_strict=True,
)

job = Table(
    "job",
    metadata,
    _id(),
    _uid(),
    _text("number"),
    _text("number_key"),
    _key("unit_id", "unit.id"),
    _key("customer_id", "customer.id"),
    _key("revision_id", "spec_revision.id"),
    _text("vehicle"),
    _text("asked_for"),
    _whole("ring_gear_teeth"),
    _whole("pinion_teeth"),
    _real("tag_ratio"),
    _whole("is_limited_slip"),
    _version(),
    UniqueConstraint("number_key"),
    Index(None, "unit_id"),
    Index(None, "revision_id"),
    _check("teeth", "pinion_teeth > 0 AND ring_gear_teeth > 0"),
    _check("tag_ratio", "tag_ratio > 0"),
    _check("is_limited_slip", "is_limited_slip IN (0, 1)"),
    sqlite_strict=True,
)

job_event = Table(
    "job_event",
    metadata,
    _id(),
    _key("job_id", "job.id"),
    _text("what"),
    _text("at"),
    _text("person"),
    _text("detail"),
    Index(None, "job_id"),
    _check("what", "what IN ('opened', 'signed', 'reopened', 'corrected', 'sheet')"),
    sqlite_strict=True,
)

PLACE = ("job_id", "stage", "entry", "position", "trial")
"""What a reading is read at."""

reading = Table(
    "reading",
    metadata,
    _id(),
    _key("job_id", "job.id"),
    _text("stage"),
    _text("entry"),
    _text("position"),
    _whole("trial"),
    _real("value"),
    _text("text"),
    _text("unit"),
    _key("gauge_id", "gauge.id", is_needed=False),
    _text("person"),
    _text("taken_at"),
    _text("source"),
    _whole("replaces", is_needed=False),
    _text("reason"),
    # One chain at each place: it has one beginning, each reading is replaced at most once, by a later one of its place.
    UniqueConstraint(*PLACE, "id"),
    UniqueConstraint("replaces"),
    ForeignKeyConstraint([*PLACE, "replaces"], [*(f"reading.{name}" for name in PLACE), "reading.id"]),
    _check("replaces", "replaces < id"),
    _check("trial", "trial >= 0"),
    _check("value", _within("value")),
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
    _id(),
    _key("job_id", "job.id"),
    _text("stage"),
    _whole("trial"),
    _real("ring_gear_side_mm", is_needed=True),
    _real("opposite_side_mm", is_needed=True),
    _text("places"),
    _real("chance", is_needed=True),
    _real("expected", is_needed=True),
    _real("low", is_needed=True),
    _real("high", is_needed=True),
    _text("person"),
    _text("at"),
    Index(None, "job_id"),
    _check("trial", "trial >= 1"),
    _check("thickness", "ring_gear_side_mm BETWEEN 0 AND 1e9 AND opposite_side_mm BETWEEN 0 AND 1e9"),
    _check("chance", "chance BETWEEN 0 AND 1"),
    _check("order", "low <= expected AND expected <= high"),
    _check("numbers", "low BETWEEN -1e9 AND 1e9 AND high BETWEEN -1e9 AND 1e9"),
    sqlite_strict=True,
)
"""What was said before a trial, whatever was then fitted; said again for the same trial, the last counts."""

photo = Table(
    "photo",
    metadata,
    _id(),
    _uid(),
    _key("job_id", "job.id"),
    _text("stage"),
    _text("entry"),
    _text("position"),
    _whole("trial"),
    _key("reading_id", "reading.id", is_needed=False),
    _text("caption"),
    _text("digest"),
    _whole("width"),
    _whole("height"),
    Column("image", LargeBinary, nullable=False, info={"is_digested": True}),
    Column("thumbnail", LargeBinary, nullable=False, info={"is_digested": True}),
    _text("person"),
    _text("at"),
    Index(None, "job_id"),
    _check("size", "width > 0 AND height > 0"),
    sqlite_strict=True,
)

photo_strike = Table(
    "photo_strike",
    metadata,
    _id(),
    _key("photo_id", "photo.id"),
    _text("person"),
    _text("at"),
    _text("reason"),
    UniqueConstraint("photo_id"),
    sqlite_strict=True,
)

trail = Table(
    "trail",
    metadata,
    _id(),
    _text("at"),
    _text("bench"),
    _text("person"),
    _text("doing"),
    # No foreign keys: the trail must be able to name what is gone.
    _whole("job_id", is_needed=False),
    _text("what"),
    _text("in_table"),
    _whole("row_id"),
    _text("content"),
    _text("chain"),
    Index(None, "job_id"),
    Index(None, "in_table", "row_id"),
    _check("what", "what IN ('added', 'changed')"),
    sqlite_strict=True,
)
"""Every change of every other row, each chained to the one before; see `core.records.trail`."""
