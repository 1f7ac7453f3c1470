"""Laws of what is believed about backlash, and its closed form where no reading is ever wrong."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from core.advice import readings
from core.advice.lash_belief import LashGauge, LashPrior, LashTrial, believe

FEW = settings(max_examples=25)
GAUGE = LashGauge(0.01, 0.005)
MOVES = np.linspace(-0.15, 0.15, 61)
SEATING_MM = 0.003
PRIORS = st.builds(LashPrior, st.floats(0.02, 0.2), st.floats(0.01, 0.2), st.floats(0.5, 0.8), st.floats(0.02, 0.15))
TRIALS = st.lists(st.builds(LashTrial, st.floats(-0.1, 0.1), st.floats(0.0, 0.4), st.integers(1, 8)), max_size=3)


@FEW
@given(PRIORS, TRIALS)
def test_weights_sum_to_one_and_chances_are_chances(prior: LashPrior, trials: list[LashTrial]) -> None:
    belief = believe(prior, trials, GAUGE)
    assert belief.weights.sum() == pytest.approx(1.0)
    chances = belief.chances(MOVES, 0.06, 0.10)
    assert 0.0 <= chances.min() <= chances.max() <= 1.0 + 1e-12
    assert belief.chances(MOVES, -10.0, 10.0) == pytest.approx(1.0, abs=1e-6)
    assert not belief.chances(MOVES, 0.08, 0.08).any()
    for move in (-0.1, 0.0, 0.1):
        middle, low, high = belief.expected(move)
        assert 0.0 <= low <= middle <= high < np.inf


@FEW
@given(st.floats(0.02, 0.15), st.floats(0.5, 0.8), st.floats(-0.05, 0.05))
def test_where_all_is_known_the_chance_is_the_normal_one(lash_mm: float, rate: float, move_mm: float) -> None:
    belief = believe(LashPrior(lash_mm, 1e-6, rate, 1e-6), (), GAUGE)
    mean = lash_mm + rate * move_mm
    deviation = np.hypot(np.hypot(SEATING_MM, GAUGE.mean_sd_mm(8)), rate * 0.0015)
    expected = norm(mean, deviation).cdf(0.10) - norm(mean, deviation).cdf(0.06)
    assert belief.chances(np.asarray([move_mm]), 0.06, 0.10)[0] == pytest.approx(expected, abs=1e-4)


@FEW
@given(PRIORS, TRIALS)
def test_many_moves_are_looked_up_in_a_table_of_a_few(prior: LashPrior, trials: list[LashTrial]) -> None:
    belief = believe(prior, trials, GAUGE)
    many = np.linspace(-0.05, 0.05, 1001)
    each = np.concatenate([belief.chances(some, 0.06, 0.10) for some in np.array_split(many, 10)])
    assert belief.chances(many, 0.06, 0.10) == pytest.approx(each, abs=5e-3)


@FEW
@given(PRIORS, TRIALS, st.floats(-0.02, 0.3))
def test_backlash_and_limits_moved_together_move_the_answer(
    prior: LashPrior, trials: list[LashTrial], shift: float
) -> None:
    """Where no tooth jams, only how far backlash is off its limits counts."""
    sound = [replace(trial, mean_mm=trial.mean_mm + 1.0) for trial in trials]
    here = believe(replace(prior, backlash_mm=prior.backlash_mm + 1.0), sound, GAUGE)
    there = believe(
        replace(prior, backlash_mm=prior.backlash_mm + 1.0 + shift),
        [replace(trial, mean_mm=trial.mean_mm + shift) for trial in sound],
        GAUGE,
    )
    got = there.chances(MOVES, 1.06 + shift, 1.10 + shift)
    # How far off a whole assembly may be grows a little with the backlash itself.
    assert got == pytest.approx(here.chances(MOVES, 1.06, 1.10), abs=0.05)


def test_the_order_of_trials_does_not_matter() -> None:
    trials = [LashTrial(0.0, 0.14), LashTrial(-0.04, 0.112), LashTrial(-0.08, 0.09)]
    each = [believe(LashPrior(0.1, 0.05, 0.7, 0.05), order, GAUGE) for order in permutations(trials)]
    for belief in each[1:]:
        # The grid stands where the last trial was, so that the same is said with other steps.
        assert belief.at_even_split == pytest.approx(each[0].at_even_split, abs=4e-4)
        assert belief.rate == pytest.approx(each[0].rate, abs=5e-3)


def test_the_same_trial_again_narrows_the_belief() -> None:
    trial = LashTrial(0.0, 0.12)
    widths = [believe(LashPrior(0.1, 0.05, 0.7, 0.05), [trial] * n, GAUGE).at_even_split[1] for n in range(4)]
    assert widths == sorted(widths, reverse=True)
    assert widths[1] < 0.5 * widths[0]


@pytest.mark.parametrize("wrong", [0.0, 0.25, 0.5, 2.9])
def test_one_wrong_trial_among_three_misleads_little(wrong: float) -> None:
    prior = LashPrior(0.1, 0.05, 0.7, 0.05)
    sound = [LashTrial(0.0, 0.12), LashTrial(-0.04, 0.092)]
    with_it = believe(prior, [sound[0], LashTrial(-0.02, wrong), sound[1]], GAUGE)
    without = believe(prior, sound, GAUGE)
    assert abs(with_it.at_even_split[0] - without.at_even_split[0]) < 0.004, "a tenth of what the limits leave"
    assert with_it.doubts[1] > 0.5 > max(with_it.doubts[0], with_it.doubts[2])


@pytest.mark.parametrize("off_mm", [0.1, 0.2, 0.4])
@pytest.mark.parametrize("sd_mm", [0.015, 0.03, 0.05])
def test_trials_that_agree_overrule_what_was_believed_before_them(sd_mm: float, off_mm: float) -> None:
    trials = [LashTrial(move, 0.08 + off_mm + 0.7 * move) for move in (0.0, -0.03, -0.06)]
    belief = believe(LashPrior(0.08, sd_mm, 0.7, 0.04), trials, GAUGE)
    assert belief.at_even_split[0] == pytest.approx(0.08 + off_mm, abs=0.004)


@FEW
@given(
    st.floats(0.1, 0.3),
    st.floats(0.55, 0.75),
    st.lists(st.tuples(st.floats(-0.05, 0.05), st.floats(-1.0, 1.0)), min_size=1, max_size=4),
)
def test_without_wrong_readings_it_is_the_regression_of_the_textbook(
    lash_mm: float, rate: float, told: list[tuple[float, float]]
) -> None:
    """Linear regression with normal prior and known variance (Gelman et al., Bayesian Data Analysis, 3rd ed., 14.8;
    Bishop, Pattern Recognition and Machine Learning, eqs. 3.50-3.51; both from memory)."""
    prior = LashPrior(lash_mm, 0.03, rate, 0.05)
    trials = [LashTrial(move, lash_mm + rate * move + 0.01 * off, move_sd_mm=0.0) for move, off in told]
    with pytest.MonkeyPatch.context() as patch:
        for name in ("WRONG_READING", "WRONG_ASSEMBLY", "WRONG_BEFORE"):
            patch.setattr(readings, name, 1e-30)
        belief = believe(prior, trials, GAUGE)
    design = np.asarray([[1.0, trial.move_mm] for trial in trials])
    variance = SEATING_MM**2 + GAUGE.mean_sd_mm(8) ** 2
    precision = np.diag([1.0 / 0.03**2, 1.0 / 0.05**2]) + design.T @ design / variance
    before = np.asarray([lash_mm / 0.03**2, rate / 0.05**2])
    mean = np.linalg.solve(precision, before + design.T @ np.asarray([t.mean_mm for t in trials]) / variance)
    covariance = np.linalg.inv(precision)
    assert belief.at_even_split[0] == pytest.approx(mean[0], abs=2e-4)
    assert belief.at_even_split[1] == pytest.approx(np.sqrt(covariance[0, 0]), rel=0.03)
    # The grid over the rate ends where a thousandth of the belief is left.
    assert belief.rate[0] == pytest.approx(mean[1], abs=0.1 * np.sqrt(covariance[1, 1]))
    assert belief.rate[1] == pytest.approx(np.sqrt(covariance[1, 1]), rel=0.08)


@FEW
@given(PRIORS, TRIALS, st.floats(-0.1, 0.1))
def test_the_interval_holds_nine_tenths_of_what_is_believed(
    prior: LashPrior, trials: list[LashTrial], move_mm: float
) -> None:
    """The same mixture as the chances: a slip that is hardly believed neither shifts nor widens it."""
    belief = believe(prior, trials, GAUGE)
    middle, low, high = belief.expected(move_mm)
    for end, share in ((middle, 0.5), (low, 0.05), (high, 0.95)):
        if end > 0.0:
            below = float(belief.chances(np.asarray([move_mm]), -10.0, end)[0])
            assert below == pytest.approx(share, abs=0.04)


def test_one_reading_is_what_is_expected_where_it_was_read() -> None:
    belief = believe(LashPrior(0.08, 0.05, 0.7, 0.06), [LashTrial(0.0, 0.144)], GAUGE)
    middle, low, high = belief.expected(0.0)
    assert middle == pytest.approx(0.144, abs=0.002)
    assert high - low < 0.03
