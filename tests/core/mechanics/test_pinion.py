"""Pinion depth and pinion-bearing preload."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics import pinion
from core.mechanics.pinion import DepthMark, EtchRule, ShimPlace, SleeveStep

marks = st.floats(-10.0, 10.0)


@given(marks, marks)
def test_the_two_rules_are_opposites(old, new):
    one = pinion.shim_change(old, new, EtchRule.OLD_MINUS_NEW)
    assert pinion.shim_change(old, new, EtchRule.NEW_MINUS_OLD) == -one
    assert pinion.shim_change(new, old, EtchRule.OLD_MINUS_NEW) == -one


@given(st.floats(90.0, 110.0), st.floats(-0.2, 0.2))
def test_the_two_marks_are_opposites(nominal, etched):
    added = pinion.wanted_depth_mm(nominal, etched, DepthMark.ADDED)
    taken_off = pinion.wanted_depth_mm(nominal, etched, DepthMark.TAKEN_OFF)
    assert added + taken_off == pytest.approx(2.0 * nominal)


@given(st.floats(90.0, 110.0), st.floats(15.0, 25.0), st.floats(0.3, 3.0))
def test_the_shim_gives_the_depth(depth, bearing, shim):
    inward = depth + bearing + shim
    assert pinion.depth_shim_mm(inward, bearing, depth, ShimPlace.PUSHES_IN) == pytest.approx(shim)
    outward = depth + bearing - shim
    assert pinion.depth_shim_mm(outward, bearing, depth, ShimPlace.PUSHES_OUT) == pytest.approx(shim)


@given(st.floats(0.5, 3.0), st.floats(-0.4, 0.4), st.sampled_from(list(ShimPlace)))
def test_a_move_can_be_taken_back(shim, inward, place):
    moved = pinion.shim_for_move_mm(shim, inward, place)
    assert pinion.shim_for_move_mm(moved, -inward, place) == pytest.approx(shim)
    assert (moved >= shim) is ((inward >= 0.0) is (place is ShimPlace.PUSHES_IN)) or moved == shim


def test_marks_and_rules_agree():
    """Marks added to the depth and a shim that pushes in: the change is old − new, and so on for the other pair."""
    for depth_mark, place, rule in (
        (DepthMark.ADDED, ShimPlace.PUSHES_IN, EtchRule.OLD_MINUS_NEW),
        (DepthMark.ADDED, ShimPlace.PUSHES_OUT, EtchRule.NEW_MINUS_OLD),
        (DepthMark.TAKEN_OFF, ShimPlace.PUSHES_IN, EtchRule.NEW_MINUS_OLD),
    ):
        casing = 121.0 if place is ShimPlace.PUSHES_IN else 117.0
        shims = [
            pinion.depth_shim_mm(casing, 20.0, pinion.wanted_depth_mm(98.5, etched, depth_mark), place)
            for etched in (0.05, -0.02)
        ]
        assert shims[1] - shims[0] == pytest.approx(pinion.shim_change(0.05, -0.02, rule))


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(5.0, 40.0))
def test_the_spacer_closes_the_gap(now, wanted, rate):
    spacer = pinion.spacer_for_torque_mm(12.5, now, wanted, rate)
    assert now + (12.5 - spacer) * rate == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize(
    ("torque", "step"),
    [
        (1.0, SleeveStep.TIGHTEN),
        (1.1, SleeveStep.DONE),
        (2.3, SleeveStep.DONE),
        (2.31, SleeveStep.NEW_SLEEVE),
    ],
)
def test_crush_sleeve(torque, step):
    assert pinion.sleeve_step(torque, 1.1, 2.3) is step
    assert pinion.SLEEVE_STEPS[step]


def test_every_place_is_said_in_words():
    assert set(pinion.SHIM_PLACES) == set(ShimPlace)


@pytest.mark.parametrize(
    "call",
    [
        lambda: pinion.shim_change(math.nan, 0.0, EtchRule.OLD_MINUS_NEW),
        lambda: pinion.wanted_depth_mm(0.0, 0.0, DepthMark.ADDED),
        lambda: pinion.wanted_depth_mm(98.0, math.inf, DepthMark.ADDED),
        lambda: pinion.depth_shim_mm(118.0, 20.3, 98.45, ShimPlace.PUSHES_IN),
        lambda: pinion.depth_shim_mm(120.0, 20.3, 98.45, ShimPlace.PUSHES_OUT),
        lambda: pinion.depth_shim_mm(0.0, 20.3, 98.45, ShimPlace.PUSHES_OUT),
        lambda: pinion.shim_for_move_mm(0.1, -0.2, ShimPlace.PUSHES_IN),
        lambda: pinion.shim_for_move_mm(-0.1, 0.0, ShimPlace.PUSHES_IN),
        lambda: pinion.spacer_for_torque_mm(0.0, 1.0, 1.0, 20.0),
        lambda: pinion.spacer_for_torque_mm(1.0, 0.0, 30.0, 20.0),
        lambda: pinion.spacer_for_torque_mm(12.5, 1.0, 1.0, 0.0),
        lambda: pinion.sleeve_step(-1.0, 1.1, 2.3),
        lambda: pinion.sleeve_step(1.0, 2.3, 1.1),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()


def test_a_rule_must_be_one_of_the_two():
    with pytest.raises(ValueError, match="neither"):
        pinion.shim_change(1.0, 2.0, "neither")
