"""Where a shim of the drawer fits: at the bearing sides or under the pinion; of those there are, it is not said."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from migrations.adopting import adopt

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

RULE = "fits = '' OR (kind = 'shim' AND fits IN ('sides', 'pinion'))"


def upgrade() -> None:
    """Take the step: one column more, so every part is told to the trail anew; `part` has no triggers to lose."""
    with op.batch_alter_table("part") as batch:
        batch.add_column(sa.Column("fits", sa.Text, nullable=True))
    op.execute(sa.table("part", sa.column("fits")).update().values(fits=""))
    with op.batch_alter_table("part") as batch:
        batch.alter_column("fits", existing_type=sa.Text(), nullable=False)
        batch.create_check_constraint(op.f("ck_part_fits"), RULE)
    adopt(op.get_bind(), ["part"], {}, "changed")
