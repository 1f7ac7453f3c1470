"""Records that last: stable ids, the drawer as stock, checks of gauges, PINs, photos, the trail and the search."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any
from uuid import NAMESPACE_URL, uuid5

import sqlalchemy as sa
from alembic import op

from migrations.adopting import adopt

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
REAL: Any = sa.Double().with_variant(sa.REAL(), "sqlite")
ORDER = (
    "shop", "shop_rule", "person", "gauge", "gauge_check", "part", "customer", "unit", "spec_card", "spec_revision",
    "spec_value", "job", "job_event", "reading", "part_measure", "part_move", "photo", "photo_strike",
)  # fmt: skip
"""Every table but the trail, those that others point at first."""
DIGESTED = {"person": ("pin",), "photo": ("image", "thumbnail")}
SAME_ROW = {
    "shop_rule": "id = NEW.id",
    "gauge_check": "id = NEW.id",
    "part_measure": "id = NEW.id OR (part_id = NEW.part_id AND round = NEW.round AND place = NEW.place)",
    "part_move": "id = NEW.id",
    "spec_revision": "id = NEW.id OR (card_id = NEW.card_id AND revision = NEW.revision)",
    "spec_value": "id = NEW.id OR (revision_id = NEW.revision_id AND what = NEW.what AND key = NEW.key)",
    "job_event": "id = NEW.id",
    "reading": "id = NEW.id OR replaces = NEW.replaces OR (NEW.replaces IS NULL AND replaces IS NULL"
    " AND job_id = NEW.job_id AND stage = NEW.stage AND entry = NEW.entry AND position = NEW.position"
    " AND trial = NEW.trial)",
    "photo": "id = NEW.id OR uid = NEW.uid",
    "photo_strike": "id = NEW.id OR photo_id = NEW.photo_id",
    "trail": "id = NEW.id",
}
"""The tables that only grow, and which row an INSERT OR REPLACE would push out."""


def upgrade() -> None:
    """Take the step."""
    is_file = op.get_bind().dialect.name == "sqlite"
    if is_file:
        _drop_triggers()
    _add_stable_ids()
    _widen_people_and_gauges()
    _widen_jobs()
    _make_tables()
    _carry_over()
    _make_search(is_file=is_file)
    adopt(op.get_bind(), ORDER, DIGESTED)
    if is_file:
        _guard_file()
    else:
        _guard_server()


# -- how parts are written ---------------------------------------------------------------------------------------------


def _text(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=nullable)


def _whole(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, WHOLE, nullable=nullable)


def _real(name: str, *, nullable: bool = True) -> sa.Column[float]:
    return sa.Column(name, REAL, nullable=nullable)


def _check(name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{name}"))


def _unique(table: str, *columns: str) -> sa.UniqueConstraint:
    return sa.UniqueConstraint(*columns, name=op.f(f"uq_{table}_{'_'.join(columns)}"))


def _points(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=op.f(f"fk_{table}_{column}"))


def _table(name: str, *parts: sa.schema.SchemaItem) -> None:
    key = _whole("id")
    op.create_table(name, key, *parts, sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{name}")), sqlite_strict=True)


def _add_columns(table: str, values: dict[str, tuple[sa.types.TypeEngine[Any], object]]) -> None:
    """Add columns that may not be empty, filled with one value each."""
    with op.batch_alter_table(table) as batch:
        for name, (kind, _) in values.items():
            batch.add_column(sa.Column(name, kind, nullable=True))
    filled = sa.table(table, *(sa.column(name) for name in values))
    op.execute(filled.update().values({name: value for name, (_, value) in values.items()}))
    with op.batch_alter_table(table) as batch:
        for name, (kind, _) in values.items():
            batch.alter_column(name, existing_type=kind, nullable=False)


def _rows(question: str) -> list[sa.RowMapping]:
    return list(op.get_bind().execute(sa.text(question)).mappings().all())


def _run(order: str, **values: object) -> None:
    op.get_bind().execute(sa.text(order), values)


# -- what changes ------------------------------------------------------------------------------------------------------


def _drop_triggers() -> None:
    for row in _rows("SELECT name FROM sqlite_master WHERE type = 'trigger'"):
        op.execute(f"DROP TRIGGER {row['name']}")


def _add_stable_ids() -> None:
    """Give rows that travel between logbooks an id of their own, the same for every copy of this logbook."""
    for table in ("person", "gauge", "customer", "unit", "job"):
        with op.batch_alter_table(table) as batch:
            batch.add_column(sa.Column("uid", sa.Text, nullable=True))
        for row in _rows(f"SELECT * FROM {table} ORDER BY id"):  # noqa: S608
            told = json.dumps([table, *(value for key, value in sorted(row.items()) if key != "uid")], default=str)
            _run(
                f"UPDATE {table} SET uid = :uid WHERE id = :id",  # noqa: S608
                uid=str(uuid5(NAMESPACE_URL, told)),
                id=row["id"],
            )
        with op.batch_alter_table(table) as batch:
            batch.alter_column("uid", existing_type=sa.Text(), nullable=False)
            batch.create_unique_constraint(op.f(f"uq_{table}_uid"), ["uid"])


def _widen_people_and_gauges() -> None:
    _add_columns("shop", {"version": (WHOLE, 1)})
    with op.batch_alter_table("person") as batch:
        batch.add_column(_text("pin", nullable=True))
        batch.add_column(_text("pin_failed_at", nullable=True))
    _add_columns("person", {"pin_failures": (WHOLE, 0), "is_active": (WHOLE, 1), "version": (WHOLE, 1)})
    with op.batch_alter_table("person") as batch:
        batch.create_check_constraint(op.f("ck_person_is_active"), "is_active IN (0, 1)")
        batch.create_check_constraint(op.f("ck_person_pin_failures"), "pin_failures >= 0")
    _add_columns("gauge", {"is_retired": (WHOLE, 0), "version": (WHOLE, 1)})
    with op.batch_alter_table("gauge") as batch:
        batch.create_check_constraint(op.f("ck_gauge_is_retired"), "is_retired IN (0, 1)")


def _widen_jobs() -> None:
    _add_columns("unit", {"look_key": (sa.Text(), "")})
    for row in _rows("SELECT id, serial_key FROM unit"):
        look = row["serial_key"].translate(str.maketrans("oil", "011"))
        _run("UPDATE unit SET look_key = :look WHERE id = :id", look=look, id=row["id"])
    op.create_index(op.f("ix_unit_look_key"), "unit", ["look_key"])
    _add_columns("job", {"version": (WHOLE, 1)})


def _make_tables() -> None:
    _table("shop_rule", _text("key"), _text("value"), _text("at"), _text("person"))
    _table(
        "gauge_check",
        _whole("gauge_id"),
        _text("what"),
        _text("at"),
        _real("value"),
        _whole("is_good"),
        _text("person"),
        _text("note"),
        _check("gauge_check_what", "what IN ('calibration', 'zero')"),
        _check("gauge_check_is_good", "is_good IN (0, 1)"),
        _points("gauge_check", "gauge_id", "gauge"),
    )
    op.create_index(op.f("ix_gauge_check_gauge_id"), "gauge_check", ["gauge_id"])
    _make_drawer()
    _make_photos()
    _table(
        "trail",
        _text("at"),
        _text("bench"),
        _text("person"),
        _text("doing"),
        _whole("job_id", nullable=True),
        _text("what"),
        _text("in_table"),
        _whole("row_id"),
        _text("content"),
        _text("chain"),
        _check("trail_what", "what IN ('added', 'changed')"),
    )
    op.create_index(op.f("ix_trail_job_id"), "trail", ["job_id"])
    op.create_index(op.f("ix_trail_in_table_row_id"), "trail", ["in_table", "row_id"])


def _make_drawer() -> None:
    _table(
        "part",
        _text("uid"),
        _text("kind"),
        _text("name"),
        _text("place"),
        _real("nominal_mm"),
        _whole("count"),
        _whole("reorder_level"),
        _whole("is_retired"),
        _whole("version"),
        _unique("part", "uid"),
        _check("part_kind", "kind IN ('ring', 'shim', 'spacer', 'seal', 'bearing')"),
        _check("part_thickness", "nominal_mm > 0"),
        _check("part_thickness_known", "nominal_mm IS NOT NULL OR kind NOT IN ('ring', 'shim', 'spacer')"),
        _check("part_count", "count >= 0"),
        _check("part_reorder_level", "reorder_level >= 0"),
        _check("part_is_retired", "is_retired IN (0, 1)"),
    )
    _table(
        "part_measure",
        _whole("part_id"),
        _whole("round"),
        _whole("place"),
        _real("mm", nullable=False),
        _whole("gauge_id", nullable=True),
        _text("person"),
        _text("at"),
        _unique("part_measure", "part_id", "round", "place"),
        _check("part_measure_mm", "mm > 0"),
        _points("part_measure", "part_id", "part"),
        _points("part_measure", "gauge_id", "gauge"),
    )
    _table(
        "part_move",
        _whole("part_id"),
        _text("what"),
        _whole("pieces"),
        _whole("job_id", nullable=True),
        _text("stage"),
        _text("entry"),
        _whole("trial"),
        _text("person"),
        _text("at"),
        _text("reason"),
        _check(
            "part_move_what",
            "what IN ('received', 'reserved', 'fitted', 'unfitted', 'returned', 'used', 'counted', 'scrapped')",
        ),
        _points("part_move", "part_id", "part"),
        _points("part_move", "job_id", "job"),
    )
    op.create_index(op.f("ix_part_move_part_id"), "part_move", ["part_id"])
    op.create_index(op.f("ix_part_move_job_id"), "part_move", ["job_id"])


def _make_photos() -> None:
    _table(
        "photo",
        _text("uid"),
        _whole("job_id"),
        _text("stage"),
        _text("entry"),
        _text("position"),
        _whole("trial"),
        _whole("reading_id", nullable=True),
        _text("caption"),
        _text("digest"),
        _whole("width"),
        _whole("height"),
        sa.Column("image", sa.LargeBinary, nullable=False),
        sa.Column("thumbnail", sa.LargeBinary, nullable=False),
        _text("person"),
        _text("at"),
        _unique("photo", "uid"),
        _check("photo_size", "width > 0 AND height > 0"),
        _points("photo", "job_id", "job"),
        _points("photo", "reading_id", "reading"),
    )
    op.create_index(op.f("ix_photo_job_id"), "photo", ["job_id"])
    _table(
        "photo_strike",
        _whole("photo_id"),
        _text("person"),
        _text("at"),
        _text("reason"),
        _unique("photo_strike", "photo_id"),
        _points("photo_strike", "photo_id", "photo"),
    )


def _carry_over() -> None:
    """Make what was known of rings and gauges into the drawer and the checks, and drop where it was kept."""
    now = datetime.now(UTC).isoformat(timespec="microseconds")
    for row in _rows("SELECT * FROM ring ORDER BY id"):
        told = json.dumps(["part", *(value for _, value in sorted(row.items()))])
        _run(
            "INSERT INTO part (id, uid, kind, name, place, nominal_mm, count, reorder_level, is_retired, version)"
            " VALUES (:id, :uid, 'ring', '', :place, :nominal_mm, :count, 0, 0, 1)",
            uid=str(uuid5(NAMESPACE_URL, told)),
            **{key: row[key] for key in ("id", "place", "nominal_mm", "count")},
        )
        if row["measured_mm"] is not None:
            _run(
                "INSERT INTO part_measure (part_id, round, place, mm, person, at) VALUES (:id, 1, 1, :mm, '', :at)",
                id=row["id"], mm=row["measured_mm"], at=now,
            )  # fmt: skip
        _run(
            "INSERT INTO part_move (part_id, what, pieces, stage, entry, trial, person, at, reason)"
            " VALUES (:id, 'counted', :count, '', '', 0, '', :at, '')",
            id=row["id"], count=row["count"], at=now,
        )  # fmt: skip
    op.drop_table("ring")
    _run(
        "INSERT INTO gauge_check (gauge_id, what, at, is_good, person, note)"
        " SELECT id, 'calibration', calibrated_on, 1, '', '' FROM gauge WHERE calibrated_on IS NOT NULL ORDER BY id"
    )
    with op.batch_alter_table("gauge") as batch:
        batch.drop_column("calibrated_on")
    with op.batch_alter_table("job") as batch:
        batch.drop_column("search_text")


def _make_search(*, is_file: bool) -> None:
    # Only the room for it: the program that asks the search also knows what belongs into it.
    if is_file:
        # The words come apart before they are written; every sign beyond ASCII is taken for part of one.
        op.execute("CREATE VIRTUAL TABLE job_search USING fts5(words, tokenize = 'ascii')")
    else:
        op.execute("CREATE TABLE job_search (job_id BIGINT PRIMARY KEY REFERENCES job (id), words TSVECTOR NOT NULL)")
        op.execute("CREATE INDEX ix_job_search_words ON job_search USING gin (words)")


# -- what must not change ----------------------------------------------------------------------------------------------


def _guard_file() -> None:
    for table, same in SAME_ROW.items():
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


def _guard_server() -> None:
    functions = {
        "only_grows": "BEGIN RAISE EXCEPTION '% only grows', TG_TABLE_NAME; END",
        "spec_value_pinned": "BEGIN IF EXISTS (SELECT 1 FROM job WHERE revision_id = NEW.revision_id) THEN"
        " RAISE EXCEPTION 'a job is pinned to this revision'; END IF; RETURN NEW; END",
    }
    for name, body in functions.items():
        op.execute(f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $body${body}$body$")
    for table in SAME_ROW:
        op.execute(
            f"CREATE TRIGGER tr_{table}_no_change BEFORE UPDATE OR DELETE ON {table}"
            " FOR EACH ROW EXECUTE FUNCTION only_grows()"
        )
        op.execute(
            f"CREATE TRIGGER tr_{table}_no_truncate BEFORE TRUNCATE ON {table}"
            " FOR EACH STATEMENT EXECUTE FUNCTION only_grows()"
        )
    op.execute(
        "CREATE TRIGGER tr_spec_value_pinned BEFORE INSERT ON spec_value"
        " FOR EACH ROW EXECUTE FUNCTION spec_value_pinned()"
    )
