"""All jobs at once: as lines, whole, and with their readings, alike on both engines."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from core.facts import Job
from core.records import Work


def test_a_line_tells_where_a_job_stands(work: Work, add_job: Callable[..., Job], now: Any) -> None:
    one, two = add_job("2407", "K-1183"), add_job("2408", "k 1183")
    work.sign(one.id, "Tam", now)
    first, second = work.job_lines()
    assert (first.id, first.number, first.serial, first.family) == (one.id, "2407", "K-1183", "Orrin B")
    assert first.uid == one.uid
    assert first.unit_id == second.unit_id
    assert (first.opened_at, first.first_signed_at, first.signed_at) == (now, now, now)
    assert first.sealed is not None
    assert (second.id, second.first_signed_at, second.signed_at, second.sealed) == (two.id, None, None, None)


def test_a_reopened_job_is_no_longer_sealed_and_sealed_anew_under_another_event(work: Work, job: Job, now: Any) -> None:
    work.sign(job.id, "Tam", now)
    (before,) = work.job_lines()
    work.reopen(job.id, "Tam", "slip of the pen", now)
    (open_again,) = work.job_lines()
    assert (open_again.sealed, open_again.signed_at, open_again.first_signed_at) == (None, None, now)
    work.sign(job.id, "Tam", now)
    (after,) = work.job_lines()
    assert after.sealed not in (None, before.sealed)


def test_an_issued_sheet_changes_no_line(work: Work, job: Job, now: Any) -> None:
    work.sign(job.id, "Tam", now)
    before = work.job_lines()
    work.note_sheet(job.id, "Tam", now, "abc", "shop")
    assert work.job_lines() == before


def test_several_jobs_are_read_as_each_by_itself(work: Work, add_job: Callable[..., Job], record: Any) -> None:
    jobs = [add_job(str(number), f"K-{number}") for number in (1, 2, 3)]
    record(0.08, job_id=jobs[0].id)
    record(0.09, job_id=jobs[0].id, reason="read anew")
    record(0.62, job_id=jobs[2].id, stage="preload", entry="torque_forward", position="")
    ids = [job.id for job in jobs]
    assert work.jobs_by_id(ids) == {job.id: work.job(job.id) for job in jobs}
    assert work.readings_of(ids) == {job.id: work.readings(job.id) for job in jobs}
    of_backlash = work.readings_of(ids, ("backlash",))
    assert [len(of_backlash[job_id]) for job_id in ids] == [2, 0, 0]
    assert work.readings_of([]) == {}


def test_an_empty_logbook_has_no_lines(work: Work) -> None:
    assert work.job_lines() == []
