"""The history of a unit: everything its serial number ever had."""

from __future__ import annotations

from core.errors import InputError, NotFoundError
from core.facts import Job
from core.history import Dossier, UnitHistory, unit_history
from core.language import tr
from core.records import Work
from core.shop_inputs import printable
from core.workshop.base import Base


class Histories(Base):
    """What can be asked about a unit."""

    def unit_history(self, serial: str) -> UnitHistory:
        """Return all visits of a unit, however its serial number is spelt.

        A serial number that looks like that of exactly one known unit (O for 0, I for 1) stands for it.

        Raises
        ------
        InputError
            No serial number is given.
        NotFoundError
            No unit is called so, or several look like it.
        """
        if not serial.strip():
            raise InputError(
                tr("No serial number is given."), tr("Type the one stamped on the unit, as it stands in the job list.")
            )
        with self._logbook.look() as work:
            jobs = work.jobs_of_unit(serial) or self._alike(work, serial)
            return unit_history(jobs[0].serial, [self._dossier(work, job) for job in jobs])

    def history_of_job(self, job_id: int) -> UnitHistory:
        """Return all visits of the unit a job is about.

        Raises
        ------
        NotFoundError
            There is no such job.
        """
        with self._logbook.look() as work:
            serial = work.job(job_id).serial
            jobs = work.jobs_of_unit(serial)
            return unit_history(serial, [self._dossier(work, job) for job in jobs])

    def _dossier(self, work: Work, job: Job) -> Dossier:
        return Dossier(
            self._state(work, job.id), work.events(job.id), work.held_by_job(job.id), tuple(work.photos(job.id))
        )

    def _alike(self, work: Work, serial: str) -> list[Job]:
        alike = work.units_like(serial)
        if len(alike) == 1:
            return work.jobs_of_unit(alike[0])
        remedy = tr("Check it in the job list.")
        if alike:
            remedy = tr("Did you mean one of these: {serials}?", serials=", ".join(alike))
        raise NotFoundError(tr("There is no unit {serial} in this logbook.", serial=printable(serial)), remedy)
