"""The trail as it is read."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from core.errors import InputError
from core.facts import Job, Reading
from core.records import Work
from core.records.trail_verbs import MOST_ENTRIES, TOLD_WITH_ANOTHER


def test_an_empty_logbook_has_no_trail(work: Work) -> None:
    assert work.trail() == []


def test_it_says_what_was_done_newest_first_with_its_job(work: Work, job: Job, record: Callable[..., Reading]) -> None:
    reading = record(0.08)
    work.add_person("Tam")
    trail = work.trail()
    assert [entry.id for entry in trail] == sorted((entry.id for entry in trail), reverse=True)
    assert [entry.table for entry in trail] == ["person", "reading", "job_event", "job", "spec_revision"]
    assert (trail[1].row_id, trail[1].job_number, trail[1].content["text"]) == (reading.id, job.number, "0.08")
    assert (trail[0].job_number, trail[0].job_id) == ("", None)
    assert [entry.about for entry in trail] == ["", "", "", "K-1183", "Orrin B"]


def test_what_another_row_says_is_left_out_when_new_only(work: Work, job: Job) -> None:
    assert not {entry.table for entry in work.trail()} & set(TOLD_WITH_ANOTHER)


@pytest.mark.parametrize("most", [1, 2, 3, 7])
def test_page_by_page_nothing_is_missed_and_nothing_told_twice(work: Work, job: Job, most: int) -> None:
    for count in range(9):
        work.add_person(f"Helper {count}")
    whole = [entry.id for entry in work.trail()]
    read: list[int] = []
    while page := work.trail(most, read[-1] if read else None):
        assert len(page) <= most
        read += [entry.id for entry in page]
    assert read == whole


@pytest.mark.parametrize("most", [0, -1, MOST_ENTRIES + 1])
def test_so_many_are_not_read_at_once(work: Work, most: int) -> None:
    with pytest.raises(InputError):
        work.trail(most)
