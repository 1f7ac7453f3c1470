"""Decision rules and the number of readings."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics import conformity
from core.mechanics.uncertainty import GUARD, coverage_factor, effective_degrees, guard, reading_u

BAND = (0.06, 0.10)


@given(st.floats(0.0, 0.019))
def test_the_zones_lie_inside_each_other(width):
    low, high = conformity.conformity_zone(*BAND, width)
    out_low, out_high = conformity.nonconformity_bounds(*BAND, width)
    assert out_low <= BAND[0] <= low <= high <= BAND[1] <= out_high


def test_one_sided_limits():
    assert conformity.conformity_zone(None, 0.05, 0.01) == (None, pytest.approx(0.04))
    assert conformity.conformity_zone(0.8, None, 0.1) == (pytest.approx(0.9), None)
    assert conformity.nonconformity_bounds(None, 0.05, 0.01) == (None, pytest.approx(0.06))
    assert conformity.nonconformity_bounds(0.8, None, 0.1) == (pytest.approx(0.7), None)
    assert conformity.can_conform(None, 0.05, 9.0)


@given(st.floats(0.001, 0.05), st.floats(0.0001, 0.01), st.floats(0.0, 0.03))
def test_the_number_of_readings_is_the_smallest_that_is_enough(margin, gauge_u, deviation):
    def width(readings):
        return GUARD * math.sqrt(gauge_u**2 + deviation**2 / readings)

    try:
        needed = conformity.readings_needed(margin, gauge_u, deviation)
    except RangeError:
        assert width(conformity.MOST_READINGS) > margin * (1.0 - 1e-9)
        return
    assert width(needed) <= margin * (1.0 + 1e-6)
    if needed > 1:
        assert width(needed - 1) > margin * (1.0 - 1e-6)


def test_readings_and_guard_agree():
    gauge_u = reading_u(0.01, 0.015)
    needed = conformity.readings_needed(0.016, gauge_u, 0.006)
    assert guard(reading_u(0.01, 0.015, 0.006, needed)) <= 0.016
    assert guard(reading_u(0.01, 0.015, 0.006, needed - 1)) > 0.016


def test_without_scatter_one_reading_is_enough():
    assert conformity.readings_needed(0.02, 0.009, 0.0) == 1


@pytest.mark.parametrize(
    "call",
    [
        lambda: conformity.can_conform(*BAND, -0.01),
        lambda: conformity.can_conform(0.10, 0.06, 0.01),
        lambda: conformity.conformity_zone(*BAND, 0.02),
        lambda: conformity.nonconformity_bounds(0.10, 0.06, 0.01),
        lambda: conformity.nonconformity_bounds(*BAND, math.nan),
        lambda: conformity.readings_needed(0.0, 0.001, 0.001),
        lambda: conformity.readings_needed(0.01, 0.009, 0.001),
        lambda: conformity.readings_needed(0.01, 0.006, 1.0),
        lambda: conformity.readings_needed(0.01, 0.001, 0.001, 0.0),
        lambda: coverage_factor(0.5),
        lambda: coverage_factor(math.nan),
        lambda: effective_degrees(0.1, [(0.1, 0)]),
        lambda: effective_degrees(0.1, [(-0.1, 3)]),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
