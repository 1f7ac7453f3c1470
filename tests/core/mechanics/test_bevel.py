"""Bevel geometry: identities, limits and refusals."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics import bevel, hypoid

pinion_counts = st.integers(6, 20)
gear_counts = st.integers(21, 60)
shaft_angles = st.floats(30.0, 100.0)


@given(pinion_counts, gear_counts, shaft_angles)
def test_pitch_angles_close_the_shaft_angle_and_give_the_ratio(z1, z2, shaft_deg):
    angles = bevel.pitch_angles(bevel.gear_ratio(z1, z2), shaft_deg)
    assert angles.pinion_deg + angles.gear_deg == pytest.approx(shaft_deg)
    sines = math.sin(math.radians(angles.gear_deg)) / math.sin(math.radians(angles.pinion_deg))
    assert sines == pytest.approx(z2 / z1)


@given(pinion_counts, gear_counts)
def test_a_right_angle_gives_the_arc_tangent(z1, z2):
    assert bevel.pitch_angles(z2 / z1).gear_deg == pytest.approx(math.degrees(math.atan2(z2, z1)))


def test_mitre_pair():
    assert bevel.pitch_angles(1.0) == bevel.PitchAngles(pytest.approx(45.0), pytest.approx(45.0))


@given(pinion_counts, gear_counts, st.floats(100.0, 400.0), st.floats(10.0, 45.0), st.floats(0.0, 45.0))
def test_diameters_modules_and_cone_distances_hang_together(z1, z2, outer_mm, face_mm, spiral_deg):
    pair = bevel.bevel_geometry(z1, z2, outer_mm, face_mm, spiral_deg)
    assert pair.gear_mean_diameter_mm / pair.pinion_mean_diameter_mm == pytest.approx(pair.ratio)
    assert pair.pinion_outer_diameter_mm * pair.ratio == pytest.approx(outer_mm)
    assert pair.outer_cone_distance_mm - pair.inner_cone_distance_mm == pytest.approx(face_mm)
    assert pair.outer_transverse_module_mm / pair.mean_transverse_module_mm == pytest.approx(
        pair.outer_cone_distance_mm / pair.mean_cone_distance_mm
    )
    assert pair.mean_normal_module_mm <= pair.mean_transverse_module_mm


@given(pinion_counts, gear_counts, st.floats(0.0, 45.0))
def test_depths_mesh(z1, z2, spiral_deg):
    """Each member's tip clears the other's root by the same clearance, and its face cone runs along that root cone."""
    pair = bevel.bevel_geometry(z1, z2, 200.0, 30.0, spiral_deg)
    pinion, gear = bevel.tooth_depths(pair)
    assert pinion.addendum_mm + gear.addendum_mm == pytest.approx(2.0 * pair.mean_normal_module_mm)
    assert pinion.dedendum_mm - gear.addendum_mm == pytest.approx(gear.dedendum_mm - pinion.addendum_mm)
    assert pinion.face_angle_deg + gear.root_angle_deg == pytest.approx(90.0)
    assert gear.face_angle_deg + pinion.root_angle_deg == pytest.approx(90.0)
    assert pinion.addendum_mm > gear.addendum_mm


@given(st.floats(60.0, 120.0), st.floats(70.0, 160.0), st.floats(10.0, 40.0))
def test_spiral_angle_is_the_mean_one_at_the_mean_point_and_grows_outward(mean_mm, cutter_mm, spiral_deg):
    assert bevel.spiral_angle_at_deg(mean_mm, mean_mm, cutter_mm, spiral_deg) == pytest.approx(spiral_deg)
    if cutter_mm * math.sin(math.radians(spiral_deg)) < 0.95 * mean_mm:
        assert bevel.spiral_angle_at_deg(1.01 * mean_mm, mean_mm, cutter_mm, spiral_deg) > spiral_deg


def test_a_place_the_cutter_does_not_reach_is_refused():
    with pytest.raises(RangeError, match="sine of the spiral angle"):
        bevel.spiral_angle_at_deg(400.0, 90.0, 80.0, 35.0)


@given(st.floats(0.0, 60.0), st.floats(0.0, 1.0))
def test_hypoid_identities(pinion_deg, share):
    gear_deg = share * pinion_deg
    factor = hypoid.hypoid_enlargement(pinion_deg, gear_deg)
    assert factor >= 1.0 - 1e-12
    assert hypoid.hypoid_pinion_mean_diameter_mm(180.0, 4.0, pinion_deg, gear_deg) == pytest.approx(45.0 * factor)
    assert hypoid.hypoid_offset_angle_deg(pinion_deg, gear_deg) == pytest.approx(pinion_deg - gear_deg)


def test_hunting():
    assert bevel.is_hunting(11, 43)
    assert not bevel.is_hunting(9, 42)


@pytest.mark.parametrize(
    "call",
    [
        lambda: bevel.gear_ratio(2, 40),
        lambda: bevel.is_hunting(9, 0),
        lambda: bevel.pitch_angles(0.5),
        lambda: bevel.pitch_angles(4.0, 180.0),
        lambda: bevel.bevel_geometry(11, 43, -200.0, 30.0, 35.0),
        lambda: bevel.bevel_geometry(11, 43, 200.0, 110.0, 35.0),
        lambda: bevel.bevel_geometry(11, 43, 200.0, 30.0, 70.0),
        lambda: bevel.spiral_angle_at_deg(0.0, 90.0, 80.0, 35.0),
        lambda: bevel.tooth_depths(bevel.bevel_geometry(11, 43, 200.0, 30.0, 35.0, 120.0)),
        lambda: hypoid.hypoid_enlargement(35.0, 50.0),
        lambda: hypoid.hypoid_pinion_mean_diameter_mm(0.0, 4.0, 50.0, 35.0),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
