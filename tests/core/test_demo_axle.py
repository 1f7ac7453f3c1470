"""Jobs of the demo that go by the advice: really computed, fitted as advised, and read off an axle of its own size."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from core.demo import LOGBOOK_NAME
from core.demo_axle import Axle
from core.records import open_logbook
from core.stages.advised import is_followed
from core.workshop import Workshop

BY_ADVICE = ["2415", "2421", "2428", "2440", "2449", "2544"]
"""The demo's jobs with an axle of their own."""
AXLE = Axle(5.0, 0.13, seats_mm=(0.0, 0.002))
GAUGES = {"torque": 3, "dial": 1}


@pytest.fixture(scope="module")
def demo(told_demo: Path) -> Iterator[Workshop]:
    workshop = Workshop(open_logbook(told_demo / LOGBOOK_NAME))
    yield workshop
    workshop.close()


@pytest.mark.parametrize(
    ("sides_mm", "trial", "text"),
    [
        ((2.5, 2.4), 1, "0.05 N·m"),
        ((2.5, 2.5), 1, "0.05 N·m"),
        ((2.55, 2.5), 1, "0.75 N·m"),
        ((2.524, 2.524), 1, "0.70 N·m"),
        ((2.524, 2.524), 2, "0.75 N·m"),
        ((2.524, 2.524), 3, "0.70 N·m"),
    ],
)
def test_torque_rises_with_the_sum_and_a_little_with_how_it_seats(
    sides_mm: tuple[float, float], trial: int, text: str
) -> None:
    read = AXLE.read("preload", sides_mm, trial, GAUGES)
    assert [(one.entry, one.text, one.gauge_id) for one in read] == [
        ("torque_forward", text, 3),
        ("torque_back", text, 3),
    ]


def test_backlash_falls_as_the_ring_gear_is_moved_to_the_pinion_and_swings_around_it() -> None:
    even = AXLE.read("backlash", (2.5, 2.5), 1, GAUGES)
    assert [one.text for one in even] == [
        f"{value:.2f} mm" for value in (0.13, 0.14, 0.14, 0.14, 0.13, 0.12, 0.12, 0.12)
    ]
    assert len({one.position for one in even}) == 8
    nearer, jammed = (AXLE.read("backlash", pair, 1, GAUGES) for pair in ((2.55, 2.45), (3.0, 2.0)))
    assert nearer[0].text == "0.10 mm"
    assert {one.text for one in jammed} == {"0.00 mm"}


@pytest.mark.parametrize("number", BY_ADVICE)
def test_each_trial_of_these_jobs_is_what_was_advised_for_it(demo: Workshop, number: str) -> None:
    job = demo.job(number)
    context = demo.state(job.id).context
    with demo._logbook.look() as work:
        advised = work.advised_of_job(job.id)
    trials = {(stage, trial) for stage in ("preload", "backlash") for trial in context.trials(stage) if trial}
    assert {(one.stage, one.trial) for one in advised} == trials
    assert [is_followed(context, one) for one in advised] == [True] * len(advised)


def test_the_owner_sees_what_came_of_trials_that_followed_the_advice_beside_others(demo: Workshop) -> None:
    scores = {score.stage: score for score in demo.family_record("Orrin B").scores}
    for stage in ("preload", "backlash"):
        score = scores[stage]
        assert score.trials >= 8
        assert 0 < score.conformed < score.trials, "some of what was advised conformed, and some did not"
        assert score.others >= 5
        assert abs(score.conformed - score.expected) < 2.0 * score.doubt
