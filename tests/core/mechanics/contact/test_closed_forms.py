"""Closed forms and backlash against the model."""

from dataclasses import replace

import numpy as np
import pytest
from contact_sets import SET_A, random_set

from core.errors import InputError, RangeError
from core.mechanics.bevel import bevel_geometry
from core.mechanics.contact import Crown, Flank, Hand, Misalignment, contact_set, pitch_cones
from core.mechanics.contact.backlash import flank_rates, formula_rates, in_each_way, play_change_rad
from core.mechanics.contact.closed_forms import mean_point, print_motion
from core.mechanics.contact.flank import gear_flank
from core.mechanics.contact.mesh import mesh
from core.mechanics.lash import lash_rates

SEEDS = range(12)
SMALL_MM = 1e-4


def ways(rates):
    return [
        rates.normal_mean_ratio,
        rates.circumferential_mean_ratio,
        rates.circumferential_heel_ratio,
        rates.normal_heel_ratio,
    ]


@pytest.mark.parametrize("flank", Flank)
@pytest.mark.parametrize("seed", SEEDS)
def test_rates_and_slopes_at_the_mean_point_are_the_models(seed, flank):
    """Exact but for the differences the model's slopes are taken by: within 1e-6."""
    cones = pitch_cones(random_set(np.random.default_rng(seed)))
    surface = gear_flank(cones, flank)

    def rates(length_mm, height_mm):
        cone_mm = cones.mean_cone_distance_mm + length_mm
        height_mm *= cones.mean_cone_distance_mm / cone_mm
        depth = 2.0 * (height_mm + cones.dedendum_mm) / cones.working_depth_mm - 1.0
        return mesh(surface, np.array([2.0 * length_mm / cones.gear_set.face_width_mm]), np.array([depth])).rates[:, 0]

    closed = mean_point(cones, flank)
    scale = np.abs(closed.rates).max()
    assert rates(0.0, 0.0) == pytest.approx(closed.rates, abs=1e-9 * scale)
    for slope, step in ((closed.per_length, (SMALL_MM, 0.0)), (closed.per_height, (0.0, SMALL_MM))):
        numeric = (rates(*step) - rates(-step[0], -step[1])) / (2.0 * SMALL_MM)
        assert numeric == pytest.approx(slope, abs=1e-6 * np.abs(slope).max())


@pytest.mark.parametrize("seed", SEEDS)
def test_a_small_move_moves_the_print_as_the_closed_form_says(seed):
    """Within 0.4 % along and 1 % in depth at 0.02 mm: the form is taken on the pitch cone, the print sits below it."""
    pair = contact_set(random_set(np.random.default_rng(seed)))
    for flank in Flank:
        start = pair.patch(flank).centre
        for name in ("pinion_mm", "gear_mm", "offset_mm"):
            move = Misalignment(**{name: 0.02})
            end = pair.patch(flank, move).centre
            along, depth = print_motion(pair.cones, flank, move)
            assert end.along_ratio - start.along_ratio == pytest.approx(along, abs=0.004)
            assert end.depth_ratio - start.depth_ratio == pytest.approx(depth, abs=0.010)


def test_a_left_hand_set_mirrors_the_offset_in_the_closed_form():
    right, left = pitch_cones(SET_A["bevel"]), pitch_cones(replace(SET_A["bevel"], hand=Hand.LEFT))
    move = Misalignment(0.01, 0.02, 0.03)
    mirrored = replace(move, offset_mm=-0.03)
    assert print_motion(left, Flank.DRIVE, mirrored) == pytest.approx(print_motion(right, Flank.DRIVE, move))


def test_the_closed_form_goes_as_one_over_the_crown():
    cones, move = pitch_cones(SET_A["bevel"]), Misalignment(offset_mm=0.02)
    whole, half = (
        print_motion(cones, Flank.DRIVE, move, crown) for crown in (Crown(0.03, 0.015), Crown(0.015, 0.0075))
    )
    # The offset takes the crest nowhere, so all of it goes so.
    assert half == pytest.approx((2.0 * whole[0], 2.0 * whole[1]))


def test_no_closed_form_for_other_sets():
    for gear_set in (SET_A["hypoid"], replace(SET_A["hypoid"], offset_mm=0.0), replace(SET_A["bevel"], offset_mm=10.0)):
        with pytest.raises(InputError, match="generated set without offset"):
            mean_point(pitch_cones(gear_set), Flank.DRIVE)
    with pytest.raises(RangeError, match="profile_mm"):
        print_motion(pitch_cones(SET_A["bevel"]), Flank.DRIVE, Misalignment(), Crown(0.03, 0.0))


# -- backlash ---------------------------------------------------------------------------------------------------------


def test_check_values_of_set_a():
    assert ways(flank_rates(pitch_cones(SET_A["bevel"]))) == pytest.approx([0.650, 0.845, 0.991, 0.697], rel=0.01)


@pytest.mark.parametrize("is_pinion", [False, True])
def test_without_offset_the_formula_is_the_workshops(is_pinion):
    found = formula_rates(pitch_cones(SET_A["bevel"]), is_pinion=is_pinion)
    wanted = lash_rates(bevel_geometry(9, 41, 205.0, 31.0, 35.0), 20.0, 82.55, is_pinion=is_pinion)
    assert ways(found) == pytest.approx(ways(wanted))


@pytest.mark.parametrize("kind", SET_A)
def test_the_formula_holds_for_the_gear_and_is_too_small_for_the_pinion(kind):
    cones = pitch_cones(SET_A[kind])
    for formula, flanks in zip(ways(formula_rates(cones)), ways(flank_rates(cones)), strict=True):
        assert formula == pytest.approx(flanks, rel=0.04)
    for formula, flanks in zip(
        ways(formula_rates(cones, is_pinion=True)), ways(flank_rates(cones, is_pinion=True)), strict=True
    ):
        assert 1.20 < flanks / formula < 1.60


def test_of_any_set_the_flanks_say_much_more_of_the_pinion_than_the_formula_and_of_the_gear_the_same():
    rng = np.random.default_rng(3)
    said = []
    for is_hypoid in (False, True):
        for _ in range(60):
            cones = pitch_cones(random_set(rng, is_hypoid=is_hypoid))
            rates = (
                flank_rates(cones, is_pinion=moves).normal_mean_ratio
                / formula_rates(cones, is_pinion=moves).normal_mean_ratio
                for moves in (False, True)
            )
            said.append(tuple(rates))
    gear, pinion = np.asarray(said).T
    assert np.mean(np.abs(gear - 1.0) < 0.07) >= 0.9
    assert np.mean((pinion > 1.15) & (pinion < 1.75)) >= 0.9
    assert np.median(pinion[:60]) > np.median(pinion[60:]) > 1.2


@pytest.mark.parametrize("kind", SET_A)
def test_the_formula_is_exact_on_the_pitch_cone_at_the_mean_point(kind):
    cones = pitch_cones(SET_A[kind])
    on_pitch_cone = np.array([2.0 * cones.dedendum_mm / cones.working_depth_mm - 1.0])
    rates = sum(mesh(gear_flank(cones, flank), np.zeros(1), on_pitch_cone).rates[:, 0] for flank in Flank)
    for rate, is_pinion in ((rates[1], False), (rates[0], True)):
        assert ways(in_each_way(cones, rate)) == pytest.approx(ways(formula_rates(cones, is_pinion=is_pinion)))


def test_play_is_not_in_proportion_to_the_pinions_move():
    pair = contact_set(SET_A["bevel"])
    for move_mm, wanted in ((0.05, 0.333), (-0.05, 0.368)):
        change = in_each_way(pair.cones, play_change_rad(pair, Misalignment(pinion_mm=move_mm)))
        assert change.circumferential_heel_ratio / move_mm == pytest.approx(wanted, rel=0.01)


def test_play_of_small_moves_is_the_flanks_rate():
    pair = contact_set(SET_A["hypoid"])
    change = in_each_way(pair.cones, play_change_rad(pair, Misalignment(gear_mm=0.001)))
    assert change.circumferential_mean_ratio / 0.001 == pytest.approx(
        flank_rates(pair.cones).circumferential_mean_ratio, rel=0.01
    )
    assert play_change_rad(pair, Misalignment()) == 0.0
