"""Prints to be looked at: the compound alone, or with the centre and where it belongs; toes to the inside."""

from __future__ import annotations

import pytest
from reportlab.graphics.shapes import Line, Polygon, String

from core.sheet.figures import PRINT_PALETTE, as_svg
from core.sheet.figures.prints_seen import Seen, prints_seen
from core.stages.tooth import Tooth

RING = ((0.2, 0.3), (0.6, 0.3), (0.6, 0.8), (0.2, 0.8))
SIDES = {"drive": Seen((RING,), (0.4, 0.55)), "coast": Seen((RING, RING), (0.4, 0.55))}
BANDS = ((0.35, 0.6), (0.4, 0.6))


def drawn(tooth=None, bands=None):
    return prints_seen(SIDES, tooth or Tooth(assumed=()), PRINT_PALETTE, (600, 170), bands)


def of(drawing, kind):
    return [shape for shape in drawing.contents if isinstance(shape, kind)]


def test_nothing_but_the_compound_lies_on_the_flanks():
    # Two flanks with one print and two, and the two middle lines of each.
    assert len(of(drawn(), Polygon)) == 2 + 3
    assert len(of(drawn(), Line)) == 4
    assert not any("%" in text.text for text in of(drawn(), String))


def test_told_there_is_a_centre_and_a_band_on_each_flank():
    told = drawn(bands=BANDS)
    assert len(of(told, Polygon)) == len(of(drawn(), Polygon)) + 4
    # A cross on each, twice: it must be seen on the compound and between two patches.
    assert len(of(told, Line)) == len(of(drawn(), Line)) + 8
    assert (
        len({line.strokeColor for line in of(told, Line)}) == len({line.strokeColor for line in of(drawn(), Line)}) + 2
    )


@pytest.mark.parametrize("hand", ["right", "left"])
def test_toes_are_inside_and_the_flank_with_its_toe_to_the_right_stands_left(hand):
    tooth = Tooth(hand=hand, assumed=())
    texts = of(drawn(tooth), String)
    toes, heels = ([text.x for text in texts if text.text == word] for word in ("toe", "heel"))
    assert max(abs(x - 300) for x in toes) < min(abs(x - 300) for x in heels)
    left = next(text.text for text in texts if text.text in (tooth.words("drive"), tooth.words("coast")))
    assert tooth.is_toe_right("drive" if left.startswith("drive") else "coast")


def test_the_flank_is_as_long_to_its_depth_as_the_tooth():
    for proportion in (2.5, 5.0):
        flank = of(drawn(Tooth(proportion=proportion, assumed=())), Polygon)[0].points
        xs, ys = flank[::2], flank[1::2]
        # In the middle the depth is the mean of toe and heel.
        depth = (abs(ys[3] - ys[0]) + abs(ys[2] - ys[1])) / 2
        assert (max(xs) - min(xs)) / depth == pytest.approx(proportion)


def test_the_window_gets_it_as_svg():
    assert as_svg(drawn(bands=BANDS)).startswith(b"<?xml")


def test_a_print_is_thinner_where_it_has_flecks():
    fleck = ((0.30, 0.4), (0.34, 0.4), (0.34, 0.5))
    plain, flecked = (
        of(prints_seen({**SIDES, "drive": seen}, Tooth(assumed=()), PRINT_PALETTE, (600, 170)), Polygon)
        for seen in (SIDES["drive"], Seen((RING,), (0.4, 0.55), (fleck, fleck)))
    )
    assert len(flecked) == len(plain) + 2
    assert len({shape.fillColor for shape in flecked} - {shape.fillColor for shape in plain}) == 1
