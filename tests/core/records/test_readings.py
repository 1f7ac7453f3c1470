"""Readings: facts that are never overwritten; a correction names what it replaces."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.errors import InputError, NotFoundError, RuleError
from core.facts import Job, Reading
from core.quantities import Amount
from core.records import Work
from core.stages.context import current_readings

from .conftest import new_reading

Record = Callable[..., Reading]


def test_a_reading_comes_back_as_it_went_in(work: Work, job: Job, record: Record, now: datetime) -> None:
    gauge = work.add_gauge("dial 1", "dial", "length", 0.01, 0.005)
    reading = record(0.0762, '.003"', gauge_id=gauge.id, source="wedge", reason="read anew")
    assert reading == Reading(
        id=1,
        job_id=job.id,
        stage="backlash",
        entry="backlash",
        position="at_000",
        trial=1,
        value=0.0762,
        text='.003"',
        unit="mm",
        gauge_id=gauge.id,
        person="Tam",
        taken_at=now,
        source="wedge",
        replaces=None,
        reason="read anew",
    )
    assert work.readings(job.id) == [reading]


def test_words_have_no_value(record: Record) -> None:
    reading = record(amount=Amount("text", None, "Oil dark,\nfine paste", ""))
    assert (reading.value, reading.text, reading.unit) == (None, "Oil dark,\nfine paste", "")


def test_a_correction_names_what_it_replaces_and_both_stay(work: Work, job: Job, record: Record) -> None:
    first, second, third = record(0.9), record(0.09, reason="slipped"), record(0.08)
    assert [reading.replaces for reading in (first, second, third)] == [None, first.id, second.id]
    assert work.readings(job.id) == [first, second, third]
    assert list(current_readings(work.readings(job.id)).values()) == [third]


@pytest.mark.parametrize("other", [{"stage": "teardown"}, {"entry": "runout"}, {"position": "at_045"}, {"trial": 2}])
def test_each_place_has_a_chain_of_its_own(record: Record, other: dict[str, Any]) -> None:
    record(0.08)
    assert record(0.09, **other).replaces is None


def test_each_job_has_a_chain_of_its_own(record: Record, add_job: Callable[..., Job]) -> None:
    record(0.08)
    assert record(0.09, job_id=add_job("2408").id).replaces is None


def test_a_reading_is_taken_back_by_an_empty_text(work: Work, job: Job, record: Record) -> None:
    first = record(0.08)
    back = record(None, "", reason="wrong unit on the bench")
    assert (back.replaces, back.text, back.value) == (first.id, "", None)
    assert current_readings(work.readings(job.id)) == {}
    assert record(0.07).replaces == back.id


def test_nothing_can_be_taken_back_twice_or_from_an_empty_field(record: Record) -> None:
    with pytest.raises(InputError, match="take back"):
        record(None, "")
    record(0.08)
    record(None, "")
    with pytest.raises(InputError, match="take back"):
        record(None, "")


def test_a_signed_job_refuses_readings_until_it_is_reopened(
    work: Work, job: Job, record: Record, now: datetime
) -> None:
    first = record(0.08)
    work.sign(job.id, "Tam", now)
    with pytest.raises(RuleError, match="Reopen it with a reason"):
        record(0.09)
    assert work.readings(job.id) == [first]
    work.reopen(job.id, "Tam", "measured anew", now)
    assert record(0.09).replaces == first.id


@pytest.mark.parametrize(
    "changes",
    [
        {"value": float("nan")},
        {"value": float("inf")},
        {"value": 1e300},
        {"text": "x" * 1_000_000},
        {"text": "0.08\0"},
        {"text": "\ud83d"},
        {"stage": ""},
        {"entry": ""},
        {"position": "x" * 1000},
        {"trial": -1},
        {"trial": 10**30},
        {"person": "a\x1bb"},
        {"source": ""},
        {"reason": "x" * 5000},
    ],
)
def test_what_cannot_be_kept_is_refused(work: Work, job: Job, record: Record, changes: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        record(**changes)
    assert work.readings(job.id) == []


def test_a_reading_from_the_future_is_refused(record: Record, now: datetime) -> None:
    with pytest.raises(InputError, match="future"):
        record(at=now + timedelta(minutes=5, seconds=1))
    assert record(at=now + timedelta(minutes=5)).taken_at == now + timedelta(minutes=5)


@pytest.mark.parametrize("gauge_id", [0, -1, 7, 2**63, 10**40])
def test_a_gauge_that_is_not_there(record: Record, gauge_id: int) -> None:
    with pytest.raises(NotFoundError, match="gauge"):
        record(gauge_id=gauge_id)


def test_a_job_that_is_not_there(record: Record) -> None:
    with pytest.raises(NotFoundError, match="job"):
        record(job_id=99)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    value=st.none() | st.floats(-1e9, 1e9),
    text=st.text(alphabet=st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=300),
)
def test_every_number_and_text_comes_back_to_the_last_bit(work: Work, job: Job, value: float | None, text: str) -> None:
    reading = new_reading(work, job, value, text)
    assert (reading.value, reading.text) == (value, text)
    assert work.readings(job.id)[-1] == reading
