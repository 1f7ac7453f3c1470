"""Rings, shims and adjuster nuts."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics import rings
from core.mechanics.rings import RingPair

thickness = st.floats(1.0, 10.0)
moves = st.floats(-0.9, 0.9)


@given(thickness, thickness, moves)
def test_a_move_keeps_the_sum_and_can_be_taken_back(ring_mm, opposite_mm, move_mm):
    before = RingPair(ring_mm, opposite_mm)
    after = rings.swap(before, move_mm)
    assert after.sum_mm == pytest.approx(before.sum_mm)
    assert rings.move_between_mm(before, after) == pytest.approx(move_mm, abs=1e-12)
    back = rings.swap(after, -move_mm)
    assert back.ring_gear_side_mm == pytest.approx(ring_mm)


@given(thickness, thickness)
def test_sum_and_split_give_the_pair_again(ring_mm, opposite_mm):
    pair = RingPair(ring_mm, opposite_mm)
    again = rings.pair_from_sum(pair.sum_mm, pair.split_mm)
    assert again.ring_gear_side_mm == pytest.approx(ring_mm)
    assert again.opposite_side_mm == pytest.approx(opposite_mm)
    assert rings.partner_mm(pair.sum_mm, ring_mm) == pytest.approx(opposite_mm)


@given(thickness, thickness, st.floats(0.0, 0.1))
def test_preload_is_added_on_both_sides(ring_mm, opposite_mm, add_mm):
    after = rings.swap(RingPair(ring_mm, opposite_mm), 0.0, add_mm)
    assert after.sum_mm == pytest.approx(ring_mm + opposite_mm + 2.0 * add_mm)
    assert after.split_mm == pytest.approx(ring_mm - opposite_mm, abs=1e-12)


@pytest.mark.parametrize("ring_gear_side", ["left", "right"])
def test_too_little_backlash_thins_the_ring_gear_side(ring_gear_side):
    too_little = rings.swap_for_backlash(is_too_little=True, ring_gear_side=ring_gear_side)
    too_much = rings.swap_for_backlash(is_too_little=False, ring_gear_side=ring_gear_side)
    assert too_little.thinner == ring_gear_side
    assert (too_much.thinner, too_much.thicker) == (too_little.thicker, too_little.thinner)
    with pytest.raises(ValueError, match="not left or right"):
        rings.swap_for_backlash(is_too_little=True, ring_gear_side="front")


def test_the_told_job():
    """Sum 5.05 mm kept, 2.52 + 2.53 to 2.60 + 2.45: 0.08 mm toward the pinion."""
    before, after = RingPair(2.52, 2.53), RingPair(2.60, 2.45)
    assert rings.move_between_mm(before, after) == pytest.approx(-0.08)
    assert rings.partner_mm(before.sum_mm, 2.60) == pytest.approx(2.45)


@given(st.floats(-40.0, 40.0), st.floats(0.5, 3.0), st.integers(1, 40))
def test_nuts_go_there_and_back(notches, pitch_mm, per_turn):
    travel_mm = rings.nut_travel_mm(notches, pitch_mm, per_turn)
    assert rings.nut_notches(travel_mm, pitch_mm, per_turn) == pytest.approx(notches, abs=1e-9)


def test_one_turn_of_a_nut_is_its_pitch():
    assert rings.nut_travel_mm(18, 1.5, 18) == pytest.approx(1.5)


@given(st.lists(st.floats(0.0, 0.1), max_size=6))
def test_worst_case_is_never_below_the_rule(tolerances):
    worst_mm, usual_mm = rings.stack_tolerance_mm(tolerances)
    assert worst_mm >= usual_mm - 1e-12


@given(st.floats(20.0, 60.0), st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_the_spacer_keeps_the_ring_gear_where_it_was(old_mm, old_spacer_mm, shorter_mm):
    new_mm = old_mm - shorter_mm
    spacer_mm = rings.spacer_mm(old_mm, new_mm, old_spacer_mm)
    assert new_mm + spacer_mm == pytest.approx(old_mm + old_spacer_mm)


@pytest.mark.parametrize(
    "call",
    [
        lambda: rings.pair_from_sum(0.0, 0.0),
        lambda: rings.pair_from_sum(5.0, 5.1),
        lambda: rings.pair_from_sum(5.0, -5.1),
        lambda: rings.swap(RingPair(0.2, 0.2), 0.3),
        lambda: rings.swap(RingPair(0.2, 0.2), math.nan),
        lambda: rings.partner_mm(5.0, 5.1),
        lambda: rings.partner_mm(5.0, -0.1),
        lambda: rings.nut_travel_mm(1, 0.0, 18),
        lambda: rings.nut_travel_mm(1, 1.5, 0),
        lambda: rings.nut_notches(math.inf, 1.5, 18),
        lambda: rings.stack_tolerance_mm([-0.1]),
        lambda: rings.spacer_mm(38.0, 41.0),
        lambda: rings.spacer_mm(38.0, 37.0, -1.0),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()


@pytest.mark.parametrize(
    ("places_mm", "parallel"),
    [([], True), ([2.5], True), ([2.50, 2.51], True), ([2.50, 2.5101], False), ([2.50, 2.505, 2.52], False)],
)
def test_a_ring_is_parallel_where_its_places_agree(places_mm, parallel):
    assert rings.is_parallel(places_mm) is parallel
    # The same ring measured in inches.
    assert rings.is_parallel([round(mm / 25.4, 12) * 25.4 for mm in places_mm]) is parallel
    assert rings.MOST_SPREAD_MM == 0.01
