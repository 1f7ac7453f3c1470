"""Common prints, and strokes made into outlines."""

from math import cos, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.mechanics.outline import are_crossed, is_crossed, is_on_tooth, measure
from core.mechanics.print_shapes import MOST_KEPT, SHAPES, rounded, tidied
from core.outlines import read_outline, write_outline

CENTRES = {
    "centred": (0.5, 0.5),
    "toe": (0.25, 0.5),
    "heel": (0.75, 0.5),
    "face": (0.5, 0.78),
    "flank": (0.5, 0.22),
    "bridged": (0.5, 0.5),
    "two": (0.5, 0.5),
    "edge": (0.5, 0.93),
}


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.key)
def test_a_shape_lies_where_its_name_says(shape):
    found = measure(shape.rings)
    assert (found.along, found.depth) == pytest.approx(CENTRES[shape.key], abs=1e-4)
    assert is_on_tooth(shape.rings)
    assert not are_crossed(shape.rings)
    assert len(read_outline(write_outline(shape.rings))) == len(shape.rings) == (2 if shape.key == "two" else 1)


def test_a_rounded_print_is_fuller_than_an_ellipse():
    found = measure([rounded(0.4, 0.6, 0.5, 0.6, 400)])
    assert (found.along, found.depth, found.length, found.height) == pytest.approx((0.4, 0.6, 0.5, 0.6), abs=1e-6)
    assert pi / 4 * 0.3 < found.area < 0.3


def test_a_circle_drawn_by_hand():
    drawn = [(0.5 + 0.2 * cos(2 * pi * i / 500), 0.5 + 0.2 * sin(2 * pi * i / 500)) for i in range(490)]
    ring = tidied(drawn)
    assert 8 <= len(ring) <= MOST_KEPT
    assert measure([ring]).area == pytest.approx(pi * 0.04, rel=0.05)


def test_a_tail_that_crosses_the_beginning_is_cut_off():
    ring = tidied([(0.2, 0.15), (0.3, 0.3), (0.7, 0.3), (0.7, 0.7), (0.3, 0.7), (0.2, 0.35), (0.4, 0.2), (0.42, 0.16)])
    assert not is_crossed(ring)
    assert measure([ring]).area == pytest.approx(0.16, rel=0.2)


def test_what_runs_beside_the_tooth_ends_at_its_edge():
    ring = tidied([(0.5, 0.5), (1.4, 0.5), (1.4, 1.3), (0.5, 1.3)])
    assert measure([ring]).area == pytest.approx(0.25, abs=0.01)
    assert tidied([(1.2, 0.5), (1.4, 0.5), (1.4, 1.3)]) is None
    assert tidied([(0.5, 0.5)]) is None
    assert tidied([]) is None


@given(st.lists(st.tuples(st.floats(-0.3, 1.3), st.floats(-0.3, 1.3)), max_size=40))
def test_whatever_is_scribbled_can_be_kept_or_is_nothing(stroke):
    ring = tidied(stroke)
    if ring is not None:
        assert read_outline(write_outline([ring]))
