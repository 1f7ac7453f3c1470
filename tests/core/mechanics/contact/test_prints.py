"""The print: check values of set A, laws, its edge, and what it does not depend on."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from contact_sets import DRAWN, SET_A, random_set

from core.errors import RangeError
from core.mechanics.contact import Crown, Cut, Flank, GearSet, Hand, Misalignment, contact_set
from core.mechanics.contact.outline import area_ratio
from core.mechanics.contact.patch import patch

MOVES = (
    Misalignment(),
    Misalignment(pinion_mm=0.10),
    Misalignment(gear_mm=0.10),
    Misalignment(offset_mm=0.10),
)
TABLE = {
    ("bevel", Flank.DRIVE): ((58, 82), (50.2, 50.1), (49.3, 61.8), (53.1, 49.3), (38.7, 58.0)),
    ("bevel", Flank.COAST): ((57, 78), (50.1, 50.0), (54.2, 62.9), (51.8, 48.1), (60.7, 58.1)),
    ("hypoid", Flank.DRIVE): ((56, 81), (50.2, 50.1), (55.0, 59.9), (56.0, 52.1), (42.3, 58.4)),
    ("hypoid", Flank.COAST): ((56, 79), (50.2, 49.8), (49.6, 57.8), (48.4, 52.8), (59.6, 57.8)),
}
"""Derived check values of set A [%]: length and depth of the print, its centre in place and after each of `MOVES`."""


@cache
def set_a(kind, places=(40, 20)):
    return contact_set(SET_A[kind], places)


def percent(found):
    return 100.0 * np.array([found.centre.along_ratio, found.centre.depth_ratio])


@pytest.mark.parametrize(("kind", "flank"), TABLE)
def test_check_values_of_set_a(kind, flank):
    extents, *centres = TABLE[kind, flank]
    found = set_a(kind).patch(flank)
    assert 100.0 * found.along_extent_ratio == pytest.approx(extents[0], abs=2.0)
    assert 100.0 * found.depth_extent_ratio == pytest.approx(extents[1], abs=2.0)
    assert found.runs_off == ()
    for move, centre in zip(MOVES, centres, strict=True):
        assert percent(set_a(kind).patch(flank, move)) == pytest.approx(centre, abs=0.1)


@pytest.mark.parametrize(("kind", "flank"), TABLE)
def test_the_grid_is_fine_enough(kind, flank):
    for move in MOVES:
        coarse, fine = (set_a(kind, places).patch(flank, move) for places in ((40, 20), (160, 80)))
        assert percent(coarse) == pytest.approx(percent(fine), abs=0.05)
        assert coarse.along_extent_ratio == pytest.approx(fine.along_extent_ratio, abs=0.02)
        assert coarse.depth_extent_ratio == pytest.approx(fine.depth_extent_ratio, abs=0.02)
        assert coarse.area_ratio == pytest.approx(fine.area_ratio, rel=0.03)
        assert coarse.tilt_deg == pytest.approx(fine.tilt_deg, abs=0.2)


@pytest.mark.parametrize("is_hypoid", [False, True])
@pytest.mark.parametrize("cut", Cut)
def test_in_place_without_crown_the_whole_flank_touches(is_hypoid, cut):
    pair = contact_set(random_set(np.random.default_rng(3), is_hypoid=is_hypoid, cut=cut))
    for flank in Flank:
        assert np.all(pair.gap_mm(flank, crown=Crown(0.0, 0.0)) == 0.0)
        found = pair.patch(flank, crown=Crown(0.0, 0.0))
        assert found.area_ratio == pytest.approx(1.0)
        assert percent(found) == pytest.approx([50.0, 50.0])
        assert (found.along_ends, found.depth_ends) == ((0.0, 1.0), (0.0, 1.0))
        assert found.runs_off == ("toe", "heel", "root", "tip")


@pytest.mark.parametrize(("kind", "flank"), TABLE)
def test_the_flanks_touch_and_never_bite(kind, flank):
    for move in (*MOVES, Misalignment(0.1, -0.2, 0.15)):
        gap_mm = set_a(kind).gap_mm(flank, move)
        assert -1e-4 < gap_mm.min() < 1e-4


@pytest.mark.parametrize(("kind", "flank"), TABLE)
def test_a_left_hand_set_is_the_mirror_image(kind, flank):
    left = contact_set(replace(SET_A[kind], hand=Hand.LEFT))
    for move in (Misalignment(0.1, -0.05, 0.0), Misalignment(0.02, 0.03, 0.08)):
        mirrored = replace(move, offset_mm=-move.offset_mm)
        assert left.patch(flank, mirrored) == set_a(kind).patch(flank, move)


@pytest.mark.parametrize(("kind", "flank"), TABLE)
def test_the_centre_moves_evenly(kind, flank):
    """Steps of 2 µm move it by nearly the same each time: it does not jump from place to place of the grid."""
    for name in ("pinion_mm", "gear_mm", "offset_mm"):
        centres = [percent(set_a(kind).patch(flank, Misalignment(**{name: 0.002 * k}))) for k in range(30)]
        steps = np.diff(centres, axis=0)
        assert np.abs(np.diff(steps, axis=0)).max() < 0.02


@pytest.mark.parametrize(("kind", "flank"), TABLE)
def test_the_answer_goes_as_one_over_the_crown(kind, flank):
    """The same print from half the crown under half the film moves twice as far; what the film shows is their ratio."""
    whole, half = Crown(0.030, 0.015), Crown(0.015, 0.0075)
    in_place = set_a(kind).patch(flank, crown=whole, film_mm=0.006)
    same = set_a(kind).patch(flank, crown=half, film_mm=0.003)
    assert percent(in_place) == pytest.approx(percent(same))
    assert in_place.along_extent_ratio == pytest.approx(same.along_extent_ratio)
    # dE turns no crest along the tooth, so all of what it does there is the opening's.
    far = percent(set_a(kind).patch(flank, Misalignment(offset_mm=0.02), whole)) - percent(in_place)
    near = percent(set_a(kind).patch(flank, Misalignment(offset_mm=0.02), half, 0.003)) - percent(in_place)
    assert near[0] / far[0] == pytest.approx(2.0, abs=0.1)


@pytest.mark.parametrize("kind", SET_A)
def test_a_thicker_film_marks_more(kind):
    thin, thick = (set_a(kind).patch(Flank.DRIVE, film_mm=film) for film in (0.004, 0.009))
    assert thin.area_ratio < thick.area_ratio
    assert thin.along_ends[0] > thick.along_ends[0]
    assert thin.along_ends[1] < thick.along_ends[1]


def test_a_print_that_runs_off_says_so():
    found = set_a("bevel").patch(Flank.DRIVE, Misalignment(pinion_mm=0.3, offset_mm=0.3))
    assert "tip" in found.runs_off
    assert "heel" not in found.runs_off


def test_the_size_of_the_set_does_not_matter():
    """Every length stretched, nothing but angles and ratios left: the same print."""
    lengths = ("outer_diameter_mm", "face_width_mm", "cutter_radius_mm")
    stretched = {key: value * (1.07 if key in lengths else 1.0) for key, value in DRAWN.items()}
    pair = contact_set(GearSet(**stretched, offset_mm=25.0 * 1.07, cut=Cut.FORMED))
    move = Misalignment(0.05 * 1.07, 0.03 * 1.07, -0.02 * 1.07)
    found = pair.patch(Flank.COAST, move, Crown(0.03 * 1.07, 0.015 * 1.07), 0.006 * 1.07)
    plain = set_a("hypoid").patch(Flank.COAST, Misalignment(0.05, 0.03, -0.02))
    assert percent(found) == pytest.approx(percent(plain), rel=1e-6)
    assert found.tilt_deg == pytest.approx(plain.tilt_deg, rel=1e-5)


@pytest.mark.parametrize(("kind", "flank"), TABLE)
def test_the_outline_holds_what_is_marked(kind, flank):
    for move in (Misalignment(), Misalignment(0.1, 0.0, 0.1), Misalignment(0.3, 0.0, -0.3)):
        found, loops = set_a(kind).patch(flank, move), set_a(kind).outline(flank, move)
        assert sum(area_ratio(loop) for loop in loops) == pytest.approx(found.area_ratio, abs=1e-4)
        points = np.concatenate(loops)
        assert points.min(0) == pytest.approx([found.along_ends[0], found.depth_ends[0]], abs=1e-5)
        assert points.max(0) == pytest.approx([found.along_ends[1], found.depth_ends[1]], abs=1e-5)


def test_the_outline_of_the_whole_flank_is_its_border():
    (loop,) = set_a("bevel").outline(Flank.DRIVE, crown=Crown(0.0, 0.0))
    assert area_ratio(loop) == pytest.approx(1.0, abs=1e-5)


# -- the print of gaps that are known ---------------------------------------------------------------------------------


def field(of, places=(40, 20)):
    x, y = np.meshgrid(np.linspace(0.0, 1.0, places[0]), np.linspace(0.0, 1.0, places[1]), indexing="ij")
    return of(x, y)


def test_a_straight_edge_is_found_between_the_places():
    found = patch(field(lambda x, y: x - 0.333), 0.006, 31.0, 5.0)
    assert found.area_ratio == pytest.approx(0.339)
    assert found.centre.along_ratio == pytest.approx(0.1695)
    assert found.along_ends == pytest.approx((0.0, 0.339))


def test_the_tilt_of_an_oblique_ellipse():
    """An ellipse on a flank of 30 x 30 mm, its long axis 25° up toward the tip at the heel."""
    c, s = np.cos(np.radians(25.0)), np.sin(np.radians(25.0))

    def gap(x, y):
        along, across = c * (x - 0.5) + s * (y - 0.5), c * (y - 0.5) - s * (x - 0.5)
        return 0.006 * ((along / 0.35) ** 2 + (across / 0.15) ** 2)

    found = patch(field(gap, (160, 160)), 0.006, 30.0, 30.0)
    assert found.tilt_deg == pytest.approx(25.0, abs=0.1)
    assert found.area_ratio == pytest.approx(np.pi * 0.35 * 0.15, rel=0.002)
    assert patch(field(lambda x, y: gap(x, 1.0 - y), (160, 160)), 0.006, 30.0, 30.0).tilt_deg == pytest.approx(
        -25.0, abs=0.1
    )


@pytest.mark.parametrize(
    "call",
    [
        lambda: Misalignment(pinion_mm=float("nan")),
        lambda: Misalignment(gear_mm=float("inf")),
        lambda: Misalignment(offset_mm=float("nan")),
        lambda: Crown(-0.01, 0.015),
        lambda: Crown(0.03, -0.01),
        lambda: set_a("bevel").patch(Flank.DRIVE, film_mm=0.0),
        lambda: set_a("bevel").outline(Flank.DRIVE, film_mm=0.0),
        lambda: patch(field(lambda x, y: 0.02 + x), 0.006, 31.0, 5.0),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
