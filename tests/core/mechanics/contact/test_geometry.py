"""The set and its pitch cones: check values, identities with and without offset, refusals."""

import math
from dataclasses import replace

import numpy as np
import pytest
from contact_sets import DRAWN, SET_A, random_set

from core.errors import RangeError
from core.mechanics.bevel import bevel_geometry, tooth_depths
from core.mechanics.contact import Cut, Flank, GearSet, pitch_cones
from core.mechanics.hypoid import hypoid_offset_angle_deg, hypoid_pinion_mean_diameter_mm


def test_check_values_of_set_a():
    bevel, hypoid = pitch_cones(SET_A["bevel"]), pitch_cones(SET_A["hypoid"])
    assert bevel.gear_pitch_angle_deg == pytest.approx(77.62, abs=0.005)
    assert bevel.mean_cone_distance_mm == pytest.approx(89.44, abs=0.005)
    assert hypoid.gear_pitch_angle_deg == pytest.approx(74.13, abs=0.005)
    assert hypoid.pinion_spiral_angle_deg == pytest.approx(50.9, abs=0.05)
    assert hypoid.limit_pressure_angle_deg == pytest.approx(-3.51, abs=0.005)
    assert hypoid.pressure_angle_deg(Flank.DRIVE) + hypoid.pressure_angle_deg(Flank.COAST) == pytest.approx(40.0)


def test_without_offset_it_is_the_bevel_geometry():
    cones = pitch_cones(SET_A["bevel"])
    pair = bevel_geometry(9, 41, 205.0, 31.0, 35.0)
    _, gear = tooth_depths(pair)
    assert cones.gear_pitch_angle_deg == pytest.approx(pair.gear_pitch_angle_deg)
    assert cones.pinion_pitch_angle_deg == pytest.approx(pair.pinion_pitch_angle_deg)
    assert cones.mean_cone_distance_mm == pytest.approx(pair.mean_cone_distance_mm)
    assert cones.outer_cone_distance_mm == pytest.approx(pair.outer_cone_distance_mm)
    assert 2.0 * cones.mean_radius_mm == pytest.approx(pair.gear_mean_diameter_mm)
    assert cones.working_depth_mm == pytest.approx(2.0 * pair.mean_normal_module_mm)
    assert cones.addendum_mm == pytest.approx(gear.addendum_mm)
    assert cones.pinion_spiral_angle_deg == pytest.approx(35.0)
    assert (cones.offset_angle_deg, cones.limit_pressure_angle_deg) == pytest.approx((0.0, 0.0), abs=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_identities_of_a_hypoid(seed):
    """One tooth trace and one normal pitch in the common tangent plane, which touches both cones at the mean point."""
    gear_set = random_set(np.random.default_rng(seed), is_hypoid=True)
    cones = pitch_cones(gear_set)
    spirals = cones.pinion_spiral_angle_deg, gear_set.spiral_angle_deg
    assert cones.offset_angle_deg == pytest.approx(hypoid_offset_angle_deg(*spirals))
    from_axis = cones.mean_point - np.array([0.0, gear_set.offset_mm, 0.0])
    assert 2.0 * math.hypot(*from_axis[1:]) == pytest.approx(
        hypoid_pinion_mean_diameter_mm(2.0 * cones.mean_radius_mm, gear_set.ratio, *spirals)
    )
    frame = np.array([cones.along, cones.around, cones.outward])
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
    assert cones.mean_point == pytest.approx(cones.mean_cone_distance_mm * cones.along)
    assert cones.outward[0] == pytest.approx(math.sin(math.radians(cones.pinion_pitch_angle_deg)))
    assert cones.limit_pressure_angle_deg < 0.0


def test_a_small_offset_leads_to_none():
    nearly, none = pitch_cones(GearSet(**DRAWN, offset_mm=1e-6)), pitch_cones(SET_A["bevel"])
    assert nearly.gear_pitch_angle_deg == pytest.approx(none.gear_pitch_angle_deg, abs=1e-6)
    assert nearly.limit_pressure_angle_deg == pytest.approx(0.0, abs=1e-6)


def test_a_cutter_that_is_not_known_is_a_typical_one():
    cones = pitch_cones(replace(SET_A["bevel"], cutter_radius_mm=None))
    assert cones.is_cutter_typical
    assert cones.cutter_radius_mm == pytest.approx(0.92 * cones.mean_cone_distance_mm)
    assert not pitch_cones(SET_A["bevel"]).is_cutter_typical


@pytest.mark.parametrize(
    ("argument", "value"),
    [
        ("pinion_teeth", 4),
        ("ring_gear_teeth", 8),
        ("outer_diameter_mm", 0.0),
        ("face_width_mm", 0.0),
        ("face_width_mm", 102.5),
        ("spiral_angle_deg", 5.0),
        ("pressure_angle_deg", 45.0),
        ("offset_mm", -1.0),
        ("offset_mm", 103.0),
        ("cutter_radius_mm", 0.0),
        ("tilt_ratio", 1.5),
    ],
)
def test_refused_as_drawn(argument, value):
    with pytest.raises(RangeError) as refused:
        GearSet(**{**DRAWN, argument: value})
    assert refused.value.argument == argument


def test_an_offset_larger_than_the_gear_allows_is_refused():
    with pytest.raises(RangeError, match="offset_mm is 100, but must be smaller"):
        pitch_cones(GearSet(**DRAWN, offset_mm=100.0, cut=Cut.FORMED))
