"""What was written since, and by whom: for benches that look on while another one works."""

from __future__ import annotations

from sqlalchemy import func, select

from core.records import tables
from core.records.unit_of_work import UnitOfWork
from core.records.watch import Changes


class ChangeVerbs(UnitOfWork):
    """What can be asked of the trail while others write."""

    def last_entry(self) -> int:
        """Return the number of the newest entry of the trail; 0 where there is none."""
        return int(self._connection.execute(select(func.max(tables.trail.c.id))).scalar_one() or 0)

    def head(self) -> tuple[int, str]:
        """Return the newest entry of the trail and its chain, which stands for everything written up to it."""
        trail = tables.trail
        last = self._row(select(trail.c.id, trail.c.chain).order_by(trail.c.id.desc()).limit(1))
        return (0, "") if last is None else (last.id, last.chain)

    def chain_at(self, entry: int) -> str:
        """Return the chain of one entry of the trail, "" where there is no such entry."""
        row = self._row(select(tables.trail.c.chain).where(tables.trail.c.id == entry))
        return "" if row is None else str(row.chain)

    def changes_since(self, entry: int, *, not_by: str = "") -> Changes:
        """Return what was written after an entry of the trail, leaving out what one bench wrote itself."""
        trail = tables.trail
        rows = self._rows(
            select(trail.c.id, trail.c.bench, trail.c.job_id, trail.c.in_table, trail.c.person)
            .where(trail.c.id > entry)
            .order_by(trail.c.id)
        )
        others = [row for row in rows if row.bench != not_by]
        return Changes(
            up_to=rows[-1].id if rows else entry,
            jobs=frozenset(row.job_id for row in others if row.job_id is not None),
            tables=frozenset(row.in_table for row in others),
            people=tuple(dict.fromkeys(row.person for row in others if row.person)),
        )
