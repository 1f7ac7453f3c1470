"""Jobs: found, taken in, corrected, signed, reopened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import datetime

from core.drafts import JobDraft, checked, read_draft, tooth_remarks
from core.errors import InputError, NotFoundError
from core.facts import Gauge, Job
from core.language import tr
from core.quantities import parse
from core.records import Work
from core.shop_inputs import printable, words
from core.stages import evaluate_job
from core.stages.entry import Remark
from core.verdict import Answer
from core.workshop.base import Base, context_for

MOST_SHOWN = 200
"""So many jobs a search returns unless it is asked for more or fewer."""


@dataclass(frozen=True)
class JobRow:
    """One line of the job list: six marks, what is missing in the first unfinished stage, when last touched."""

    job: Job
    marks: tuple[Answer, ...]
    missing: str
    touched_at: datetime


@dataclass(frozen=True)
class FoundJobs:
    """The rows a search shows, and how many jobs it found altogether."""

    rows: tuple[JobRow, ...]
    count: int


class Jobs(Base):
    """What can be done with jobs."""

    def search_jobs(self, text: str = "", most: int = MOST_SHOWN) -> FoundJobs:
        """Return the first jobs a search finds, and how many there are.

        Parameters
        ----------
        text : str
            As typed; "" finds every job.
        most : int
            Most jobs to judge and return: only what is shown is worth the time.

        Returns
        -------
        FoundJobs
            What is called exactly so first, then the newest; without a text the last touched first.
        """
        with self._logbook.look() as work:
            # A zero check marks readings and changes no verdict, and of those a shop has thousands.
            gauges = work.gauges(self._clock())
            rows = [self._row(work, job, gauges) for job in work.jobs(text, most)]
            count = len(rows) if len(rows) < most else work.count_jobs(text)
        if not text.strip():
            rows.sort(key=lambda row: row.touched_at, reverse=True)
        return FoundJobs(tuple(rows), count)

    def find_jobs(self, text: str = "") -> list[JobRow]:
        """Return the jobs a search finds, the last touched first."""
        return sorted(self.search_jobs(text).rows, key=lambda row: row.touched_at, reverse=True)

    def _row(self, work: Work, job: Job, gauges: Sequence[Gauge]) -> JobRow:
        state = evaluate_job(context_for(work, job, gauges))
        unfinished = next((s for s in state.stages if s.missing), None)
        missing = (
            tr("{stage}: {what}", stage=tr(unfinished.stage.label), what=unfinished.missing[0]) if unfinished else ""
        )
        # Printing a sheet changes nothing in a job, so it is no touch.
        events = [event.at for event in work.events(job.id) if event.what != "sheet"]
        touched_at = max([job.opened_at, *(r.taken_at for r in state.context.readings), *events])
        return JobRow(job, tuple(s.verdict.answer for s in state.stages), missing, touched_at)

    def next_job_number(self) -> str:
        """Return the number the next job would get."""
        with self._logbook.look() as work:
            return work.next_job_number()

    def check_draft(self, draft: JobDraft) -> dict[str, str]:
        """Return a sentence for every field of an intake that cannot be used yet."""
        return {field: str(error) for field, error in read_draft(draft)[1].items()}

    def draft_remarks(self, draft: JobDraft) -> list[Remark]:
        """Comment on an intake: ratio, hunting, tag, a serial that was here before."""
        read, refused = read_draft(draft)
        remarks: list[Remark] = []
        with self._logbook.look() as work:
            gear, pinion, tag = read.get("ring_gear_teeth"), read.get("pinion_teeth"), read.get("tag_ratio")
            if isinstance(gear, int) and isinstance(pinion, int) and "pinion_teeth" not in refused:
                offered = "" if draft.card_id is None else work.card(draft.card_id).text("tooth_counts")
                remarks += tooth_remarks(gear, pinion, tag if isinstance(tag, float) else None, offered)
            if isinstance(read.get("serial"), str):
                remarks += _known_unit(work, str(read["serial"]))
        return remarks

    def new_job(self, draft: JobDraft, person: str = "") -> Job:
        """Open a job; it is pinned to the spec card revision chosen."""
        ready = checked(draft)
        with self._working("new_job", person) as work:
            job = work.add_job(
                **{field.name: getattr(ready, field.name) for field in fields(ready)},
                by=person,
                at=self._clock(),
            )
            work.commit()
        return job

    def job(self, number: str) -> Job:
        """Return a job by its number."""
        with self._logbook.look() as work:
            found = work.find_job(number)
        if found is None:
            raise NotFoundError(
                tr("There is no job {number} in this logbook.", number=printable(number)),
                tr("Check the number in the job list."),
            )
        return found

    def change_job(
        self, job_id: int, field: str, text: str, person: str, reason: str, *, seen: int | None = None
    ) -> Job:
        """Correct the customer, contact, vehicle or what was asked for; the old words stay in the job's events.

        `seen` is the version of the job the person saw, so that nobody overwrites what he has not seen.
        """
        # A job is somebody's; the other words may be taken away.
        changed = parse("text", text).text if field == "customer" else words(text)
        with self._working("change_job", person) as work:
            job = work.change_job(job_id, field, changed, person, reason, self._clock(), seen=seen)
            work.commit()
        return job

    def sign(self, job_id: int, person: str, pin: str = "") -> Job:
        """Sign a job off, by name and PIN where there is one; nothing in it changes after that until it is reopened."""
        name = parse("text", person).text
        with self._working("sign", name) as work:
            state = self._state(work, job_id)
            unfinished = next((s for s in state.stages if s.missing), None)
            if unfinished is not None:
                raise InputError(
                    tr("The job cannot be signed yet."),
                    tr("{stage}: {what} is missing.", stage=tr(unfinished.stage.label), what=unfinished.missing[0]),
                )
            signer = work.need_person(name, pin)
            given = "given" if signer is not None and signer.has_pin else "none"
            job = work.sign(job_id, name if signer is None else signer.name, self._clock(), given)
            work.commit()
        return job

    def reopen(self, job_id: int, person: str, reason: str) -> Job:
        """Reopen a signed job as its next revision; the reason is printed on its sheet."""
        with self._working("reopen", person) as work:
            work.need_known(person)
            job = work.reopen(job_id, person, parse("text", reason).text, self._clock())
            work.commit()
        return job


def _known_unit(work: Work, serial: str) -> list[Remark]:
    """Say whether the unit was here before, or whether one was whose serial number is easily taken for this one."""
    jobs = work.jobs_of_unit(serial)
    if jobs:
        numbers = ", ".join(job.number for job in jobs)
        return [Remark(tr("This unit was here before: job {numbers}.", numbers=numbers))]
    return [
        Remark(
            tr(
                "Unit {known} was here before and is spelt almost the same. Is it the same unit? Then type {known}.",
                known=known,
            ),
            is_warning=True,
        )
        for known in work.units_like(serial)
    ]
