"""Jobs: opening, correcting, signing and reopening; what happened to each is in its events."""

from __future__ import annotations

import json
from datetime import datetime

from sqlalchemy import select

from core.errors import InputError, RuleError
from core.facts import Job
from core.language import mark, tr
from core.records import tables
from core.records.find_verbs import FindVerbs
from core.records.texts import (
    LONGEST_KEY,
    LONGEST_LINE,
    fold,
    line,
    look_key,
    note,
    number,
    serial_key,
    to_time_text,
    whole,
)
from core.records.unit_of_work import checked_id

MOST_TEETH = 999
LARGEST_RATIO = 1000.0

FIELDS = {
    "customer": mark("The customer"),
    "contact": mark("The contact"),
    "vehicle": mark("The vehicle"),
    "asked_for": mark("What was asked for"),
}
"""What may be corrected on an open job, and what it is called."""


class JobVerbs(FindVerbs):
    """What can be done with jobs."""

    def add_job(
        self,
        number: str,
        serial: str,
        customer: str,
        contact: str,
        vehicle: str,
        asked_for: str,
        ring_gear_teeth: int,
        pinion_teeth: int,
        tag_ratio: float | None,
        is_limited_slip: bool,
        card_id: int | None,
        by: str,
        at: datetime,
    ) -> Job:
        """Open a job, pinned to one revision of a spec card; a serial already known is the unit that came back.

        Raises
        ------
        RuleError
            The number is taken, or there is no spec card.
        InputError
            A text, count or time that cannot be kept.
        NotFoundError
            There is no such spec card.
        """
        if card_id is None:
            raise RuleError(
                tr("A job needs a spec card: without one there is no limit to judge a reading by."),
                tr("Choose the casing family, or write a card for it first."),
            )
        number = self._free_number(number)
        texts = {"customer": customer, "contact": contact, "vehicle": vehicle, "asked_for": asked_for}
        texts = {field: _field_text(field, text) for field, text in texts.items()}
        job_id = self._add(
            tables.job,
            number=number,
            number_key=fold(number),
            unit_id=self._unit(serial),
            customer_id=self._customer(texts["customer"], texts["contact"]),
            revision_id=self.card(card_id).id,
            vehicle=texts["vehicle"],
            asked_for=texts["asked_for"],
            ring_gear_teeth=whole(ring_gear_teeth, tr("The number of ring-gear teeth"), 1, MOST_TEETH),
            pinion_teeth=whole(pinion_teeth, tr("The number of pinion teeth"), 1, MOST_TEETH),
            tag_ratio=_ratio(tag_ratio),
            is_limited_slip=int(is_limited_slip),
        )
        self._happened(job_id, "opened", by, at)
        return self.job(job_id)

    def change_job(
        self, job_id: int, field: str, text: str, person: str, reason: str, at: datetime, *, seen: int | None = None
    ) -> Job:
        """Correct customer, contact, vehicle or what was asked for; the old and the new words stay in the events.

        Raises
        ------
        RuleError
            The job is signed.
        ConflictError
            It is no longer the version `seen`.
        InputError
            The field may not be corrected, or the text cannot be kept.
        """
        job = self.open_job(job_id)
        if field not in FIELDS:
            raise InputError(
                tr("{field!r} of a job cannot be corrected.", field=field[:40]), tr("Open a new job for the unit.")
            )
        texts = {name: str(getattr(job, name)) for name in FIELDS}
        old, texts[field] = texts[field], _field_text(field, text)
        if texts[field] == old:
            return job
        self._change(
            tables.job,
            job_id,
            seen=seen,
            customer_id=self._customer(texts["customer"], texts["contact"]),
            vehicle=texts["vehicle"],
            asked_for=texts["asked_for"],
        )
        why = note(reason, tr("The reason"))
        self._happened(job_id, "corrected", person, at, field=field, old=old, new=texts[field], reason=why)
        return self.job(job_id)

    def sign(self, job_id: int, by: str, at: datetime, pin: str = "none") -> Job:
        """Sign a job; nothing in it changes after that until it is reopened.

        Parameters
        ----------
        job_id : int
            Which job.
        by : str
            Who signs.
        at : datetime
            When, with its time zone.
        pin : str
            ``given`` where the PIN was asked for and right, ``none`` where the name alone signs.

        Raises
        ------
        RuleError
            It is signed already.
        """
        job = self.open_job(job_id)
        by = line(by, tr("The name of who signs"), is_needed=True)
        self._happened(job_id, "signed", by, at, revision=str(job.revision), pin=pin)
        return self.job(job_id)

    def reopen(self, job_id: int, by: str, reason: str, at: datetime) -> Job:
        """Open a signed job again, as its next revision.

        Raises
        ------
        RuleError
            It is not signed.
        InputError
            There is no reason.
        """
        job = self.job(job_id)
        if job.signed_at is None:
            raise RuleError(tr("Job {number} is open already.", number=job.number), tr("Go on with it."))
        by = line(by, tr("The name of who reopens it"), is_needed=True)
        reason = note(reason, tr("The reason")).strip()
        if not reason:
            raise InputError(tr("The reason is missing."), tr("Write why the job is opened again."))
        self._happened(job_id, "reopened", by, at, revision=str(job.revision + 1), reason=reason)
        return self.job(job_id)

    def note_sheet(self, job_id: int, by: str, at: datetime, fingerprint: str, copy: str, **more: str) -> None:
        """Note that a build sheet was issued: the fingerprint printed on it, and what else it is known by."""
        job = self.job(job_id)
        fingerprint = line(fingerprint, tr("The fingerprint"), is_needed=True)
        copy = line(copy, tr("The copy"), LONGEST_KEY, is_needed=True)
        self._happened(job_id, "sheet", by, at, revision=str(job.revision), fingerprint=fingerprint, copy=copy, **more)

    def need_open(self, job_id: int) -> None:
        """Refuse to change a signed job as `open_job` does, without reading the whole job where it is open."""
        event = tables.job_event
        here = event.c.job_id == checked_id(job_id, tr("There is no such job in this logbook."))
        turns = event.c.what.in_(("opened", "signed", "reopened"))
        last = self._row(select(event.c.what).where(here, turns).order_by(event.c.id.desc()).limit(1))
        if last is None or last.what == "signed":
            self.open_job(job_id)

    def open_job(self, job_id: int) -> Job:
        """Return a job that may be changed.

        Raises
        ------
        RuleError
            It is signed.
        """
        job = self.job(job_id)
        if job.signed_at is not None:
            raise RuleError(
                tr(
                    "Job {number} was signed by {name}; nothing in it changes any more.",
                    number=job.number,
                    name=job.signed_by,
                ),
                tr("Reopen it with a reason first; it then becomes revision {next}.", next=job.revision + 1),
            )
        return job

    def _happened(self, job_id: int, what: str, by: str, at: datetime, **detail: str) -> None:
        self._add(
            tables.job_event,
            job_id=job_id,
            what=what,
            at=to_time_text(at, self._clock()),
            person=line(by, tr("The name")),
            detail=json.dumps(detail, ensure_ascii=False, sort_keys=True),
        )

    def _free_number(self, number: str) -> str:
        number = line(number, tr("The job number"), LONGEST_KEY, is_needed=True)
        if self.find_job(number) is not None:
            raise RuleError(
                tr("There is a job {number} already.", number=number),
                tr("Take the next free number, {free}.", free=self.next_job_number()),
            )
        return number

    def _unit(self, serial: str) -> int:
        """Return the id of the unit, however its serial number was typed; an unknown one is added."""
        serial = line(serial, tr("The serial number"), LONGEST_KEY, is_needed=True)
        key = serial_key(serial)
        if not key:
            raise InputError(
                tr("{serial} holds no letter and no digit.", serial=serial),
                tr("Type the serial number; give the unit one of your own where it has none."),
            )
        unit = tables.unit
        known = self._row(select(unit).where(unit.c.serial_key == key))
        if known is not None:
            return int(known.id)
        return self._add(unit, serial=serial, serial_key=key, look_key=look_key(key))

    def _customer(self, name: str, contact: str) -> int:
        # A row is never changed: earlier jobs keep the customer as he was written then.
        customer = tables.customer
        known = self._row(select(customer.c.id).where(customer.c.name == name, customer.c.contact == contact))
        return int(known.id) if known is not None else self._add(customer, name=name, contact=contact)


def _field_text(field: str, text: str) -> str:
    what = tr(FIELDS[field])
    return note(text, what).strip() if field == "asked_for" else line(text, what, LONGEST_LINE)


def _ratio(tag_ratio: float | None) -> float | None:
    return None if tag_ratio is None else number(tag_ratio, tr("The ratio on the tag"), 0.001, LARGEST_RATIO)
