"""All jobs at once, as much of each as tells where it stands."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, select

from core.facts import Job, JobLine
from core.records import tables
from core.records.find_verbs import FindVerbs, _every_job
from core.records.texts import from_time_text


class OverviewVerbs(FindVerbs):
    """What can be asked about all jobs together."""

    def job_lines(self) -> list[JobLine]:
        """Return every job as one line, in the order they were opened."""
        job, unit, revision, card = tables.job, tables.unit, tables.spec_revision, tables.spec_card
        rows = self._rows(
            select(job.c.id, job.c.uid, job.c.number, job.c.unit_id, unit.c.serial, card.c.family)
            .join(unit, unit.c.id == job.c.unit_id)
            .join(revision, revision.c.id == job.c.revision_id)
            .join(card, card.c.id == revision.c.card_id)
            .order_by(job.c.id)
        )
        happened = self._turns()
        return [_line(row, happened[row.id]) for row in rows]

    def _turns(self) -> dict[int, list[Row[Any]]]:
        """Return when each job was opened, signed and reopened, in order."""
        event = tables.job_event
        turns: dict[int, list[Row[Any]]] = defaultdict(list)
        wanted = select(event.c.id, event.c.job_id, event.c.what, event.c.at)
        of_these = wanted.where(event.c.what.in_(("opened", "signed", "reopened"))).order_by(event.c.id)
        for row in self._rows(of_these):
            turns[row.job_id].append(row)
        return turns

    def jobs_by_id(self, job_ids: Sequence[int]) -> dict[int, Job]:
        """Return several jobs whole, by their ids."""
        found = self._jobs(_every_job().where(tables.job.c.id.in_(job_ids)))
        return {job.id: job for job in found}


def _line(row: Row[Any], turns: Sequence[Row[Any]]) -> JobLine:
    signed = [turn for turn in turns if turn.what == "signed"]
    sealed = turns[-1] if turns[-1].what == "signed" else None
    return JobLine(
        row.id,
        row.uid,
        row.number,
        row.serial,
        row.unit_id,
        row.family,
        opened_at=from_time_text(turns[0].at),
        first_signed_at=from_time_text(signed[0].at) if signed else None,
        signed_at=from_time_text(sealed.at) if sealed is not None else None,
        sealed=None if sealed is None else sealed.id,
    )
