"""Everything a person can do, head-less.

The window, the command line and the stories in the tests all go through this one class; what was typed comes in,
frozen facts and judged states go out. Each verb is one unit of work: when it returns, the logbook has it for good.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from core.advice import Advice, advise
from core.drafts import JobDraft, checked, read_draft, tooth_remarks
from core.errors import InputError, NotFoundError
from core.facts import Gauge, Job, JobEvent, Person, Ring, Shop, SpecCard
from core.language import tr
from core.quantities import Amount, parse
from core.readings_csv import readings_csv
from core.records import Logbook, Work
from core.shop_inputs import (
    GAUGE_KINDS,
    LimitText,
    gauge_error,
    past_day,
    printable,
    read_card,
    thickness_mm,
    whole_number,
    words,
)
from core.stages import evaluate_job, stage, take
from core.stages.context import Context
from core.stages.entry import Remark
from core.stages.state import JobState
from core.verdict import Answer


def utc_now() -> datetime:
    """Return the present moment, in UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class JobRow:
    """One line of the job list: six marks, what is missing in the first unfinished stage, when last touched."""

    job: Job
    marks: tuple[Answer, ...]
    missing: str
    touched_at: datetime


class Workshop:
    """What can be done with one logbook.

    Parameters
    ----------
    logbook : Logbook
        An open logbook.
    clock : callable
        Returns the present moment (aware, UTC); tests and the demo pass their own.
    """

    def __init__(self, logbook: Logbook, clock: Callable[[], datetime] = utc_now) -> None:
        self._logbook = logbook
        self._clock = clock

    @property
    def location(self) -> str:
        """Where the logbook is."""
        return self._logbook.location

    def close(self) -> None:
        """Give the logbook back; whatever was entered is in it."""
        self._logbook.close()

    # -- the shop ------------------------------------------------------------------------------------------------

    def shop(self) -> Shop:
        """Return the shop's name, address and units."""
        with self._logbook.look() as work:
            return work.shop()

    def save_shop(self, shop: Shop) -> None:
        """Keep the shop's name, address and units."""
        with self._logbook.work() as work:
            work.put_shop(Shop(words(shop.name), words(shop.address), shop.units))
            work.commit()

    def people(self) -> list[Person]:
        """Return everybody who may measure or sign."""
        with self._logbook.look() as work:
            return work.people()

    def add_person(self, name_text: str, role: str = "bench") -> Person:
        """Add somebody; the name must be new."""
        with self._logbook.work() as work:
            person = work.add_person(parse("text", name_text).text, role)
            work.commit()
        return person

    def gauges(self) -> list[Gauge]:
        """Return the gauges of the shop."""
        with self._logbook.look() as work:
            return work.gauges()

    def add_gauge(
        self,
        name_text: str,
        use: str,
        resolution_text: str,
        error_text: str,
        calibrated_text: str = "",
        interval_text: str = "",
    ) -> Gauge:
        """Add a gauge from what was typed; resolution and stated error carry the unit of what the gauge reads."""
        with self._logbook.work() as work:
            gauge = work.add_gauge(
                name=parse("text", name_text).text,
                use=use,
                kind=GAUGE_KINDS[use][0],
                resolution=gauge_error(use, resolution_text),
                stated_error=gauge_error(use, error_text),
                calibrated_on=past_day(calibrated_text, self._clock().date()),
                interval_months=whole_number(interval_text) if interval_text.strip() else None,
            )
            work.commit()
        return gauge

    def rings(self) -> list[Ring]:
        """Return the drawer."""
        with self._logbook.look() as work:
            return work.rings()

    def add_ring(self, place_text: str, nominal_text: str, measured_text: str = "", count_text: str = "1") -> Ring:
        """Put a ring into the drawer, from what was typed."""
        with self._logbook.work() as work:
            ring = work.add_ring(
                place=parse("text", place_text).text,
                nominal_mm=thickness_mm(nominal_text),
                measured_mm=thickness_mm(measured_text) if measured_text.strip() else None,
                count=whole_number(count_text),
            )
            work.commit()
        return ring

    def cards(self) -> list[SpecCard]:
        """Return the newest revision of every spec card."""
        with self._logbook.look() as work:
            return work.cards()

    def check_card(self, limits: Mapping[str, LimitText], facts: Mapping[str, str]) -> dict[str, str]:
        """Return a sentence for every limit or fact of a card that cannot be used yet, by key."""
        return {key: str(error) for key, error in read_card(limits, facts)[2].items()}

    def save_card(
        self, family: str, limits: Mapping[str, LimitText], facts: Mapping[str, str], person: str = ""
    ) -> SpecCard:
        """Keep a spec card, as typed, as the next revision of its family; jobs already open stay with theirs."""
        read_limits, read_facts, refused = read_card(limits, facts)
        if refused:
            raise next(iter(refused.values()))
        with self._logbook.work() as work:
            card = work.add_card_revision(parse("text", family).text, read_limits, read_facts, person)
            work.commit()
        return card

    # -- jobs ----------------------------------------------------------------------------------------------------

    def find_jobs(self, text: str = "") -> list[JobRow]:
        """Return the jobs a search finds, the last touched first."""
        with self._logbook.look() as work:
            gauges = {gauge.id: gauge for gauge in work.gauges()}
            rows = [self._row(work, job, gauges) for job in work.jobs(text)]
        return sorted(rows, key=lambda row: row.touched_at, reverse=True)

    def _row(self, work: Work, job: Job, gauges: Mapping[int, Gauge]) -> JobRow:
        readings = work.readings(job.id)
        state = evaluate_job(Context(job, tuple(readings), gauges))
        unfinished = next((s for s in state.stages if s.missing), None)
        missing = (
            tr("{stage}: {what}", stage=tr(unfinished.stage.label), what=unfinished.missing[0]) if unfinished else ""
        )
        # Printing a sheet changes nothing in a job, so it is no touch.
        events = [event.at for event in work.events(job.id) if event.what != "sheet"]
        touched_at = max([job.opened_at, *(r.taken_at for r in readings), *events])
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
                remarks += _visits_before(work.jobs_of_unit(str(read["serial"])))
        return remarks

    def new_job(self, draft: JobDraft, person: str = "") -> Job:
        """Open a job; it is pinned to the spec card revision chosen."""
        ready = checked(draft)
        with self._logbook.work() as work:
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

    def change_job(self, job_id: int, field: str, text: str, person: str, reason: str) -> Job:
        """Correct the customer, contact, vehicle or what was asked for; the old words stay in the job's events."""
        # A job is somebody's; the other words may be taken away.
        changed = parse("text", text).text if field == "customer" else words(text)
        with self._logbook.work() as work:
            job = work.change_job(job_id, field, changed, person, reason, self._clock())
            work.commit()
        return job

    def sign(self, job_id: int, person: str) -> Job:
        """Sign a job off by name; after that nothing in it changes until it is reopened."""
        name = parse("text", person).text
        with self._logbook.work() as work:
            state = self._state(work, job_id)
            unfinished = next((s for s in state.stages if s.missing), None)
            if unfinished is not None:
                raise InputError(
                    tr("The job cannot be signed yet."),
                    tr("{stage}: {what} is missing.", stage=tr(unfinished.stage.label), what=unfinished.missing[0]),
                )
            job = work.sign(job_id, name, self._clock())
            work.commit()
        return job

    def reopen(self, job_id: int, person: str, reason: str) -> Job:
        """Reopen a signed job as its next revision; the reason is printed on its sheet."""
        with self._logbook.work() as work:
            job = work.reopen(job_id, person, parse("text", reason).text, self._clock())
            work.commit()
        return job

    # -- work on a job -------------------------------------------------------------------------------------------

    def state(self, job_id: int, open_trials: Mapping[str, int] | None = None) -> JobState:
        """Return a job with every stage judged."""
        with self._logbook.look() as work:
            return self._state(work, job_id, open_trials)

    def _state(self, work: Work, job_id: int, open_trials: Mapping[str, int] | None = None) -> JobState:
        return evaluate_job(_context(work, job_id), open_trials)

    def record(
        self,
        job_id: int,
        stage_key: str,
        entry_key: str,
        text: str,
        *,
        position: str = "",
        trial: int = 0,
        gauge_id: int | None = None,
        person: str = "",
        reason: str = "",
        source: str = "typed",
    ) -> None:
        """Take a reading as typed and keep it; when this returns, the logbook has it for good.

        An entry already read is corrected: the new reading names the old one, with the reason.

        Raises
        ------
        UserError
            The text cannot be read, the rules refuse it, or the job is signed; nothing is written then.
        """
        declared = stage(stage_key)
        entry = declared.entry(entry_key)
        with self._logbook.work() as work:
            amount = take(_context(work, job_id), declared, entry, entry.position(position), trial, text)
            work.record(
                job_id,
                stage_key,
                entry_key,
                position,
                trial,
                amount,
                gauge_id=gauge_id,
                person=person,
                at=self._clock(),
                source=source,
                reason=words(reason),
            )
            work.commit()

    def enter(
        self, job_id: int, stage_key: str, entry_key: str, text: str, *, trial: int = 0, **details: Any
    ) -> JobState:
        """Take a reading as `record` does, and return the job judged anew."""
        self.record(job_id, stage_key, entry_key, text, trial=trial, **details)
        return self.state(job_id, {stage_key: trial})

    def withdraw(
        self,
        job_id: int,
        stage_key: str,
        entry_key: str,
        *,
        position: str = "",
        trial: int = 0,
        person: str,
        reason: str,
    ) -> JobState:
        """Take a reading back: the field is open again, the old reading and the reason stay in the log."""
        nothing = Amount(stage(stage_key).entry(entry_key).kind, None, "", "")
        with self._logbook.work() as work:
            work.record(
                job_id,
                stage_key,
                entry_key,
                position,
                trial,
                nothing,
                gauge_id=None,
                person=person,
                at=self._clock(),
                source="typed",
                reason=parse("text", reason).text,
            )
            work.commit()
        return self.state(job_id, {stage_key: trial})

    def advice(self, job_id: int, stage_key: str) -> Advice | None:
        """Return what to try next on a stage, or None where nothing can be said."""
        with self._logbook.look() as work:
            return advise(stage_key, self._state(work, job_id), work.rings())

    def history(self, job_id: int) -> list[JobState]:
        """Return the other visits of the same unit, newest first."""
        with self._logbook.look() as work:
            job = work.job(job_id)
            others = [other for other in work.jobs_of_unit(job.serial) if other.id != job_id]
            return [self._state(work, other.id) for other in others]

    def events(self, job_id: int) -> list[JobEvent]:
        """Return what happened to a job, oldest first."""
        with self._logbook.look() as work:
            return work.events(job_id)

    # -- paper ---------------------------------------------------------------------------------------------------

    def write_sheet(self, job_id: int, path: Path, *, copy: str = "shop", page: str = "A4", person: str = "") -> Path:
        """Write the build sheet as a PDF and note that it was issued."""
        # The typesetter takes a third of a second to load; a window or a reading should not wait for it.
        from core.sheet import write_sheet

        made_at = self._clock()
        with self._logbook.look() as work:
            state, shop, events = self._state(work, job_id), work.shop(), work.events(job_id)
        fingerprint = write_sheet(path, state, shop, copy=copy, page=page, events=events, made_at=made_at)
        with self._logbook.work() as work:
            work.note_sheet(job_id, person, made_at, fingerprint, copy)
            work.commit()
        return path

    def readings_csv(self, job_id: int) -> str:
        """Return every reading of a job, superseded ones included, as CSV with a header."""
        return readings_csv(self.state(job_id).context)


def _context(work: Work, job_id: int) -> Context:
    gauges = {gauge.id: gauge for gauge in work.gauges()}
    return Context(work.job(job_id), tuple(work.readings(job_id)), gauges)


def _visits_before(jobs: Sequence[Job]) -> list[Remark]:
    if not jobs:
        return []
    numbers = ", ".join(job.number for job in jobs)
    return [Remark(tr("This unit was here before: job {numbers}.", numbers=numbers))]
