"""The tables as they are now; how they came to be is in `migrations`, and a test holds the two together.

A new entry, limit or fact adds rows, never columns. Times are ISO 8601 texts in UTC, flags are 0 or 1. What must
not change once written is guarded by triggers, so that another program cannot rewrite it by accident either.
"""

from __future__ import annotations

from sqlalchemy import (
    REAL,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

REVISION = "0001"
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


def _id() -> Column[int]:
    return Column("id", Integer, primary_key=True)


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False)


def _key(name: str, target: str, *, is_needed: bool = True) -> Column[int]:
    return Column(name, Integer, ForeignKey(target), nullable=not is_needed)


def _real(name: str, *, is_needed: bool = False) -> Column[float]:
    # A strict SQLite table knows REAL, not DOUBLE PRECISION; both are the same eight bytes.
    return Column(name, Double().with_variant(REAL(), "sqlite"), nullable=not is_needed)


def _whole(name: str, *, is_needed: bool = True) -> Column[int]:
    return Column(name, Integer, nullable=not is_needed)


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
    _check("one", "id = 1"),
    _check("units", "units IN ('metric', 'inch')"),
    sqlite_strict=True,
)

person = Table(
    "person",
    metadata,
    _id(),
    _text("name"),
    _text("name_key"),
    _text("role"),
    UniqueConstraint("name_key"),
    _check("role", "role IN ('bench', 'owner')"),
    sqlite_strict=True,
)

gauge = Table(
    "gauge",
    metadata,
    _id(),
    _text("name"),
    _text("name_key"),
    _text("use"),
    _text("kind"),
    _real("resolution", is_needed=True),
    _real("stated_error", is_needed=True),
    Column("calibrated_on", Text),
    _whole("interval_months", is_needed=False),
    UniqueConstraint("name_key"),
    _check("errors", "resolution >= 0 AND stated_error >= 0"),
    _check("interval", "interval_months > 0"),
    sqlite_strict=True,
)

ring = Table(
    "ring",
    metadata,
    _id(),
    _text("place"),
    _real("nominal_mm", is_needed=True),
    _real("measured_mm"),
    _whole("count"),
    _check("thickness", "nominal_mm > 0 AND (measured_mm IS NULL OR measured_mm > 0)"),
    _check("count", "count >= 0"),
    sqlite_strict=True,
)

customer = Table(
    "customer",
    metadata,
    _id(),
    _text("name"),
    _text("contact"),
    UniqueConstraint("name", "contact"),
    sqlite_strict=True,
)

unit = Table(
    "unit",
    metadata,
    _id(),
    _text("serial"),
    _text("serial_key"),
    UniqueConstraint("serial_key"),
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
    # What a search looks into, folded here because SQLite folds the letters of English only.
    _text("search_text"),
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

_FIRST_AGAIN = " AND ".join(f"{name} = NEW.{name}" for name in PLACE)

APPEND_ONLY = {
    "spec_revision": "id = NEW.id OR (card_id = NEW.card_id AND revision = NEW.revision)",
    "spec_value": "id = NEW.id OR (revision_id = NEW.revision_id AND what = NEW.what AND key = NEW.key)",
    "job_event": "id = NEW.id",
    "reading": "id = NEW.id OR replaces = NEW.replaces"
    f" OR (NEW.replaces IS NULL AND replaces IS NULL AND {_FIRST_AGAIN})",
}
"""Tables that only grow, and which row an INSERT OR REPLACE would push out: SQLite fires no delete trigger for it."""


def _triggers() -> dict[str, str]:
    triggers = {}
    for table, same_row in APPEND_ONLY.items():
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} only grows'); END"
        for what in ("update", "delete"):
            triggers[f"tr_{table}_no_{what}"] = f"BEFORE {what.upper()} ON {table} {refuse}"
        triggers[f"tr_{table}_no_replace"] = (
            f"BEFORE INSERT ON {table} WHEN EXISTS (SELECT 1 FROM {table} WHERE {same_row}) {refuse}"  # noqa: S608
        )
    triggers["tr_spec_value_pinned"] = (
        "BEFORE INSERT ON spec_value WHEN EXISTS (SELECT 1 FROM job WHERE revision_id = NEW.revision_id) "
        "BEGIN SELECT RAISE(ABORT, 'a job is pinned to this revision'); END"
    )
    return {name: f"CREATE TRIGGER {name} {body}" for name, body in triggers.items()}


TRIGGERS = _triggers()
"""Every trigger of the logbook, by name, as SQLite stores it."""
