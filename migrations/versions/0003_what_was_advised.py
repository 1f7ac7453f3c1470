"""What was advised for a trial: the pair, its chance, and the reading it promised."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
REAL: Any = sa.Double().with_variant(sa.REAL(), "sqlite")
CHECKS = {
    "trial": "trial >= 1",
    "thickness": "ring_gear_side_mm BETWEEN 0 AND 1e9 AND opposite_side_mm BETWEEN 0 AND 1e9",
    "chance": "chance BETWEEN 0 AND 1",
    "order": "low <= expected AND expected <= high",
    "numbers": "low BETWEEN -1e9 AND 1e9 AND high BETWEEN -1e9 AND 1e9",
}


def upgrade() -> None:
    """Take the step: one table, empty, so the trail has nothing to adopt; no other is touched."""
    op.create_table(
        "advised",
        _column("id", WHOLE),
        _column("job_id", WHOLE),
        _column("stage", sa.Text()),
        _column("trial", WHOLE),
        *(_column(name, REAL) for name in ("ring_gear_side_mm", "opposite_side_mm")),
        _column("places", sa.Text()),
        *(_column(name, REAL) for name in ("chance", "expected", "low", "high")),
        _column("person", sa.Text()),
        _column("at", sa.Text()),
        *(sa.CheckConstraint(rule, name=op.f(f"ck_advised_{name}")) for name, rule in CHECKS.items()),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_advised_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_advised")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_advised_job_id"), "advised", ["job_id"])
    if op.get_bind().dialect.name == "sqlite":
        _guard_file()
    else:
        _guard_server()


def _column(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=False)


def _guard_file() -> None:
    refuse = "BEGIN SELECT RAISE(ABORT, 'advised only grows'); END"
    op.execute(f"CREATE TRIGGER tr_advised_no_update BEFORE UPDATE ON advised {refuse}")
    op.execute(f"CREATE TRIGGER tr_advised_no_delete BEFORE DELETE ON advised {refuse}")
    seek = "SELECT 1 FROM advised WHERE id = NEW.id"
    op.execute(f"CREATE TRIGGER tr_advised_no_replace BEFORE INSERT ON advised WHEN EXISTS ({seek}) {refuse}")


def _guard_server() -> None:
    op.execute(
        "CREATE TRIGGER tr_advised_no_change BEFORE UPDATE OR DELETE ON advised"
        " FOR EACH ROW EXECUTE FUNCTION only_grows()"
    )
    op.execute(
        "CREATE TRIGGER tr_advised_no_truncate BEFORE TRUNCATE ON advised"
        " FOR EACH STATEMENT EXECUTE FUNCTION only_grows()"
    )
