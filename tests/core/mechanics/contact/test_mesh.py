"""Flanks and their mesh: tangency, the equation of meshing, what a move does, refusals."""

import math
from dataclasses import replace

import numpy as np
import pytest
from contact_sets import DRAWN, SET_A, random_set

from core.errors import RangeError
from core.mechanics.bevel import spiral_angle_at_deg
from core.mechanics.contact import Cut, Flank, GearSet, contact_set, pitch_cones
from core.mechanics.contact.flank import about_axis, gear_flank
from core.mechanics.contact.mesh import mesh

GRID = np.meshgrid(np.linspace(-1.0, 1.0, 9), np.linspace(-1.0, 1.0, 7), indexing="ij")
KINDS = [(is_hypoid, cut) for is_hypoid in (False, True) for cut in Cut]


@pytest.mark.parametrize("flank", Flank)
@pytest.mark.parametrize(("is_hypoid", "cut"), KINDS)
def test_the_normal_is_square_to_the_flank_and_the_places_are_found(is_hypoid, cut, flank):
    surface = gear_flank(pitch_cones(random_set(np.random.default_rng(7), is_hypoid=is_hypoid, cut=cut)), flank)
    theta, height = surface.locate(*GRID)
    point, normal = surface.surface(theta, height)
    for step in ((1e-6, 0.0), (0.0, 1e-4)):
        along, _ = surface.surface(theta + step[0], height + step[1])
        tangent = (along - point) / np.linalg.norm(along - point, axis=-1, keepdims=True)
        assert np.abs((tangent * normal).sum(-1)).max() < 1e-5
    assert np.linalg.norm(normal, axis=-1) == pytest.approx(1.0)
    angle, cones = math.radians(surface.cones.gear_pitch_angle_deg), surface.cones
    cone_mm = np.hypot(point[..., 0], point[..., 1]) * math.sin(angle) + point[..., 2] * math.cos(angle)
    wanted = cones.mean_cone_distance_mm + 0.5 * cones.gear_set.face_width_mm * GRID[0]
    assert cone_mm == pytest.approx(wanted, abs=1e-8)


@pytest.mark.parametrize("flank", Flank)
@pytest.mark.parametrize(("is_hypoid", "cut"), KINDS)
def test_the_mean_point_has_the_drawings_angles_and_is_in_contact(is_hypoid, cut, flank):
    gear_set = random_set(np.random.default_rng(11), is_hypoid=is_hypoid, cut=cut)
    cones = pitch_cones(gear_set)
    surface = gear_flank(cones, flank)
    point, normal = surface.at_mean_point()
    assert point == pytest.approx(cones.mean_point, abs=1e-9)
    pressure, spiral = math.radians(cones.pressure_angle_deg(flank)), math.radians(gear_set.spiral_angle_deg)
    assert normal @ cones.outward == pytest.approx(math.sin(pressure))
    assert normal @ cones.along == pytest.approx(flank.sign * math.cos(pressure) * math.sin(spiral))
    on_pitch_cone = np.array([2.0 * cones.dedendum_mm / cones.working_depth_mm - 1.0])
    assert mesh(surface, np.zeros(1), on_pitch_cone).roll_rad == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("flank", Flank)
@pytest.mark.parametrize(("is_hypoid", "cut"), KINDS)
def test_at_the_instant_the_sliding_has_no_part_along_the_normal(is_hypoid, cut, flank):
    gear_set = random_set(np.random.default_rng(13), is_hypoid=is_hypoid, cut=cut)
    found = mesh(gear_flank(pitch_cones(gear_set), flank), *GRID)
    from_pinion = found.points_mm - np.array([0.0, gear_set.offset_mm, 0.0])
    sliding = np.cross([0.0, 0.0, 1.0], found.points_mm) + gear_set.ratio * np.cross([1.0, 0.0, 0.0], from_pinion)
    assert np.abs((sliding * found.normals).sum(-1)).max() < 1e-9 * np.abs(sliding).max()
    assert found.lever_mm == pytest.approx(np.abs(np.cross(found.points_mm, found.normals)[..., 2]))
    # The instants run on evenly over the flank: neither solution was mixed with the other.
    assert np.abs(np.diff(found.roll_rad, axis=0)).max() < gear_set.pitch_rad


def test_a_generated_trace_is_the_cutters_circle():
    """The spiral angle along the pitch cone is that of an arc (ISO 23509, from memory)."""
    cones = pitch_cones(SET_A["bevel"])
    surface = gear_flank(cones, Flank.DRIVE)
    along = np.array([-1.0, 0.0, 0.4, 1.0])
    on_pitch_cone = np.full_like(along, 2.0 * cones.dedendum_mm / cones.working_depth_mm - 1.0)
    point, normal = surface.at(along, on_pitch_cone)
    around = np.arctan2(point[:, 1], point[:, 0])
    generator = np.stack([np.cos(around), np.sin(around), np.zeros(4)], 1) * math.sin(
        math.radians(cones.gear_pitch_angle_deg)
    ) + np.array([0.0, 0.0, math.cos(math.radians(cones.gear_pitch_angle_deg))])
    sideways = np.cross([0.0, 0.0, 1.0], generator)
    sideways /= np.linalg.norm(sideways, axis=1, keepdims=True)
    spiral = np.arctan2((normal * generator).sum(1), -(normal * sideways).sum(1))
    wanted = [
        spiral_angle_at_deg(cones.mean_cone_distance_mm + 15.5 * u, cones.mean_cone_distance_mm, 82.55, 35.0)
        for u in along
    ]
    assert np.degrees(spiral) == pytest.approx(wanted, abs=1e-6)


def test_turning_about_the_axis():
    assert about_axis(np.array([1.0, 0.0, 5.0]), np.array(0.5 * math.pi)) == pytest.approx([0.0, 1.0, 5.0], abs=1e-15)


def test_a_tilt_of_none_stands_on_the_pitch_cone():
    cones = pitch_cones(replace(SET_A["hypoid"], tilt_ratio=0.0))
    assert gear_flank(cones, Flank.DRIVE).axes[2] == pytest.approx(-cones.outward)
    tilted = gear_flank(pitch_cones(SET_A["hypoid"]), Flank.DRIVE)
    lean = math.acos(tilted.axes[2] @ -cones.outward)
    assert math.tan(lean) == pytest.approx(cones.dedendum_mm / cones.mean_cone_distance_mm)


def test_a_small_cutter_is_refused():
    with pytest.raises(RangeError, match="cutter_radius_mm is 20, but must be more than"):
        gear_flank(pitch_cones(GearSet(**{**DRAWN, "cutter_radius_mm": 20.0})), Flank.DRIVE)


def test_a_place_the_cutter_does_not_reach_is_refused():
    surface = gear_flank(pitch_cones(SET_A["bevel"]), Flank.DRIVE)
    with pytest.raises(RangeError, match="larger, so that the cutter reaches the face"):
        surface.locate(np.array([9.0]), np.array([0.0]))


def test_an_offset_that_leaves_no_pressure_angle_is_refused():
    drawn = {**DRAWN, "offset_mm": 60.0, "pressure_angle_deg": 10.0, "spiral_angle_deg": 15.0}
    with pytest.raises(RangeError, match="drive pressure angle"):
        gear_flank(pitch_cones(GearSet(**drawn)), Flank.DRIVE)


def test_a_flank_without_a_conjugate_pinion_is_refused():
    drawn = {**DRAWN, "pinion_teeth": 12, "ring_gear_teeth": 59, "offset_mm": 53.0, "face_width_mm": 50.0}
    drawn |= {"pressure_angle_deg": 28.0, "spiral_angle_deg": 47.6, "cutter_radius_mm": 107.0}
    with pytest.raises(RangeError, match="no pinion meets all of this flank"):
        contact_set(GearSet(**drawn))


def test_teeth_that_leave_before_the_next_ones_come_are_refused():
    drawn = {**DRAWN, "pinion_teeth": 7, "ring_gear_teeth": 18, "offset_mm": 58.0, "face_width_mm": 6.0}
    drawn |= {"pressure_angle_deg": 29.8, "spiral_angle_deg": 43.2, "cutter_radius_mm": 135.0}
    with pytest.raises(RangeError, match="contact ratio"):
        contact_set(GearSet(**drawn))


@pytest.mark.parametrize("places", [(2, 20), (40, 2)])
def test_too_coarse_a_grid_is_refused(places):
    with pytest.raises(RangeError, match="places"):
        contact_set(SET_A["bevel"], places)
