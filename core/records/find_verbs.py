"""Jobs: finding and reading them."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, Select, func, or_, select

from core.facts import Job, JobEvent
from core.language import tr
from core.records import tables
from core.records.card_verbs import CardVerbs
from core.records.search_verbs import SearchVerbs
from core.records.texts import LONGEST_LINE, fold, from_time_text, line, look_key, serial_key
from core.records.unit_of_work import checked_id, no_such

LATELY = 5_000
"""Entries of the trail that are looked through for what was touched last."""


class FindVerbs(CardVerbs, SearchVerbs):
    """How jobs are found and read."""

    def next_job_number(self) -> str:
        """Return a number for the next job: the last one's, counted on to one that is free."""
        job = tables.job
        last = self._row(select(job.c.number).order_by(job.c.id.desc()).limit(1))
        parts = re.fullmatch(r"(.*?)([0-9]*)", last.number if last else "", re.DOTALL)
        before, digits = parts.groups() if parts else ("", "")
        count = int(digits or "0") + 1
        while self._numbered(f"{before}{count:0{len(digits)}d}"):
            count += 1
        return f"{before}{count:0{len(digits)}d}"

    def job(self, job_id: int) -> Job:
        """Return a job by its id.

        Raises
        ------
        NotFoundError
            There is no such job.
        """
        missing = tr("There is no such job in this logbook.")
        found = self._jobs(_every_job().where(tables.job.c.id == checked_id(job_id, missing)))
        if not found:
            raise no_such(missing)
        return found[0]

    def find_job(self, number: str) -> Job | None:
        """Return the job of this number, or None."""
        found = self._numbered(line(number, tr("The job number")))
        return found[0] if found else None

    def jobs(self, text: str = "", most: int = 200) -> list[Job]:
        """Return the jobs a search finds: of which every word begins one of the job's, or stands in its serial number.

        Parameters
        ----------
        text : str
            As typed; nothing in it is an order to the engine. Without a text every job is found.
        most : int
            Most jobs to return; `count_jobs` tells how many there are.

        Returns
        -------
        list of Job
            The job of exactly this number and the visits of the unit of exactly this serial number first, then the
            newest. Without a text the last touched first.
        """
        ids = self._found(text, most) if text.strip() else self._last_touched(most)
        jobs = {job.id: job for job in self._jobs(_every_job().where(tables.job.c.id.in_(ids)))}
        return [jobs[job_id] for job_id in ids]

    def count_jobs(self, text: str = "") -> int:
        """Return how many jobs a search finds, however many of them are shown."""
        job = tables.job
        query = select(func.count()).select_from(job)
        if text.strip():
            is_found = self._is_found(text)
            is_called_so = job.c.id.in_(self._called(text))
            query = query.where(is_called_so if is_found is None else or_(is_found, is_called_so))
        counted = self._row(query)
        return 0 if counted is None else int(counted[0])

    def _found(self, text: str, most: int) -> list[int]:
        """Return the ids of the jobs a search finds, those called exactly so first, then the newest."""
        job, ids = tables.job, self._called(text)
        is_found = self._is_found(text)
        if is_found is not None:
            rows = self._rows(select(job.c.id).where(is_found).order_by(job.c.id.desc()).limit(most))
            ids += [row.id for row in rows]
        return list(dict.fromkeys(ids))[:most]

    def _called(self, text: str) -> list[int]:
        """Return the ids of the job of exactly this number and of the visits of the unit called so, newest first."""
        # What cannot be printed cannot be asked for either: half a surrogate pair has no UTF-8, NUL no place in a text.
        tidy = " ".join("".join(c if c.isprintable() else " " for c in text[:LONGEST_LINE]).split())
        job, unit, key = tables.job, tables.unit, look_key(serial_key(tidy))
        is_number = job.c.number_key == fold(tidy)
        is_visit = job.c.unit_id.in_(select(unit.c.id).where(unit.c.look_key == key))
        rows = self._rows(select(job.c.id).where(or_(is_number, is_visit)).order_by(job.c.id.desc()))
        return [row.id for row in rows]

    def _last_touched(self, most: int) -> list[int]:
        """Return the ids of the jobs that were touched last, then of the newest; a printed sheet is no touch."""
        trail, job = tables.trail, tables.job
        newest = select(func.max(trail.c.id)).scalar_subquery()
        touched = self._rows(
            select(trail.c.job_id)
            .where(trail.c.id > newest - LATELY, trail.c.job_id.is_not(None), trail.c.doing != "write_sheet")
            .group_by(trail.c.job_id)
            .order_by(func.max(trail.c.id).desc())
            .limit(most)
        )
        latest = self._rows(select(job.c.id).order_by(job.c.id.desc()).limit(most))
        return list(dict.fromkeys([*(row.job_id for row in touched), *(row.id for row in latest)]))[:most]

    def jobs_of_unit(self, serial: str) -> list[Job]:
        """Return every visit of one unit, newest first, however its serial number was typed."""
        key = serial_key(line(serial, tr("The serial number")))
        return self._jobs(_every_job().where(tables.unit.c.serial_key == key).order_by(tables.job.c.id.desc()))

    def units_like(self, serial: str) -> list[str]:
        """Return the serial numbers of known units that look like this one but are spelt otherwise (O for 0, I for 1).

        Raises
        ------
        InputError
            The text cannot be kept.
        """
        key, unit = serial_key(line(serial, tr("The serial number"))), tables.unit
        if not key:
            return []
        is_alike = unit.c.look_key == look_key(key)
        rows = self._rows(select(unit.c.serial).where(is_alike, unit.c.serial_key != key).order_by(unit.c.id))
        return [row.serial for row in rows]

    def events(self, job_id: int) -> list[JobEvent]:
        """Return what happened to a job, oldest first.

        Raises
        ------
        NotFoundError
            There is no such job.
        """
        missing = tr("There is no such job in this logbook.")
        found = self._events([checked_id(job_id, missing)])[job_id]
        # Every job has been opened, so what has no event is no job.
        if not found:
            raise no_such(missing)
        return found

    def _numbered(self, number: str) -> list[Job]:
        return self._jobs(_every_job().where(tables.job.c.number_key == fold(number)))

    def _jobs(self, query: Select[Any]) -> list[Job]:
        rows = self._rows(query)
        events = self._events([row.id for row in rows])
        return [_job(row, events[row.id], self) for row in rows]

    def _events(self, job_ids: Sequence[int]) -> dict[int, list[JobEvent]]:
        event = tables.job_event
        found: dict[int, list[JobEvent]] = defaultdict(list)
        for row in self._rows(select(event).where(event.c.job_id.in_(job_ids)).order_by(event.c.id)):
            detail = json.loads(row.detail)
            found[row.job_id].append(JobEvent(row.job_id, row.what, from_time_text(row.at), row.person, detail))
        return found


def _every_job() -> Select[Any]:
    job, unit, customer = tables.job, tables.unit, tables.customer
    return (
        select(job, unit.c.serial, customer.c.name.label("customer"), customer.c.contact)
        .join(unit, unit.c.id == job.c.unit_id)
        .join(customer, customer.c.id == job.c.customer_id)
    )


def _job(row: Row[Any], events: Sequence[JobEvent], cards: CardVerbs) -> Job:
    opened = next(event for event in events if event.what == "opened")
    reopened = [event for event in events if event.what == "reopened"]
    last = next((event for event in reversed(events) if event.what in ("signed", "reopened")), None)
    signed = last if last is not None and last.what == "signed" else None
    return Job(
        id=row.id,
        number=row.number,
        serial=row.serial,
        customer=row.customer,
        vehicle=row.vehicle,
        asked_for=row.asked_for,
        ring_gear_teeth=row.ring_gear_teeth,
        pinion_teeth=row.pinion_teeth,
        tag_ratio=row.tag_ratio,
        is_limited_slip=bool(row.is_limited_slip),
        card=cards.card(row.revision_id),
        opened_at=opened.at,
        opened_by=opened.person,
        contact=row.contact,
        revision=1 + len(reopened),
        signed_at=signed.at if signed else None,
        signed_by=signed.person if signed else "",
        signed_with_pin=signed is not None and signed.detail.get("pin") == "given",
        reopen_reason=reopened[-1].detail.get("reason", "") if reopened else "",
        uid=row.uid,
        version=row.version,
    )
