"""Limits and fits: rules that hold across the tables, and refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError, RangeError
from core.mechanics import fits

sizes = st.floats(3.001, 250.0)
grades = st.integers(5, 8)


@given(sizes, grades, st.sampled_from(["h", "k", "m", "n", "p", "r", "s"]))
def test_every_class_of_a_grade_is_equally_wide(size, grade, letter):
    limits, basic = fits.deviations(size, f"{letter}{grade}"), fits.deviations(size, f"h{grade}")
    assert limits.upper_um - limits.lower_um == -basic.lower_um
    assert basic.upper_um == 0


@given(sizes, grades, st.sampled_from("KMNPR"))
def test_holes_are_as_wide_as_shafts_of_the_grade(size, grade, letter):
    hole, shaft = fits.deviations(size, f"{letter}{grade}"), fits.deviations(size, f"h{grade}")
    assert hole.upper_um - hole.lower_um == -shaft.lower_um


@given(sizes, grades)
def test_letters_climb(size, grade):
    lowers = [fits.deviations(size, f"{letter}{grade}").lower_um for letter in "kmnprs"]
    assert lowers == sorted(lowers)
    uppers = [fits.deviations(size, f"{letter}{grade}").upper_um for letter in "KMNPR"]
    assert uppers == sorted(uppers, reverse=True)


@given(sizes, st.sampled_from([("K7", "k6"), ("N7", "n6"), ("P7", "p6"), ("R7", "r6"), ("N8", "n7")]))
def test_hole_basis_and_shaft_basis_give_the_same_fit(size, pair):
    """What Δ is for: H7/p6 and P7/h6 have the same clearances."""
    hole, shaft = pair
    on_hole = fits.fit(size, f"H{hole[1]}", shaft)
    on_shaft = fits.fit(size, hole, f"h{shaft[1]}")
    assert on_shaft.smallest_mm == pytest.approx(on_hole.smallest_mm)
    assert on_shaft.largest_mm == pytest.approx(on_hole.largest_mm)


@given(sizes, grades)
def test_js_is_symmetrical_and_j_is_not(size, grade):
    limits = fits.deviations(size, f"JS{grade}")
    assert limits.upper_um == -limits.lower_um
    assert limits == fits.deviations(size, f"js{grade}")
    assert fits.deviations(35.0, "J7") != fits.deviations(35.0, "JS7")


@given(sizes, grades)
def test_limits_of_size_hold_the_deviations(size, grade):
    low, high = fits.size_limits_mm(size, f"k{grade}")
    limits = fits.deviations(size, f"k{grade}")
    assert high - low == pytest.approx((limits.upper_um - limits.lower_um) / 1000.0)


def test_size_ranges_are_over_up_to_and_including():
    assert fits.deviations(50.0, "H7").upper_um == 25
    assert fits.deviations(50.001, "H7").upper_um == 30


def test_the_told_job():
    """Cup bores 74.988 and 74.991 mm in a casing of class N7: inside the limits of size."""
    low, high = fits.size_limits_mm(75.0, "N7")
    assert low <= 74.988 <= high
    assert high + 1e-9 >= 74.991


def test_measured_clearance_is_negative_for_interference():
    assert fits.measured_clearance_mm(45.0, 45.012) == pytest.approx(-0.012)


@pytest.mark.parametrize("name", ["", "k", "k4", "k9", "g6", "G7", "j8", "J5", "ks6", "Js6", "H7 ", "jS7"])
def test_unknown_classes(name):
    if name.strip() == "H7":
        assert fits.deviations(40.0, name) == fits.deviations(40.0, "H7")
        return
    with pytest.raises(InputError, match="tolerance class"):
        fits.deviations(40.0, name)


@pytest.mark.parametrize(("hole", "shaft"), [("h7", "p6"), ("H7", "P6"), ("", "h6"), ("H7", "")])
def test_a_fit_is_a_hole_and_a_shaft(hole, shaft):
    with pytest.raises(InputError):
        fits.fit(40.0, hole, shaft)


@pytest.mark.parametrize("size", [3.0, 2.0, 250.1, float("nan")])
def test_sizes_outside_the_table(size):
    with pytest.raises(RangeError):
        fits.deviations(size, "H7")


@pytest.mark.parametrize(("bore", "seat"), [(0.0, 1.0), (1.0, 0.0)])
def test_measured_sizes_are_above_nothing(bore, seat):
    with pytest.raises(RangeError):
        fits.measured_clearance_mm(bore, seat)
