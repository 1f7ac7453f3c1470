"""What a signed job teaches, and what is believed before the first trial of the next."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from core.advice.lessons import lesson_of
from core.advice.priors import (
    FALLBACK_RATE,
    RISE,
    STACK_SD_MM,
    UNKNOWN_LASH_MM,
    Here,
    PastJob,
    family_of,
    lash_prior,
    rate_prior,
    torque_prior,
)
from core.advice.seen import here_of

Paper = Callable[..., Any]
NOBODY = family_of(())


def torque_text(interference_mm: float, rise_nm: float = 0.70) -> str:
    return f"{0.05 + rise_nm * (max(interference_mm, 0.0) / 0.05) ** 1.11:.3f}"


def with_preload(job: Any, *sums_mm: float, zero_mm: float = 5.0, rise_nm: float = 0.70) -> Any:
    """Tell preload trials of a hidden truth, the last accepted."""
    for number, sum_mm in enumerate(sums_mm, start=1):
        text = torque_text(sum_mm - zero_mm, rise_nm)
        job.preload_trial(f"{sum_mm / 2:.4f}", f"{sum_mm / 2:.4f}", text, text, number)
    job.read("preload", "accepted", "yes", trial=len(sums_mm))
    return job


# --- lessons ----------------------------------------------------------------------------------------------------------


def test_a_job_that_accepted_nothing_teaches_nothing(paper: Paper) -> None:
    job = paper()
    assert lesson_of(job.context) == PastJob()
    job.preload_trial("2.50", "2.55", "0.7", "0.7", 1)
    assert lesson_of(job.context).zero_mm is None


@pytest.mark.parametrize("zero_mm", [4.95, 5.0, 5.2])
def test_a_job_teaches_where_no_clearance_was(paper: Paper, zero_mm: float) -> None:
    job = with_preload(paper(), zero_mm - 0.02, zero_mm + 0.10, zero_mm + 0.05, zero_mm=zero_mm)
    lesson = lesson_of(job.context)
    assert lesson.zero_mm is not None
    assert lesson.zero_mm[0] == pytest.approx(zero_mm, abs=0.01)
    assert lesson.zero_mm[1] < 0.02
    assert lesson.lash_mm is None


def test_a_job_of_one_trial_teaches_less(paper: Paper) -> None:
    many = lesson_of(with_preload(paper(), 5.1, 5.05).context).zero_mm
    one = lesson_of(with_preload(paper(), 5.05).context).zero_mm
    assert many is not None
    assert one is not None
    assert one[1] > many[1]


@pytest.mark.parametrize("rise_nm", [0.5, 0.7, 0.95])
def test_a_job_of_three_trials_teaches_how_steep_torque_rose(paper: Paper, rise_nm: float) -> None:
    job = with_preload(paper(), 5.02, 5.06, 5.10, 5.05, rise_nm=rise_nm)
    learned = lesson_of(job.context).log_rise
    assert learned is not None
    assert learned[0] == pytest.approx(math.log(rise_nm), abs=2.5 * learned[1] + 0.05)


def test_a_job_teaches_backlash_and_what_a_move_was_worth(paper: Paper) -> None:
    job = paper().preload()
    for number, move_mm in enumerate((0.05, -0.05), start=1):
        lash = f"{0.12 + 0.8 * move_mm:.3f}"
        job.backlash_trial(f"{2.525 - move_mm:.3f}", f"{2.525 + move_mm:.3f}", lash, number)
    job.read("backlash", "accepted", "yes", trial=2)
    lesson = lesson_of(job.context)
    assert lesson.lash_mm is not None
    assert lesson.lash_mm[0] == pytest.approx(0.12, abs=0.005)
    assert lesson.rate_ratio is not None
    # By geometry 0.709; seen 0.8.
    assert lesson.rate_ratio[0] == pytest.approx(0.8 / 0.709, abs=0.1)


def test_what_a_shop_learned_is_what_it_believes_next(paper: Paper) -> None:
    lessons = [
        lesson_of(with_preload(paper(), zero_mm + 0.08, zero_mm + 0.05, zero_mm=zero_mm).context)
        for zero_mm in (4.98, 5.00, 5.02, 4.99, 5.01)
    ]
    prior = torque_prior(family_of(lessons), here_of(paper().context))
    assert prior.zero_mm == pytest.approx(5.0, abs=0.015)
    assert prior.zero_sd_mm < 0.5 * torque_prior(NOBODY, here_of(paper().context)).zero_sd_mm


# --- before the first trial -------------------------------------------------------------------------------------------


def test_without_anything_the_cards_rings_bound_the_sum() -> None:
    prior = torque_prior(NOBODY, Here(card_mm=(5.1, 0.6)))
    assert (prior.zero_mm, prior.zero_sd_mm) == pytest.approx((5.1, 0.6 / math.sqrt(3.0)))
    assert prior.rise_nm == pytest.approx(math.exp(RISE.mean))


def test_a_stack_is_worth_more_than_what_was_found_and_both_more_than_either() -> None:
    found = torque_prior(NOBODY, Here(found_mm=5.05))
    stack = torque_prior(NOBODY, Here(stack_mm=5.05))
    both = torque_prior(NOBODY, Here(found_mm=5.05, stack_mm=5.05))
    assert stack.zero_mm == pytest.approx(5.05)
    assert STACK_SD_MM <= stack.zero_sd_mm < 1.2 * STACK_SD_MM
    assert both.zero_sd_mm < stack.zero_sd_mm < found.zero_sd_mm
    torn = torque_prior(NOBODY, Here(found_mm=4.5, stack_mm=5.05))
    assert torn.zero_sd_mm > stack.zero_sd_mm, "what contradicts itself claims less"


def test_an_offset_pinion_or_no_geometry_widens_the_rate_and_the_family_narrows_it() -> None:
    plain, offset, nothing = (
        rate_prior(NOBODY, here)
        for here in (Here(geometric_rate=0.7), Here(geometric_rate=0.7, is_hypoid=True), Here())
    )
    assert plain[0] == offset[0] == 0.7
    assert nothing[0] == FALLBACK_RATE
    assert plain[1] < offset[1] < nothing[1]
    family = family_of([PastJob(rate_ratio=(1.1, 0.02))] * 10)
    taught = rate_prior(family, Here(geometric_rate=0.7, is_hypoid=True))
    assert taught[0] == pytest.approx(0.77, abs=0.02)
    assert taught[1] < 0.5 * offset[1]


def test_without_anything_an_even_split_is_as_good_as_any() -> None:
    prior = lash_prior(NOBODY, Here(geometric_rate=0.7), 0.08)
    assert (prior.backlash_mm, prior.backlash_sd_mm, prior.move_mm) == (0.08, UNKNOWN_LASH_MM, 0.0)
    heights = lash_prior(NOBODY, Here(found_lash_mm=0.15, has_heights=True), 0.08)
    found = lash_prior(NOBODY, Here(found_lash_mm=0.15), 0.08)
    assert heights.backlash_mm == found.backlash_mm == pytest.approx(0.15)
    assert heights.backlash_sd_mm < found.backlash_sd_mm < UNKNOWN_LASH_MM
