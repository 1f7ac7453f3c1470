"""Control charts: rules one by one, gaps, wild and identical values, and the laws they obey."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics.control_chart import (
    BEYOND,
    JUMP,
    LEAST_VALUES,
    MEDIAN_RANGE_FACTOR,
    ONE_SIDE,
    TREND_RULE,
    TWO_OF_THREE,
    Signal,
    control_chart,
)

QUIET = [10.0, 11.0, 9.0, 10.0, 11.0, 9.0, 10.0, 9.0, 11.0, 10.0, 9.0, 11.0]
"""No rule finds anything in it: centre 10, mean moving range 15/11, limits 6.4 and 13.6."""

values = st.lists(st.floats(-100, 100).map(lambda x: round(x, 3)), min_size=8, max_size=40)


def of_rule(chart, rule):
    return [(signal.is_up, signal.points) for signal in chart.signals if signal.rule == rule]


def test_a_quiet_process_gives_no_signal():
    chart = control_chart(QUIET)
    assert chart.limits.centre == 10.0
    assert chart.limits.high == pytest.approx(10 + 3 / 1.128 * 15 / 11)
    assert chart.limits.sigma == pytest.approx(15 / 11 / 1.128)
    assert chart.range_high == pytest.approx(3.267 * 15 / 11)
    assert chart.signals == ()
    assert not chart.is_stretched
    assert not chart.is_firm


def test_firm_from_twenty_values_on():
    assert not control_chart(QUIET + QUIET[:7]).is_firm
    assert control_chart(QUIET + QUIET[:8]).is_firm


def test_one_wild_value_is_beyond_and_jumps_and_robust_limits_stand_beside():
    chart = control_chart([*QUIET, 40.0])
    assert of_rule(chart, BEYOND) == [(True, (12,))]
    assert of_rule(chart, JUMP) == [(True, (11, 12))]
    assert chart.is_stretched
    assert chart.robust.centre == 10.0
    assert chart.robust.high == pytest.approx(10 + MEDIAN_RANGE_FACTOR)
    assert chart.beyond_robust() == (12,)
    assert chart.robust.high - chart.robust.low < chart.limits.high - chart.limits.low
    # The mean is pulled up so far that all the others lie below it.
    assert of_rule(chart, ONE_SIDE) == [(False, tuple(range(12)))]
    assert chart.signalled == set(range(13))


def test_a_wild_value_below():
    chart = control_chart([*QUIET[:6], -40.0, *QUIET[6:]])
    assert of_rule(chart, BEYOND) == [(False, (6,))]
    assert of_rule(chart, JUMP) == [(False, (5, 6)), (True, (6, 7))]


@pytest.mark.parametrize("above", [7, 8, 9])
def test_eight_on_one_side(above):
    low = [8.0, 10.0] * 5
    chart = control_chart([*low, *[11.0, 12.0, 11.0, 12.0, 11.0, 12.0, 11.0, 12.0, 11.0][:above]])
    found = of_rule(chart, ONE_SIDE)
    if above < 8:
        assert (True, tuple(range(10, 10 + above))) not in found
    else:
        assert (True, tuple(range(10, 10 + above))) in found


def test_a_value_on_the_centre_ends_a_run():
    # Centre exactly 0: eight above, one of them on the line.
    chart = control_chart([1, 1, 1, 1, 0, 1, 1, 1, 1, -2, -2, -2, -2])
    assert of_rule(chart, ONE_SIDE) == []


@pytest.mark.parametrize("rises", [5, 6, 7])
def test_six_rising_in_a_row(rises):
    chart = control_chart([5.0, 7.0, 5.0, 7.0, *[3.0 + step for step in range(rises)], 2.0, 5.0, 7.0])
    expected = [] if rises < 6 else [(True, tuple(range(4, 4 + rises)))]
    assert of_rule(chart, TREND_RULE) == expected


def test_six_falling_in_a_row_and_equal_neighbours_end_it():
    falling = [9.0, 8.0, 7.0, 6.0, 5.0, 4.0]
    assert of_rule(control_chart([5.0, 7.0, 6.0, *falling, 5.0]), TREND_RULE) == [(False, (3, 4, 5, 6, 7, 8))]
    assert of_rule(control_chart([5.0, 7.0, 6.0, 9.0, 8.0, 7.0, 7.0, 6.0, 5.0, 4.0]), TREND_RULE) == []


def test_two_of_three_near_one_limit():
    quiet = [0.0, 1.0, -1.0] * 6
    chart = control_chart([*quiet, 3.0, 0.0, 3.0, *quiet])
    assert of_rule(chart, TWO_OF_THREE) == [(True, (18, 20))]
    assert of_rule(control_chart([*quiet, 3.0, 0.0, 0.0, 3.0, *quiet]), TWO_OF_THREE) == []
    assert of_rule(control_chart([*quiet, 3.0, 0.0, -3.0, *quiet]), TWO_OF_THREE) == []


def test_too_few_values_have_neither_limits_nor_signals():
    for count in range(LEAST_VALUES):
        chart = control_chart([1.0, 900.0, *QUIET][:count])
        assert (chart.count, chart.limits, chart.robust, chart.range_high) == (count, None, None, None)
        assert chart.signals == ()
        assert len(chart.moving_ranges) == count
    assert control_chart(QUIET[:LEAST_VALUES]).limits is not None


def test_a_gap_has_no_moving_range_beside_it_and_ends_runs():
    chart = control_chart([*QUIET[:4], None, *QUIET[4:]])
    assert chart.moving_ranges[4] is None
    assert chart.moving_ranges[5] is None
    assert chart.count == 12
    assert chart.limits.centre == 10.0
    trend = [1.0, 2.0, 3.0, None, 4.0, 5.0, 6.0, *QUIET]
    assert of_rule(control_chart(trend), TREND_RULE) == []
    quiet = [0.0, 1.0, -1.0] * 6
    assert of_rule(control_chart([*quiet, 3.0, None, 3.0, *quiet]), TWO_OF_THREE) == []


def test_nothing_but_gaps():
    chart = control_chart([None] * 12)
    assert (chart.count, chart.limits, chart.signals) == (0, None, ())


@pytest.mark.parametrize("value", [0.0, 0.1, 5.043, -273.15, 1e-6, 1e6])
def test_identical_values_have_limits_that_fall_together_and_no_signal(value):
    chart = control_chart([value] * 13)
    assert (chart.limits.low, chart.limits.high) == (chart.limits.centre, chart.limits.centre)
    assert chart.limits.centre == pytest.approx(value, rel=1e-15)
    assert chart.robust is None
    assert chart.signals == ()


def test_mostly_identical_values_have_no_robust_limits():
    chart = control_chart([5.0] * 9 + [6.0])
    assert chart.robust is None
    assert of_rule(chart, BEYOND) == [(True, (9,))]
    assert not chart.is_stretched


@pytest.mark.parametrize("wrong", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(wrong):
    with pytest.raises(RangeError):
        control_chart([*QUIET, wrong])


# --- laws ------------------------------------------------------------------------------------------------------------


@given(values)
def test_the_limits_contain_the_centre_and_the_centre_lies_among_the_values(measured):
    limits = control_chart(measured).limits
    assert limits.low <= limits.centre <= limits.high
    assert min(measured) - 1e-9 <= limits.centre <= max(measured) + 1e-9


@given(values, st.integers(-1000, 1000))
def test_shifting_all_values_shifts_the_limits(measured, shift):
    before, after = control_chart(measured), control_chart([round(v + shift, 3) for v in measured])
    for one, other in ((before.limits, after.limits), (before.robust, after.robust)):
        if one is None or other is None:
            assert one is other
            continue
        assert other.low == pytest.approx(one.low + shift, abs=1e-6)
        assert other.high == pytest.approx(one.high + shift, abs=1e-6)
    assert after.range_high == pytest.approx(before.range_high, abs=1e-6)


def test_a_shift_changes_no_signal():
    measured = [*QUIET, 40.0, *[11.0, 12.0] * 4, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0]
    assert control_chart([v + 1000 for v in measured]).signals == control_chart(measured).signals


@given(st.lists(st.integers(0, 12), min_size=8, max_size=40), st.sampled_from([1 / 25.4, 8.850745767, 1000.0]))
def test_the_unit_does_not_matter(measured, factor):
    plain, other = control_chart([float(v) for v in measured]), control_chart([v * factor for v in measured])
    assert other.limits.high == pytest.approx(plain.limits.high * factor, abs=1e-9 * factor)
    # A value that lies exactly on a limit or the centre may fall to either side; runs of steps cannot.
    assert of_rule(other, TREND_RULE) == of_rule(plain, TREND_RULE)
    assert (other.robust is None) == (plain.robust is None)


@given(values)
def test_turned_upside_down_every_signal_turns(measured):
    plain, turned = control_chart(measured), control_chart([-v for v in measured])
    flipped = {Signal(s.rule, not s.is_up, s.points) for s in turned.signals}
    assert flipped == set(plain.signals)


@given(values)
def test_backwards_in_time_the_limits_are_the_same(measured):
    plain, reversed_ = control_chart(measured).limits, control_chart(measured[::-1]).limits
    assert (reversed_.low, reversed_.high) == pytest.approx((plain.low, plain.high))


@given(values)
def test_every_signal_names_points_of_the_chart_in_order(measured):
    chart = control_chart(measured)
    for signal in chart.signals:
        assert list(signal.points) == sorted(set(signal.points))
        assert all(0 <= point < len(measured) for point in signal.points)
