"""Backlash: moves, ways of measuring, recommended values."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics import lash, recommended
from core.mechanics.bevel import bevel_geometry

moves = st.floats(-1.0, 1.0)
pressure = st.floats(14.0, 30.0)
spirals = st.floats(0.0, 50.0)


@given(moves, pressure, spirals)
def test_limits_of_the_pitch_angle(move_mm, pressure_deg, spiral_deg):
    """A crown gear (90°) is a rack: Δj_t = 2 ΔA tan α/cos β. A cylinder (0°) gains nothing."""
    rack_mm = 2.0 * move_mm * math.tan(math.radians(pressure_deg)) / math.cos(math.radians(spiral_deg))
    assert lash.circumferential_change_mm(move_mm, 90.0, pressure_deg, spiral_deg) == pytest.approx(rack_mm)
    assert lash.circumferential_change_mm(move_mm, 0.0, pressure_deg, spiral_deg) == 0.0


@given(moves, st.floats(1.0, 90.0), pressure, spirals)
def test_normal_and_circumferential_go_there_and_back(move_mm, pitch_deg, pressure_deg, spiral_deg):
    normal_mm = lash.normal_change_mm(move_mm, pitch_deg, pressure_deg)
    tangential_mm = lash.circumferential_change_mm(move_mm, pitch_deg, pressure_deg, spiral_deg)
    assert lash.normal_from_tangential_mm(tangential_mm, pressure_deg, spiral_deg) == pytest.approx(normal_mm)
    assert abs(tangential_mm) >= abs(normal_mm)


@given(st.floats(-0.3, 0.3), st.floats(0.1, 1.5))
def test_move_for_change_goes_there_and_back(change_mm, rate):
    assert lash.move_for_change_mm(change_mm, rate) * rate == pytest.approx(change_mm)


@given(st.integers(8, 16), st.integers(33, 50), st.floats(0.0, 40.0), st.booleans())
def test_rates_order(z1, z2, spiral_deg, is_pinion):
    rates = lash.lash_rates(bevel_geometry(z1, z2, 200.0, 28.0, spiral_deg), 20.0, is_pinion=is_pinion)
    assert rates.normal_mean_ratio < rates.circumferential_mean_ratio < rates.circumferential_heel_ratio
    assert rates.normal_heel_ratio < rates.circumferential_heel_ratio


def test_the_pinion_uses_its_own_pitch_angle():
    pair = bevel_geometry(14, 39, 176.893, 25.4, 35.0)
    gear, pinion = lash.lash_rates(pair, 20.0, 114.3), lash.lash_rates(pair, 20.0, 114.3, is_pinion=True)
    assert gear.normal_mean_ratio / pinion.normal_mean_ratio == pytest.approx(39 / 14)


def test_the_told_job():
    """43 and 11 teeth, 200 mm: one hundredth of backlash square to the tooth at the heel is 0.0141 mm of carrier."""
    rates = lash.lash_rates(bevel_geometry(11, 43, 200.0, 30.0, 35.0), 20.0)
    assert lash.move_for_change_mm(0.01, rates.normal_heel_ratio) == pytest.approx(0.0141, abs=0.00005)
    assert lash.move_for_change_mm(0.080 - 0.135, rates.normal_heel_ratio) == pytest.approx(-0.078, abs=0.0006)


@given(st.floats(0.0, 1.0), st.floats(50.0, 150.0), st.floats(50.0, 150.0), st.floats(-70.0, 70.0))
def test_tangential_reading_goes_there_and_back(reading_mm, gauge_mm, reference_mm, stem_deg):
    there_mm = lash.tangential_backlash_mm(reading_mm, gauge_mm, reference_mm, stem_deg)
    back_mm = lash.tangential_backlash_mm(there_mm, reference_mm, gauge_mm) * math.cos(math.radians(stem_deg))
    assert back_mm == pytest.approx(reading_mm)


def test_a_tangential_stem_at_the_reference_radius_needs_no_correction():
    assert lash.tangential_backlash_mm(0.11, 90.0, 90.0) == pytest.approx(0.11)


@given(st.floats(0.0, 5.0), st.floats(50.0, 150.0), st.floats(2.0, 6.0))
def test_an_angle_at_the_pinion_is_the_ratio_times_the_ring_gears(angle_deg, radius_mm, ratio):
    at_gear_mm = lash.backlash_from_angle_mm(angle_deg, radius_mm)
    assert lash.backlash_from_angle_mm(angle_deg * ratio, radius_mm, ratio) == pytest.approx(at_gear_mm)


def test_three_ways_of_measuring_are_named():
    assert set(lash.WAYS_OF_MEASURING) == {
        lash.TOOTH_NORMAL_AT_HEEL,
        lash.TANGENTIAL_AT_RADIUS,
        lash.ANGLE_AT_SHAFT,
    }


@given(st.floats(0.6, 25.0))
def test_recommended_backlash_grows_with_the_module(module_mm):
    low_mm, high_mm = recommended.recommended_backlash_mm(module_mm)
    assert low_mm < high_mm
    assert recommended.recommended_backlash_mm(25.4)[1] >= high_mm


@pytest.mark.parametrize(
    "call",
    [
        lambda: lash.normal_change_mm(math.nan, 70.0, 20.0),
        lambda: lash.normal_change_mm(0.1, 91.0, 20.0),
        lambda: lash.normal_change_mm(0.1, 70.0, 0.0),
        lambda: lash.normal_from_tangential_mm(0.1, 20.0, 80.0),
        lambda: lash.move_for_change_mm(0.1, 0.0),
        lambda: lash.tangential_backlash_mm(-0.1, 90.0, 90.0),
        lambda: lash.tangential_backlash_mm(0.1, 0.0, 90.0),
        lambda: lash.tangential_backlash_mm(0.1, 90.0, 90.0, 80.0),
        lambda: lash.backlash_from_angle_mm(50.0, 90.0),
        lambda: lash.backlash_from_angle_mm(1.0, 90.0, 0.5),
        lambda: recommended.recommended_backlash_inch(0.9),
        lambda: recommended.recommended_backlash_inch(50.0),
        lambda: recommended.recommended_backlash_mm(0.0),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
