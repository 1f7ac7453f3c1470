"""Paper and files: the build sheet, the readings."""

from __future__ import annotations

from pathlib import Path

from core.readings_csv import readings_csv
from core.workshop.base import Base


class Paper(Base):
    """What can be handed out."""

    def write_sheet(self, job_id: int, path: Path, *, copy: str = "shop", page: str = "A4", person: str = "") -> Path:
        """Write the build sheet as a PDF and note that it was issued."""
        # The typesetter takes a third of a second to load; a window or a reading should not wait for it.
        from core.sheet import write_sheet

        made_at = self._clock()
        with self._logbook.look() as work:
            state, shop, events = self._state(work, job_id), work.shop(), work.events(job_id)
        fingerprint = write_sheet(path, state, shop, copy=copy, page=page, events=events, made_at=made_at)
        with self._working("write_sheet", person) as work:
            work.note_sheet(job_id, person, made_at, fingerprint, copy)
            work.commit()
        return path

    def readings_csv(self, job_id: int) -> str:
        """Return every reading of a job, superseded ones included, as CSV with a header."""
        return readings_csv(self.state(job_id).context)
