"""Outlines of prints: measures against closed forms, a fine grid and scipy's hull; changes keep what they promise."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from core.errors import RangeError
from core.mechanics.outline import (
    are_crossed,
    extents,
    fitted,
    is_crossed,
    is_inside,
    is_on_tooth,
    measure,
    moved,
    resized,
    signed_area,
    tilted,
)
from core.mechanics.print_shapes import rounded

shares = st.floats(0.05, 0.95)
L_SHAPE = ((0.1, 0.1), (0.7, 0.1), (0.7, 0.3), (0.3, 0.3), (0.3, 0.9), (0.1, 0.9))
BOW = ((0.1, 0.1), (0.9, 0.9), (0.9, 0.1), (0.1, 0.9))


def box(along, depth, length, height):
    a, d = along - length / 2, depth - height / 2
    return ((a, d), (a + length, d), (a + length, d + height), (a, d + height))


@given(shares, shares, st.floats(0.01, 0.9), st.floats(0.01, 0.9))
def test_a_box_is_its_own_measure(along, depth, length, height):
    found = measure([box(along, depth, length, height)])
    assert (found.along, found.depth) == pytest.approx((along, depth), abs=1e-6)
    assert (found.length, found.height, found.area) == pytest.approx((length, height, length * height), abs=1e-8)


def test_an_l_by_hand():
    # Two boxes: 0.6 × 0.2 around (0.4, 0.2) and 0.2 × 0.6 around (0.2, 0.6), 0.12 each.
    found = measure([L_SHAPE])
    assert (found.area, found.along, found.depth) == pytest.approx((0.24, 0.3, 0.4))
    assert (found.length, found.height) == pytest.approx((0.6, 0.8))


def test_which_way_round_and_in_which_order_does_not_matter():
    rings = [rounded(0.23, 0.5, 0.3, 0.5), rounded(0.77, 0.4, 0.3, 0.5)]
    assert measure(rings) == measure([rings[1][::-1], rings[0]])
    assert measure([L_SHAPE]) == measure([L_SHAPE[3:] + L_SHAPE[:3]])


def test_two_patches_share_one_centre():
    found = measure([box(0.2, 0.4, 0.2, 0.4), box(0.8, 0.6, 0.2, 0.2)])
    assert (found.along, found.depth) == pytest.approx(((0.2 * 2 + 0.8) / 3, (0.4 * 2 + 0.6) / 3))
    assert (found.length, found.height) == pytest.approx((0.8, 0.5))


@pytest.mark.parametrize("ring", [L_SHAPE, rounded(0.4, 0.6, 0.5, 0.3), ((0.1, 0.2), (0.9, 0.3), (0.2, 0.8))])
def test_the_same_as_counting_grid_points(ring):
    side = 400
    grid = [((i + 0.5) / side, (j + 0.5) / side) for i in range(side) for j in range(side)]
    inside = np.array([point for point in grid if is_inside(point, ring)])
    found = measure([ring], 3.0)
    assert found.area == pytest.approx(len(inside) / side**2, rel=0.01)
    assert (found.along, found.depth) == pytest.approx(tuple(inside.mean(axis=0)), abs=0.003)
    true = inside * [3.0, 1.0]
    axes, turns = np.linalg.eigh(np.cov(true.T))
    along, up = turns[:, int(np.argmax(axes))]
    assert (found.tilt_deg - np.degrees(np.arctan2(up, along)) + 90) % 180 - 90 == pytest.approx(0.0, abs=0.5)


@given(st.lists(st.tuples(shares, shares), min_size=4, max_size=12, unique=True))
def test_hulls_have_the_area_scipy_says(points):
    cloud = np.array(points)
    if np.linalg.matrix_rank(cloud - cloud[0], tol=1e-3) < 2:
        return
    hull = ConvexHull(cloud)
    ring = tuple(tuple(cloud[i]) for i in hull.vertices)
    assert abs(signed_area(ring)) == pytest.approx(hull.volume, abs=1e-9)


@given(st.floats(-80, 80), st.floats(1.5, 6.0))
def test_tilted_by_as_much_as_told(tilt_deg, proportion):
    flat = [box(0.5, 0.5, 0.3 / proportion, 0.1)]
    found = measure(tilted(flat, tilt_deg, proportion), proportion)
    assert found.tilt_deg == pytest.approx(tilt_deg, abs=1e-4)
    assert found.area == pytest.approx(0.03 / proportion)
    assert (found.along, found.depth) == pytest.approx((0.5, 0.5), abs=1e-6)


def test_a_round_print_is_not_tilted():
    assert measure([box(0.5, 0.5, 0.2, 0.2 * 3.3)]).tilt_deg == 0.0


def test_no_room_to_tilt():
    assert tilted([box(0.5, 0.5, 0.98, 0.5)], 60.0) is None


@given(shares, shares, st.floats(-2, 2), st.floats(-2, 2))
def test_moving_stops_at_the_edge_and_keeps_the_shape(along, depth, step, rise):
    low, high = min(along, 1 - along), min(depth, 1 - depth)
    before = [box(along, depth, low, high)]
    after = moved(before, step, rise)
    assert is_on_tooth([tuple((round(a, 9), round(d, 9)) for a, d in ring) for ring in after])
    one, other = measure(before), measure(after)
    assert (one.length, one.height, one.area) == pytest.approx((other.length, other.height, other.area), abs=1e-8)


@given(shares, shares, st.floats(0.02, 1.0), st.floats(0.02, 1.0))
def test_made_as_large_as_told_and_never_off_the_tooth(along, depth, length, height):
    made = resized([rounded(along, depth, 0.05, 0.05)], length, height)
    low, high = extents(made)
    assert is_on_tooth(made)
    assert (high[0] - low[0], high[1] - low[1]) == pytest.approx((length, height), abs=1e-9)


@given(shares, shares, st.floats(0.02, 0.9), st.floats(0.02, 0.9))
def test_fitted_says_what_it_was_told_or_does_not_fit(along, depth, length, height):
    made = fitted([L_SHAPE], along, depth, length, height)
    if made is None:
        # The L reaches from a third of its length before its centroid to two thirds behind it, 3/8 and 5/8 in depth.
        ends = (along - length / 3, along + length * 2 / 3, depth - height * 3 / 8, depth + height * 5 / 8)
        assert min(ends) < 1e-6 or max(ends) > 1 - 1e-6
        return
    found = measure(made)
    told = (along, depth, length, height)
    assert (found.along, found.depth, found.length, found.height) == pytest.approx(told, abs=1e-6)


def test_crossings():
    assert is_crossed(BOW)
    assert is_crossed(((0.1, 0.1), (0.5, 0.5), (0.9, 0.1), (0.9, 0.9), (0.5, 0.5), (0.1, 0.9)))
    assert is_crossed(((0.1, 0.1), (0.9, 0.1), (0.5, 0.1), (0.5, 0.8)))
    assert not is_crossed(L_SHAPE)
    # A stroke that slid along the edge of the tooth and back is no crossing.
    assert not is_crossed(((0.1, 1.0), (0.9, 1.0), (0.6, 1.0), (0.5, 0.5)))
    assert are_crossed([box(0.4, 0.5, 0.2, 0.2), box(0.5, 0.5, 0.2, 0.2)])
    assert are_crossed([box(0.5, 0.5, 0.8, 0.8), box(0.5, 0.5, 0.1, 0.1)])
    assert not are_crossed([box(0.2, 0.5, 0.2, 0.2), box(0.8, 0.5, 0.2, 0.2)])


def test_nothing_can_be_measured_of_nothing():
    with pytest.raises(RangeError):
        measure([((0.1, 0.1), (0.9, 0.9), (0.5, 0.5))])
    with pytest.raises(RangeError):
        resized([L_SHAPE], 1.2, 0.5)
