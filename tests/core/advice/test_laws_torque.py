"""Laws of what is believed about turning torque."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from core.advice.readings import looked_up
from core.advice.torque_belief import TorqueBelief, TorqueGauge, TorquePrior, TorqueTrial, believe

FEW = settings(max_examples=15)
GAUGE = TorqueGauge(0.05, 0.045)
SUMS = np.linspace(4.95, 5.45, 101)

PRIORS = st.builds(
    TorquePrior,
    st.floats(4.9, 5.3),
    st.floats(0.02, 0.15),
    rise_nm=st.floats(0.4, 1.2),
)
TORQUES = st.floats(0.0, 3.0).map(lambda torque: round(torque, 2))
TRIALS = st.lists(
    st.builds(TorqueTrial, st.floats(5.0, 5.3), st.tuples(TORQUES, TORQUES)),
    max_size=3,
)


def truth(zero_mm: float, sum_mm: float) -> TorqueTrial:
    """Return a trial of an axle as the belief expects one."""
    torque = 0.05 + 0.70 * (max(sum_mm - zero_mm, 0.0) / 0.05) ** 1.11
    return TorqueTrial(sum_mm, (torque, torque))


@FEW
@given(PRIORS, TRIALS)
def test_weights_sum_to_one_and_chances_are_chances(prior: TorquePrior, trials: list[TorqueTrial]) -> None:
    belief = believe(prior, trials, GAUGE)
    assert belief.weights.sum() == pytest.approx(1.0)
    assert belief.weights.min() >= 0.0
    chances = belief.chances(SUMS, 0.5, 1.0, 0.002)
    assert np.isfinite(chances).all()
    assert chances.min() >= 0.0
    assert chances.max() <= 1.0
    assert belief.chances(SUMS, -100.0, 1e6, 0.002) == pytest.approx(1.0, abs=1e-6), "anything is within no limits"
    assert len(belief.doubts) == len(trials)
    assert all(0.0 <= doubt <= 1.0 for doubt in belief.doubts)
    low, middle, high = (belief.expected(5.1, 0.002)[at] for at in (1, 0, 2))
    assert 0.0 <= low <= middle <= high < np.inf


@FEW
@given(st.floats(5.0, 5.2), st.floats(0.02, 0.12))
def test_where_all_is_known_the_chance_is_the_normal_one(zero_mm: float, interference_mm: float) -> None:
    prior = TorquePrior(zero_mm, 1e-6, 0.7, 1e-9, 0.05, 1e-9)
    belief = believe(prior, (), GAUGE)
    belief = replace(belief, exponent=np.full_like(belief.exponent, 1.11))
    # Torque = 0.05 + 0.7·(δ/0.05)^1.11; one assembly scatters as it seats, the mean of two readings by the gauge.
    mean = 0.05 + 0.7 * (interference_mm / 0.05) ** 1.11
    deviation = float(belief.mean_sd_nm(np.asarray(mean), 2))
    expected = norm(mean, deviation).cdf(1.0) - norm(mean, deviation).cdf(0.5)
    got = belief.chances(np.asarray([zero_mm + interference_mm]), 0.5, 1.0, 1e-7)
    assert got[0] == pytest.approx(expected, abs=2e-4)
    middle, low, high = belief.expected(zero_mm + interference_mm, 0.0)
    assert middle == pytest.approx(mean, rel=0.01)
    assert low == pytest.approx(norm(mean, deviation).ppf(0.05), rel=0.02)
    assert high == pytest.approx(norm(mean, deviation).ppf(0.95), rel=0.02)


def plain_chances(belief: TorqueBelief, sums_mm: np.ndarray, low: float, high: float) -> np.ndarray:
    """Return the chances by a plain sum over the whole grid, the sums taken as certain."""
    found = []
    for sum_mm in sums_mm:
        mean = belief.torque_nm(sum_mm - belief.zeros_mm)
        deviation = belief.mean_sd_nm(mean, 2)
        found.append(float((belief.weights * (norm.cdf(high, mean, deviation) - norm.cdf(low, mean, deviation))).sum()))
    return np.asarray(found)


@FEW
@given(PRIORS, TRIALS)
def test_the_table_is_the_plain_sum_over_the_grid(prior: TorquePrior, trials: list[TorqueTrial]) -> None:
    belief = believe(prior, trials, GAUGE)
    # On the steps of the grid nothing is interpolated.
    sums = prior.zero_mm + 0.06 + belief.step_mm * np.arange(0, 40, 3)
    got = belief.chances(sums, 0.5, 1.0, 1e-9)
    assert got == pytest.approx(plain_chances(belief, sums, 0.5, 1.0), abs=1e-5)


@FEW
@given(PRIORS, TRIALS, st.floats(-3.0, 3.0))
def test_a_constant_on_every_sum_is_a_constant_on_the_answer(
    prior: TorquePrior, trials: list[TorqueTrial], shift: float
) -> None:
    here = believe(prior, trials, GAUGE)
    there = believe(
        replace(prior, zero_mm=prior.zero_mm + shift),
        [replace(trial, sum_mm=trial.sum_mm + shift) for trial in trials],
        GAUGE,
    )
    assert there.zero[0] == pytest.approx(here.zero[0] + shift, abs=1e-4)
    assert there.zero[1] == pytest.approx(here.zero[1], rel=1e-2, abs=1e-5)
    assert there.chances(SUMS + shift, 0.5, 1.0, 0.002) == pytest.approx(here.chances(SUMS, 0.5, 1.0, 0.002), abs=2e-3)


@FEW
@given(st.floats(4.9, 5.3), st.floats(0.02, 0.15))
def test_where_seating_and_gauge_grow_with_torque_so_does_the_answer(zero_mm: float, sd_mm: float) -> None:
    """Twice the rise, the drag, the gauge's steps and the limits: the same chances, but for the least seating."""
    prior = TorquePrior(zero_mm, sd_mm)
    one = believe(prior, (), TorqueGauge(0.4, 0.2))
    two = believe(replace(prior, rise_nm=2 * prior.rise_nm, drag_nm=2 * prior.drag_nm), (), TorqueGauge(0.8, 0.4))
    assert two.chances(SUMS, 1.0, 2.0, 0.002) == pytest.approx(one.chances(SUMS, 0.5, 1.0, 0.002), abs=2e-3)


def test_the_order_of_trials_does_not_matter() -> None:
    trials = [truth(5.05, 5.06), truth(5.05, 5.15), TorqueTrial(5.11, (0.2, 1.9))]
    each = [believe(TorquePrior(5.0, 0.08), order, GAUGE) for order in permutations(trials)]
    for belief in each[1:]:
        assert belief.zero == pytest.approx(each[0].zero, abs=1e-9)
        assert belief.weights == pytest.approx(each[0].weights, abs=1e-12)
        assert sorted(belief.doubts) == pytest.approx(sorted(each[0].doubts), abs=1e-9)


@pytest.mark.parametrize("interference_mm", [0.02, 0.05, 0.1])
def test_the_same_trial_again_narrows_the_belief(interference_mm: float) -> None:
    trial = truth(5.05, 5.05 + interference_mm)
    widths = [believe(TorquePrior(5.05, 0.08), [trial] * times, GAUGE).zero[1] for times in range(4)]
    assert widths == sorted(widths, reverse=True)
    assert widths[1] < 0.6 * widths[0]


@pytest.mark.parametrize("wrong", [0.0, 0.05, 3.0, 8.0])
def test_one_wrong_assembly_among_three_misleads_little(wrong: float) -> None:
    prior = TorquePrior(5.0, 0.08)
    sound = [truth(5.05, 5.10), truth(5.05, 5.13)]
    with_it = believe(prior, [sound[0], TorqueTrial(5.115, (wrong, wrong)), sound[1]], GAUGE)
    without = believe(prior, sound, GAUGE)
    assert abs(with_it.zero[0] - without.zero[0]) < 0.006, "less than the limits leave on either side"
    assert abs(with_it.zero[0] - 5.05) < 0.012
    assert with_it.doubts[1] == max(with_it.doubts) > 0.5
    assert max(with_it.doubts[0], with_it.doubts[2]) < 0.2


@pytest.mark.parametrize("wrong", [0.0, 2.2])
def test_one_wrong_reading_of_two_misleads_little(wrong: float) -> None:
    prior = TorquePrior(5.0, 0.08)
    sound = [truth(5.05, 5.10), truth(5.05, 5.13)]
    right = sound[1].torques_nm[0]
    with_it = believe(prior, [sound[0], replace(sound[1], torques_nm=(wrong, right))], GAUGE)
    assert abs(with_it.zero[0] - believe(prior, sound, GAUGE).zero[0]) < 0.006


@pytest.mark.parametrize("off_mm", [-0.3, -0.15, 0.15, 0.3])
@pytest.mark.parametrize("sd_mm", [0.02, 0.035, 0.08])
def test_trials_that_agree_overrule_what_was_believed_before_them(sd_mm: float, off_mm: float) -> None:
    """A stack measured wrongly, or a family that does not fit this unit, must not hold an axle for ever."""
    zero_mm = 5.0 + off_mm
    trials = [truth(zero_mm, zero_mm + at) for at in (0.03, 0.08, 0.055)]
    belief = believe(TorquePrior(5.0, sd_mm), trials, GAUGE)
    assert belief.zero[0] == pytest.approx(zero_mm, abs=0.015)
    assert max(belief.doubts) < 0.2
    assert belief.chances(np.asarray([zero_mm + 0.05]), 0.5, 1.0, 0.002)[0] > 0.8


def test_readings_nobody_can_make_leave_the_belief_whole() -> None:
    for torque in (0.0, 60.0):
        belief = believe(TorquePrior(5.0, 0.08), [TorqueTrial(5.05, (torque, torque))], GAUGE)
        assert np.isfinite(belief.weights).all()
        assert belief.weights.sum() == pytest.approx(1.0)


@FEW
@given(
    st.lists(st.floats(-5.0, 5.0), min_size=2, max_size=30),
    st.floats(-2.0, 2.0),
    st.floats(1e-3, 1.0),
    st.lists(st.floats(-10.0, 10.0), min_size=1, max_size=20),
)
def test_looking_up_is_interpolating(table: list[float], first: float, step: float, at: list[float]) -> None:
    places = first + step * np.arange(len(table))
    got = looked_up(np.asarray(at), first, step, np.asarray(table))
    assert got == pytest.approx(np.interp(at, places, table), abs=1e-6)


@pytest.mark.parametrize("sum_sd_mm", [0.002, 0.008, 0.016])
@pytest.mark.parametrize("beside", [(), (4.9, 5.3)])
def test_doubt_about_the_sum_blurs_the_chance_wherever_it_lies(sum_sd_mm: float, beside: tuple[float, ...]) -> None:
    """The chance of a sum that is not quite known is the mean of the chances around it: alone, and among others."""
    belief = believe(TorquePrior(5.05, 0.08), [truth(5.05, 5.08), truth(5.05, 5.12)], GAUGE)
    around = 5.09 + sum_sd_mm * np.linspace(-3.0, 3.0, 241)
    weights = norm.pdf(around, 5.09, sum_sd_mm)
    expected = np.average(belief.chances(around, 0.5, 1.0, 1e-9), weights=weights)
    got = belief.chances(np.asarray([*beside, 5.09]), 0.5, 1.0, sum_sd_mm)[-1]
    assert got == pytest.approx(expected, abs=0.01)
