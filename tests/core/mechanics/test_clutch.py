"""Clutch packs: laws and refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError, RangeError
from core.mechanics import clutch

inners = st.floats(20.0, 60.0)
shares = st.floats(1.05, 2.5)


@given(inners, shares)
def test_uniform_pressure_acts_further_out(inner, share):
    worn = clutch.mean_radius_mm(inner, inner * share)
    new = clutch.mean_radius_mm(inner, inner * share, clutch.UNIFORM_PRESSURE)
    assert inner < worn <= new * (1 + 1e-12) < inner * share


@given(st.integers(1, 20), st.floats(0.02, 0.2), st.floats(0.0, 20000.0), inners, shares)
def test_torque_counts_faces(faces, friction, force, inner, share):
    one = clutch.pack_torque_nm(1, friction, force, inner, inner * share)
    assert clutch.pack_torque_nm(faces, friction, force, inner, inner * share) == pytest.approx(faces * one)


def test_faces_are_not_plates():
    assert clutch.friction_faces(["gear", "carrier", "gear", "carrier"]) == 3
    assert clutch.friction_faces(["gear", "gear", "carrier"]) == 1
    assert clutch.friction_faces(["gear"]) == clutch.friction_faces([]) == 0


@given(st.floats(0.0, 0.95))
def test_locking_value_and_bias_go_there_and_back(locking):
    bias = clutch.bias_ratio(locking)
    assert clutch.locking_from_bias(bias) == pytest.approx(locking)
    assert clutch.locking_value(bias, 1.0) == pytest.approx(locking)


def test_locking_value_is_not_one_minus_weak_over_strong():
    assert clutch.locking_value(100.0, 40.0) == pytest.approx(60.0 / 140.0)
    assert clutch.locking_value(100.0, 0.0) == 1.0


@given(st.floats(10.0, 3000.0), st.floats(20.0, 60.0), st.floats(20.0, 79.0), st.floats(0.0, 2000.0))
def test_a_steeper_ramp_presses_less(torque, radius, angle, spring):
    flat, steep = (clutch.ramp_force_n(torque, radius, angle + more, spring) for more in (0.0, 10.0))
    assert steep < flat
    assert clutch.ramp_force_n(0.0, radius, angle, spring) == spring


@given(st.integers(1, 10), st.floats(0.05, 0.15), st.floats(30.0, 70.0), st.floats(20.0, 60.0), st.floats(20.0, 80.0))
def test_ramp_locking_is_what_two_packs_hold(faces, friction, mean, ramp_radius, angle):
    """Both rings share the carrier's torque; T1 − T2 is twice what one pack holds."""
    carrier = 800.0
    force = clutch.ramp_force_n(0.5 * carrier, ramp_radius, angle)
    held = 2.0 * clutch.pack_torque_nm(faces, friction, force, mean - 5.0, mean + 5.0)
    assert clutch.ramp_locking_value(faces, friction, mean, ramp_radius, angle) == pytest.approx(held / carrier)


def test_the_told_job():
    """Six plates, 24.85 mm pack with its steels; the thinnest plate at 2.02 of 2.05 new and 1.95 allowed."""
    plates = [2.05, 2.04, 2.03, 2.02, 2.05, 2.04]
    assert clutch.pack_height_mm(plates) == pytest.approx(12.23)
    assert clutch.pack_clearance_mm(12.0, plates) == pytest.approx(-0.23)
    assert min(clutch.wear_left_ratio(plate, 2.05, 1.95) for plate in plates) == pytest.approx(0.7)
    assert clutch.wear_left_ratio(1.90, 2.05, 1.95) < 0.0
    assert clutch.breakaway_share_ratio(62.0, 62.0) == 1.0


def test_unknown_model():
    with pytest.raises(InputError, match="uniform_wear, uniform_pressure"):
        clutch.mean_radius_mm(45.0, 75.0, "both")


@pytest.mark.parametrize(
    "call",
    [
        lambda: clutch.pack_height_mm([]),
        lambda: clutch.pack_height_mm([2.0, 0.0]),
        lambda: clutch.pack_clearance_mm(0.0, [2.0]),
        lambda: clutch.wear_left_ratio(2.0, 1.9, 1.95),
        lambda: clutch.wear_left_ratio(0.0, 2.05, 1.95),
        lambda: clutch.mean_radius_mm(75.0, 45.0),
        lambda: clutch.mean_radius_mm(-1.0, 45.0),
        lambda: clutch.pack_torque_nm(0, 0.1, 1.0, 45.0, 75.0),
        lambda: clutch.pack_torque_nm(1, 0.6, 1.0, 45.0, 75.0),
        lambda: clutch.pack_torque_nm(1, 0.1, -1.0, 45.0, 75.0),
        lambda: clutch.ramp_force_n(1.0, 40.0, 90.0),
        lambda: clutch.ramp_force_n(1.0, 40.0, 45.0, -1.0),
        lambda: clutch.locking_value(1.0, 2.0),
        lambda: clutch.locking_value(0.0, 0.0),
        lambda: clutch.bias_ratio(1.0),
        lambda: clutch.locking_from_bias(0.9),
        lambda: clutch.ramp_locking_value(0, 0.1, 50.0, 40.0, 45.0),
        lambda: clutch.ramp_locking_value(4, 0.0, 50.0, 40.0, 45.0),
        lambda: clutch.breakaway_share_ratio(1.0, 0.0),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
