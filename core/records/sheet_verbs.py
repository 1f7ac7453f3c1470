"""Build sheets that were issued, found again by what is printed on them or by their bytes."""

from __future__ import annotations

import json

from sqlalchemy import select

from core.facts import JobEvent
from core.records import tables
from core.records.texts import from_time_text
from core.records.unit_of_work import UnitOfWork


class SheetVerbs(UnitOfWork):
    """What can be asked about sheets that left the shop."""

    def sheets_known_by(self, digest: str) -> list[JobEvent]:
        """Return when a sheet was issued that carries a fingerprint, or whose file has a SHA-256; oldest first."""
        event = tables.job_event
        holding = event.c.detail.contains(digest, autoescape=True)
        found = self._rows(select(event).where(event.c.what == "sheet", holding).order_by(event.c.id))
        return [
            JobEvent(row.job_id, row.what, from_time_text(row.at), row.person, json.loads(row.detail)) for row in found
        ]
