"""What was advised before a trial: kept as it was said, so that it can be compared with what was read."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Row, select

from core.errors import InputError
from core.facts import Advised
from core.language import tr
from core.records import tables
from core.records.card_verbs import LARGEST_VALUE
from core.records.hold_verbs import MOST_TRIALS
from core.records.job_verbs import JobVerbs
from core.records.texts import LONGEST_KEY, from_time_text, line, number, to_time_text, whole
from core.records.unit_of_work import checked_id


class AdvisedVerbs(JobVerbs):
    """What can be done with what was advised."""

    def note_advised(
        self,
        job_id: int,
        stage: str,
        trial: int,
        *,
        ring_gear_side_mm: float,
        opposite_side_mm: float,
        places: str,
        chance: float,
        expected: float,
        low: float,
        high: float,
        at: datetime,
        person: str,
    ) -> Advised:
        """Note what was advised for a trial of an open job; noted once more, the last counts and the first stays.

        Parameters
        ----------
        job_id, stage, trial : int or str
            The trial it was advised for; the first is 1.
        ring_gear_side_mm, opposite_side_mm : float
            Thickness on both sides, or travel of both nuts [mm].
        places : str
            Where the two lie in the drawer, or the notches of both nuts, ring-gear side first; may be empty.
        chance : float
            How likely the trial was said to conform [0 … 1].
        expected, low, high : float
            Median and 90 % interval of the mean reading [canonical unit of the stage's quantity].
        at : datetime
            When, with its time zone.
        person : str
            Who was at the bench.

        Raises
        ------
        RuleError
            The job is signed.
        NotFoundError
            There is no such job.
        InputError
            A number that cannot be, an interval that does not hold its median, a text that cannot be kept, a time in
            the future.
        """
        self.need_open(job_id)
        sides = {"ring_gear_side_mm": ring_gear_side_mm, "opposite_side_mm": opposite_side_mm}
        reading = {"expected": expected, "low": low, "high": high}
        said = {
            **{name: number(mm, tr("The thickness in mm"), 0.0, LARGEST_VALUE) for name, mm in sides.items()},
            "chance": number(chance, tr("The chance"), 0.0, 1.0),
            **{
                name: number(value, tr("The expected reading"), -LARGEST_VALUE, LARGEST_VALUE)
                for name, value in reading.items()
            },
        }
        if not low <= expected <= high:
            raise InputError(
                tr("The expected reading does not lie within its interval."), tr("Give the lowest, then the highest.")
            )
        added = self._add_row(
            tables.advised,
            job_id=job_id,
            stage=line(stage, tr("The stage"), LONGEST_KEY, is_needed=True),
            trial=whole(trial, tr("The trial"), 1, MOST_TRIALS),
            places=line(places, tr("The place")),
            **said,
            person=line(person, tr("The name")),
            at=to_time_text(at, self._clock()),
        )
        return _advised(added)

    def advised_of_job(self, job_id: int) -> list[Advised]:
        """Return everything that was advised in a job, oldest first; of one trial the last counts.

        Raises
        ------
        NotFoundError
            There is no such job.
        """
        found = self.advised_of([checked_id(job_id, tr("There is no such job in this logbook."))])[job_id]
        if not found:
            self.job(job_id)
        return found

    def advised_of(self, job_ids: Sequence[int]) -> dict[int, list[Advised]]:
        """Return everything that was advised in several jobs, by job, oldest first."""
        advised = tables.advised
        found: dict[int, list[Advised]] = {job_id: [] for job_id in job_ids}
        for row in self._rows(select(advised).where(advised.c.job_id.in_(job_ids)).order_by(advised.c.id)):
            found[row.job_id].append(_advised(row))
        return found


def _advised(row: Row[Any]) -> Advised:
    return Advised(**row._asdict() | {"at": from_time_text(row.at)})
