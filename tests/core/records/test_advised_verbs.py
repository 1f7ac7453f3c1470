"""What was advised before a trial: kept as it was said, never changed, the last word on a trial counts."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from core.errors import InputError, NotFoundError, RuleError
from core.facts import Advised, Job
from core.records import Logbook, Work

from .conftest import NOW, new_job

Note = Callable[..., Advised]


def note(work: Work, job: Job, **changes: Any) -> Advised:
    given: dict[str, Any] = {
        "job_id": job.id,
        "stage": "preload",
        "trial": 1,
        "ring_gear_side_mm": 2.5,
        "opposite_side_mm": 2.45,
        "places": "A3, B1",
        "chance": 0.84,
        "expected": 0.71,
        "low": 0.52,
        "high": 0.93,
        "at": NOW,
        "person": "Tam",
    }
    return work.note_advised(**given | changes)


@pytest.fixture
def advise(work: Work, job: Job) -> Note:
    """Return a function that notes what was advised in the open job."""
    return lambda **changes: note(work, job, **changes)


def test_what_was_advised_comes_back_as_it_was_said(work: Work, job: Job, advise: Note) -> None:
    said = advise(places=" A3,\tB1 ", person=" Tam  Ollerby")
    assert said == Advised(1, job.id, "preload", 1, NOW, "Tam Ollerby", 2.5, 2.45, "A3, B1", 0.84, 0.71, 0.52, 0.93)
    assert work.advised_of_job(job.id) == [said]


def test_said_again_both_stay_in_order(work: Work, job: Job, advise: Note) -> None:
    said = [advise(), advise(stage="backlash", expected=0.08, low=0.06, high=0.1), advise(chance=0.31)]
    assert work.advised_of_job(job.id) == said


def test_several_jobs_are_read_at_once(logbook: Logbook) -> None:
    with logbook.work() as work:
        card = work.add_card_revision("Orrin B", (), (), "Tam")
        jobs = [new_job(work, card, number=number) for number in ("2407", "2408", "2409")]
        first, second, other = (note(work, jobs[at]) for at in (0, 0, 1))
        work.commit()
    asked: list[str] = []
    with logbook.look() as work:
        engine = work._connection.engine
        event.listen(engine, "before_cursor_execute", lambda *args: asked.append(args[2]))
        found = work.advised_of([job.id for job in jobs])
        assert len(asked) == 1
        assert found == {jobs[0].id: [first, second], jobs[1].id: [other], jobs[2].id: []}
        assert work.advised_of([]) == {}


@pytest.mark.parametrize(
    "changes",
    [
        {"stage": ""},
        {"stage": "x" * 81},
        {"trial": 0},
        {"trial": 1000},
        {"ring_gear_side_mm": -0.001},
        {"opposite_side_mm": float("nan")},
        {"opposite_side_mm": float("inf")},
        {"places": "x" * 201},
        {"places": "A3\0"},
        {"chance": -0.001},
        {"chance": 1.001},
        {"chance": float("nan")},
        {"expected": float("nan")},
        {"low": float("-inf")},
        {"high": 1e10},
        {"expected": 0.51},
        {"expected": 0.94},
        {"low": 0.93, "high": 0.52},
        {"person": "a\x1bb"},
        {"at": NOW + timedelta(minutes=6)},
    ],
)
def test_what_cannot_be_kept_is_refused(work: Work, job: Job, advise: Note, changes: dict[str, Any]) -> None:
    with pytest.raises(InputError) as refused:
        advise(**changes)
    assert refused.value.remedy
    assert work.advised_of_job(job.id) == []


def test_the_bounds_themselves_are_kept(advise: Note) -> None:
    nuts = advise(trial=999, ring_gear_side_mm=0, opposite_side_mm=0, places="", chance=1, expected=0, low=0, high=0)
    assert (nuts.trial, nuts.ring_gear_side_mm, nuts.places, nuts.chance) == (999, 0.0, "", 1.0)
    assert advise(chance=0.0).chance == 0.0


def test_a_signed_job_refuses_advice_until_it_is_reopened(work: Work, job: Job, advise: Note, now: datetime) -> None:
    first = advise()
    work.sign(job.id, "Tam", now)
    with pytest.raises(RuleError, match="Reopen it with a reason"):
        advise(trial=2)
    assert work.advised_of_job(job.id) == [first]
    work.reopen(job.id, "Tam", "measured anew", now)
    second = advise(trial=2)
    assert work.advised_of_job(job.id) == [first, second]


@pytest.mark.parametrize("job_id", [0, -1, 99, 2**63])
def test_a_job_that_is_not_there(work: Work, advise: Note, job_id: int) -> None:
    with pytest.raises(NotFoundError, match="job"):
        advise(job_id=job_id)
    with pytest.raises(NotFoundError, match="job"):
        work.advised_of_job(job_id)


def test_the_trail_says_for_which_job_it_was(logbook: Logbook) -> None:
    with logbook.work(by="Tam", doing="record") as work:
        job = new_job(work, work.add_card_revision("Orrin B", (), (), "Tam"))
        note(work, job)
        work.commit()
    with logbook.look() as work:
        newest = work.trail(1)[0]
    assert (newest.table, newest.job_id, newest.content["places"]) == ("advised", job.id, "A3, B1")
    assert logbook.verify().findings == ()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    sizes=st.tuples(st.floats(0, 1e9), st.floats(0, 1e9)),
    reading=st.tuples(*[st.floats(-1e9, 1e9)] * 3).map(sorted),
    chance=st.floats(0, 1),
)
def test_every_number_comes_back_to_the_last_bit(
    work: Work, job: Job, sizes: tuple[float, float], reading: list[float], chance: float
) -> None:
    low, expected, high = reading
    ring, other = sizes
    said = note(
        work, job, ring_gear_side_mm=ring, opposite_side_mm=other, chance=chance, expected=expected, low=low, high=high
    )
    assert work.advised_of_job(job.id)[-1] == said
    assert (said.ring_gear_side_mm, said.opposite_side_mm, said.chance) == (ring, other, chance)
    assert (said.low, said.expected, said.high) == (low, expected, high)
