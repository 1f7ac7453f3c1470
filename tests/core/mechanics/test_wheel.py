"""Backlash around the ring gear."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from core.errors import RangeError
from core.mechanics.wheel import backlash_wheel


@given(st.floats(0.05, 0.2), st.floats(0.005, 0.04), st.floats(0.0, 359.0), st.integers(3, 12))
def test_a_pure_runout_is_found_again(mean_mm, amplitude_mm, high_deg, places):
    angles = [360.0 * place / places for place in range(places)]
    readings = [mean_mm + amplitude_mm * math.cos(math.radians(angle - high_deg)) for angle in angles]
    wheel = backlash_wheel(readings)
    assert wheel.mean_mm == pytest.approx(mean_mm)
    assert wheel.amplitude_mm == pytest.approx(amplitude_mm)
    assert math.cos(math.radians(wheel.high_spot_deg - high_deg)) == pytest.approx(1.0)
    assert wheel.tightest_mm == pytest.approx(mean_mm - amplitude_mm)
    assert math.cos(math.radians(wheel.tightest_deg - wheel.high_spot_deg)) == pytest.approx(-1.0)
    assert wheel.scatter_mm is None if places == 3 else wheel.scatter_mm == pytest.approx(0.0, abs=1e-9)


@given(st.lists(st.floats(0.0, 0.3), min_size=4, max_size=12))
def test_even_places_agree_with_the_discrete_fourier_transform(readings):
    wheel = backlash_wheel(readings)
    first = np.fft.rfft(readings)[1] * 2.0 / len(readings)
    assert wheel.amplitude_mm == pytest.approx(abs(first), abs=2e-6)
    assert wheel.smallest_mm <= wheel.mean_mm + 1e-12
    assert wheel.range_mm == pytest.approx(max(readings) - min(readings))


def test_uneven_places_between_which_the_tightest_lies():
    angles = [0.0, 50.0, 100.0, 200.0, 300.0]
    readings = [0.10 + 0.03 * math.cos(math.radians(angle + 30.0)) for angle in angles]
    wheel = backlash_wheel(readings, angles)
    assert wheel.tightest_deg == pytest.approx(150.0)
    assert wheel.tightest_mm == pytest.approx(0.07)
    assert wheel.tightest_mm < wheel.smallest_mm


def test_level_readings_have_no_high_spot():
    wheel = backlash_wheel([0.1, 0.1, 0.1, 0.1])
    assert (wheel.amplitude_mm, wheel.high_spot_deg) == (0.0, 0.0)
    assert wheel.scatter_mm == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("readings", "angles"),
    [
        ([0.1, 0.1], None),
        ([0.1, math.nan, 0.1], None),
        ([0.1, 0.1, 0.1], [0.0, 90.0]),
        ([0.1, 0.1, 0.1], [0.0, 90.0, 450.0]),
        ([0.1, 0.1, 0.1], [0.0, 90.0, math.inf]),
    ],
)
def test_refusals(readings, angles):
    with pytest.raises(RangeError):
        backlash_wheel(readings, angles)


def test_the_fit_agrees_with_scipys_curve_fit():
    angles = np.array([0.0, 40.0, 95.0, 130.0, 180.0, 230.0, 270.0, 310.0])
    readings = np.array([0.14, 0.15, 0.17, 0.18, 0.17, 0.16, 0.15, 0.14])

    def once_a_turn(theta_deg, mean, cosine, sine):
        return mean + cosine * np.cos(np.radians(theta_deg)) + sine * np.sin(np.radians(theta_deg))

    (mean, cosine, sine), _ = curve_fit(once_a_turn, angles, readings, p0=(0.15, 0.01, 0.01))
    wheel = backlash_wheel(readings.tolist(), angles.tolist())
    assert wheel.amplitude_mm == pytest.approx(math.hypot(cosine, sine), rel=1e-6)
    assert wheel.high_spot_deg == pytest.approx(math.degrees(math.atan2(sine, cosine)) % 360.0, rel=1e-5)
    assert wheel.tightest_mm == pytest.approx(mean - math.hypot(cosine, sine), rel=1e-6)
