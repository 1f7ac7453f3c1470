"""The trail as it is read: who did what, at which bench, when; newest first."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from sqlalchemy import Row, Table, and_, not_, select

from core.facts import Part, TrailEntry
from core.language import tr
from core.records import tables
from core.records.texts import from_time_text, whole
from core.records.unit_of_work import LARGEST_ID, UnitOfWork

MOST_ENTRIES = 1000

TOLD_WITH_ANOTHER = ("unit", "customer", "spec_card", "spec_value")
"""Whose new rows are written together with one that says it all: a job's, or a card revision's."""


def _part(row: Row[Any]) -> str:
    # A ring often has no name of its own: it is called by what it is and where it lies.
    return Part(row.id, row.kind, row.name, row.place, row.nominal_mm, 0).called


NAMED: Mapping[str, tuple[Table, Callable[[Row[Any]], str]]] = {
    "part_id": (tables.part, _part),
    "card_id": (tables.spec_card, lambda row: str(row.family)),
    "unit_id": (tables.unit, lambda row: str(row.serial)),
    "photo_id": (tables.photo, lambda row: str(row.caption)),
    "gauge_id": (tables.gauge, lambda row: str(row.name)),
}
"""What a row may belong to, by the column that names it, and how that is called; what it was read with comes last."""


class TrailVerbs(UnitOfWork):
    """What can be done with the trail: nothing but reading it."""

    def trail(self, most: int = 200, before_id: int | None = None) -> list[TrailEntry]:
        """Return what was done, newest first.

        Parameters
        ----------
        most : int
            Most entries.
        before_id : int, optional
            Only what was done before this entry, to go on reading where one stopped.

        Raises
        ------
        InputError
            More entries are asked for than are read at a time.
        """
        trail, job = tables.trail, tables.job
        told = not_(and_(trail.c.what == "added", trail.c.in_table.in_(TOLD_WITH_ANOTHER)))
        entries = (
            select(trail, job.c.number.label("job_number"))
            .join(job, job.c.id == trail.c.job_id, isouter=True)
            .where(told, trail.c.id < (LARGEST_ID if before_id is None else before_id))
            .order_by(trail.c.id.desc())
            .limit(whole(most, tr("The number of entries"), 1, MOST_ENTRIES))
        )
        read = [(row, json.loads(row.content)) for row in self._rows(entries)]
        names = self._names([content for _, content in read])
        return [_entry(row, content, names) for row, content in read]

    def _names(self, contents: Iterable[Mapping[str, Any]]) -> dict[tuple[str, int], str]:
        """Return what the rows belong to, by the column and the id in it."""
        found: dict[tuple[str, int], str] = {}
        for key, (table, called) in NAMED.items():
            ids = {content[key] for content in contents if content.get(key) is not None}
            if ids:
                # Not the pictures themselves.
                columns = (column for column in table.c if not column.info.get("is_digested"))
                rows = self._rows(select(*columns).where(table.c.id.in_(ids)))
                found |= {(key, row.id): called(row) for row in rows}
        return found


def _entry(row: Row[Any], content: Mapping[str, Any], names: Mapping[tuple[str, int], str]) -> TrailEntry:
    about = (names.get((column, content.get(column, 0)), "") for column in NAMED)
    return TrailEntry(
        id=row.id,
        at=from_time_text(row.at),
        bench=row.bench,
        person=row.person,
        doing=row.doing,
        job_id=row.job_id,
        what=row.what,
        table=row.in_table,
        row_id=row.row_id,
        content=content,
        chain=row.chain,
        job_number=row.job_number or "",
        about=next(filter(None, about), ""),
    )
