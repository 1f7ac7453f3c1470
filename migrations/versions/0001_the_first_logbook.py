"""The first logbook: shop, people, gauges, rings, units, spec cards, jobs and their readings."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# Eight bytes on a server too; SQLite's INTEGER is as wide.
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")

PLACE = ("job_id", "stage", "entry", "position", "trial")


def upgrade() -> None:
    """Take the step."""
    _make_shop()
    _make_spec_cards()
    _make_jobs()
    _make_readings()
    # No logbook was ever kept on a server at this step; the next one guards it there.
    if op.get_bind().dialect.name == "sqlite":
        _guard()


def _table(name: str, *parts: sa.schema.SchemaItem) -> None:
    key = sa.Column("id", WHOLE, nullable=False)
    op.create_table(name, key, *parts, sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{name}")), sqlite_strict=True)


def _text(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=nullable)


def _whole(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, WHOLE, nullable=nullable)


def _real(name: str, *, nullable: bool = True) -> sa.Column[float]:
    return sa.Column(name, sa.Double().with_variant(sa.REAL(), "sqlite"), nullable=nullable)


def _check(name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{name}"))


def _unique(table: str, *columns: str) -> sa.UniqueConstraint:
    return sa.UniqueConstraint(*columns, name=op.f(f"uq_{table}_{'_'.join(columns)}"))


def _points(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=op.f(f"fk_{table}_{column}"))


def _make_shop() -> None:
    _table(
        "shop",
        _text("name"),
        _text("address"),
        _text("units"),
        _check("shop_one", "id = 1"),
        _check("shop_units", "units IN ('metric', 'inch')"),
    )
    _table(
        "person",
        _text("name"),
        _text("name_key"),
        _text("role"),
        _unique("person", "name_key"),
        _check("person_role", "role IN ('bench', 'owner')"),
    )
    _table(
        "gauge",
        _text("name"),
        _text("name_key"),
        _text("use"),
        _text("kind"),
        _real("resolution", nullable=False),
        _real("stated_error", nullable=False),
        _text("calibrated_on", nullable=True),
        _whole("interval_months", nullable=True),
        _unique("gauge", "name_key"),
        _check("gauge_errors", "resolution >= 0 AND stated_error >= 0"),
        _check("gauge_interval", "interval_months > 0"),
    )
    _table(
        "ring",
        _text("place"),
        _real("nominal_mm", nullable=False),
        _real("measured_mm"),
        _whole("count"),
        _check("ring_thickness", "nominal_mm > 0 AND (measured_mm IS NULL OR measured_mm > 0)"),
        _check("ring_count", "count >= 0"),
    )


def _make_spec_cards() -> None:
    _table("spec_card", _text("family"), _text("family_key"), _unique("spec_card", "family_key"))
    _table(
        "spec_revision",
        _whole("card_id"),
        _whole("revision"),
        _text("made_at"),
        _text("made_by"),
        _unique("spec_revision", "card_id", "revision"),
        _check("spec_revision_revision", "revision > 0"),
        _points("spec_revision", "card_id", "spec_card"),
    )
    _table(
        "spec_value",
        _whole("revision_id"),
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
        _unique("spec_value", "revision_id", "what", "key"),
        _check("spec_value_what", "what IN ('limit', 'fact')"),
        _check("spec_value_order", "low <= high"),
        _check(
            "spec_value_numbers",
            "(low IS NULL OR low BETWEEN -1e9 AND 1e9) AND (high IS NULL OR high BETWEEN -1e9 AND 1e9)"
            " AND (value IS NULL OR value BETWEEN -1e9 AND 1e9)",
        ),
        _points("spec_value", "revision_id", "spec_revision"),
    )


def _make_jobs() -> None:
    _table("customer", _text("name"), _text("contact"), _unique("customer", "name", "contact"))
    _table(
        "unit",
        _text("serial"),
        _text("serial_key"),
        _unique("unit", "serial_key"),
        _check("unit_serial", "serial_key <> ''"),
    )
    _table(
        "job",
        _text("number"),
        _text("number_key"),
        _whole("unit_id"),
        _whole("customer_id"),
        _whole("revision_id"),
        _text("vehicle"),
        _text("asked_for"),
        _whole("ring_gear_teeth"),
        _whole("pinion_teeth"),
        _real("tag_ratio"),
        _whole("is_limited_slip"),
        _text("search_text"),
        _unique("job", "number_key"),
        _check("job_teeth", "pinion_teeth > 0 AND ring_gear_teeth > 0"),
        _check("job_tag_ratio", "tag_ratio > 0"),
        _check("job_is_limited_slip", "is_limited_slip IN (0, 1)"),
        _points("job", "unit_id", "unit"),
        _points("job", "customer_id", "customer"),
        _points("job", "revision_id", "spec_revision"),
    )
    op.create_index(op.f("ix_job_unit_id"), "job", ["unit_id"])
    op.create_index(op.f("ix_job_revision_id"), "job", ["revision_id"])
    _table(
        "job_event",
        _whole("job_id"),
        _text("what"),
        _text("at"),
        _text("person"),
        _text("detail"),
        _check("job_event_what", "what IN ('opened', 'signed', 'reopened', 'corrected', 'sheet')"),
        _points("job_event", "job_id", "job"),
    )
    op.create_index(op.f("ix_job_event_job_id"), "job_event", ["job_id"])


def _make_readings() -> None:
    _table(
        "reading",
        _whole("job_id"),
        _text("stage"),
        _text("entry"),
        _text("position"),
        _whole("trial"),
        _real("value"),
        _text("text"),
        _text("unit"),
        _whole("gauge_id", nullable=True),
        _text("person"),
        _text("taken_at"),
        _text("source"),
        _whole("replaces", nullable=True),
        _text("reason"),
        _unique("reading", *PLACE, "id"),
        _unique("reading", "replaces"),
        sa.ForeignKeyConstraint(
            [*PLACE, "replaces"],
            [*(f"reading.{name}" for name in PLACE), "reading.id"],
            name=op.f("fk_reading_job_id_stage_entry_position_trial_replaces"),
        ),
        _check("reading_replaces", "replaces < id"),
        _check("reading_trial", "trial >= 0"),
        _check("reading_value", "(value IS NULL OR value BETWEEN -1e9 AND 1e9)"),
        _points("reading", "job_id", "job"),
        _points("reading", "gauge_id", "gauge"),
    )
    first = sa.text("replaces IS NULL")
    op.create_index("uq_reading_first", "reading", [*PLACE], unique=True, sqlite_where=first, postgresql_where=first)


def _guard() -> None:
    """Let what must not change only grow; INSERT OR REPLACE fires no delete trigger, so it has one of its own."""
    same_row = {
        "spec_revision": "id = NEW.id OR (card_id = NEW.card_id AND revision = NEW.revision)",
        "spec_value": "id = NEW.id OR (revision_id = NEW.revision_id AND what = NEW.what AND key = NEW.key)",
        "job_event": "id = NEW.id",
        "reading": "id = NEW.id OR replaces = NEW.replaces OR (NEW.replaces IS NULL AND replaces IS NULL"
        " AND job_id = NEW.job_id AND stage = NEW.stage AND entry = NEW.entry AND position = NEW.position"
        " AND trial = NEW.trial)",
    }
    for table, same in same_row.items():
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} only grows'); END"
        op.execute(f"CREATE TRIGGER tr_{table}_no_update BEFORE UPDATE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER tr_{table}_no_delete BEFORE DELETE ON {table} {refuse}")
        seek = f"SELECT 1 FROM {table} WHERE {same}"  # noqa: S608
        op.execute(f"CREATE TRIGGER tr_{table}_no_replace BEFORE INSERT ON {table} WHEN EXISTS ({seek}) {refuse}")
    op.execute(
        "CREATE TRIGGER tr_spec_value_pinned BEFORE INSERT ON spec_value"
        " WHEN EXISTS (SELECT 1 FROM job WHERE revision_id = NEW.revision_id)"
        " BEGIN SELECT RAISE(ABORT, 'a job is pinned to this revision'); END"
    )
