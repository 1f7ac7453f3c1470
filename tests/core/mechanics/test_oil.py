"""Oil: grades, viscosity, fill, containers."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics import oil, viscosity

hot = st.floats(3.0, 60.0)
thicker = st.floats(3.5, 15.0)


@given(st.floats(3.8, 100.0))
def test_the_grade_of_an_oil_holds_its_viscosity(at_100):
    limits = oil.grade_limits(oil.oil_grade(at_100))
    assert limits.least_mm2_s <= at_100 < limits.below_mm2_s


@given(hot, thicker, st.floats(-10.0, 140.0))
def test_viscosity_falls_with_temperature(at_100, ratio, temperature):
    try:
        here = viscosity.viscosity_at_mm2_s(at_100 * ratio, at_100, temperature)
        warmer = viscosity.viscosity_at_mm2_s(at_100 * ratio, at_100, temperature + 5.0)
    except RangeError as refused:
        assert refused.argument == "viscosity at that temperature"
        return
    assert warmer < here


@given(hot, st.floats(4.0, 12.0))
def test_a_thinner_oil_at_40_has_the_higher_index(at_100, ratio):
    index = viscosity.viscosity_index(at_100 * ratio, at_100)
    assert viscosity.viscosity_index(at_100 * ratio * 0.98, at_100) > index


@pytest.mark.parametrize("at_100", [2.5, 5.05, 8.86, 14.0, 45.0, 80.0])
def test_both_procedures_meet_at_one_hundred(at_100):
    low, high = 3.0 * at_100, 40.0 * at_100
    for _ in range(100):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if viscosity.viscosity_index(middle, at_100) > 100.0 else (low, middle)
    assert viscosity.viscosity_index(high * (1 + 1e-9), at_100) == pytest.approx(100.0, abs=1e-4)
    assert viscosity.viscosity_index(low * (1 - 1e-9), at_100) == pytest.approx(100.0, abs=1e-4)


CALIBRATION = [(-10.0, 0.0), (5.0, 0.3), (30.0, 0.9), (60.0, 1.4)]


@given(st.floats(-10.0, 60.0))
def test_level_and_volume_go_there_and_back(level):
    assert oil.level_mm(oil.fill_volume_l(level, CALIBRATION), CALIBRATION) == pytest.approx(level, abs=1e-9)


def test_calibration_points_are_met():
    for level, volume in CALIBRATION:
        assert oil.fill_volume_l(level, CALIBRATION) == pytest.approx(volume)


@given(
    st.floats(0.05, 12.0), st.lists(st.sampled_from([0.25, 0.5, 0.946352946, 1.0, 2.0, 5.0]), min_size=1, max_size=4)
)
def test_containers_hold_enough_and_none_is_spare(needed, sizes):
    bought = oil.containers(needed, sizes)
    total = sum(size * count for size, count in bought.items())
    assert total >= needed - 1e-9
    assert all(total - size < needed - 1e-9 for size in bought)


def test_the_told_job():
    """1.15 US quarts from one-litre bottles: two."""
    assert oil.containers(1.15 * 0.946352946, [1.0]) == {1.0: 2}


def test_exact_fills_leave_nothing():
    assert oil.containers(1.5, [1.0, 0.5]) == {1.0: 1, 0.5: 1}
    assert oil.containers(0.3, [0.1]) == {0.1: 3}


@given(st.floats(0.1, 5.0), st.floats(0.0, 0.4))
def test_modifier_is_a_share_of_the_whole_fill(fill, share):
    assert oil.friction_modifier_l(fill, share) == pytest.approx(fill * share)


@pytest.mark.parametrize(
    "call",
    [
        lambda: oil.oil_grade(3.7),
        lambda: oil.oil_grade(math.nan),
        lambda: viscosity.viscosity_at_mm2_s(32.0, 1.9, 80.0),
        lambda: viscosity.viscosity_at_mm2_s(5.0, 5.4, 80.0),
        lambda: viscosity.viscosity_at_mm2_s(32.0, 5.4, 170.0),
        lambda: viscosity.viscosity_at_mm2_s(10.0, 2.5, 150.0),
        lambda: viscosity.viscosity_index(10.0, 1.9),
        lambda: viscosity.viscosity_index(5.0, 5.0),
        lambda: oil.fill_volume_l(61.0, CALIBRATION),
        lambda: oil.fill_volume_l(1.0, CALIBRATION[:1]),
        lambda: oil.fill_volume_l(1.0, [(0.0, 0.0), (0.0, 1.0)]),
        lambda: oil.fill_volume_l(1.0, [(0.0, 1.0), (5.0, 1.0)]),
        lambda: oil.fill_volume_l(1.0, [(0.0, -1.0), (5.0, 1.0)]),
        lambda: oil.fill_volume_l(1.0, [(math.nan, 0.0), (5.0, 1.0)]),
        lambda: oil.level_mm(1.5, CALIBRATION),
        lambda: oil.level_mm(0.5, []),
        lambda: oil.containers(0.0, [1.0]),
        lambda: oil.containers(60.0, [1.0]),
        lambda: oil.containers(1.0, []),
        lambda: oil.containers(1.0, [0.0]),
        lambda: oil.friction_modifier_l(1.0, 0.5),
        lambda: oil.friction_modifier_l(0.0, 0.05),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
