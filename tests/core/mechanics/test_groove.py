"""Grooves in torsion: laws and refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics import groove

outers = st.floats(15.0, 60.0)
depth_shares = st.floats(0.02, 0.2)
radius_shares = st.floats(0.05, 2.0)


@given(outers, depth_shares, radius_shares)
def test_a_larger_radius_concentrates_less(outer, depth_share, radius_share):
    net, radius = outer * (1.0 - 2.0 * depth_share), outer * depth_share * radius_share
    sharp, round_ = (groove.groove_concentration(outer, net, radius * by) for by in (1.0, 1.3))
    assert round_.pilkey < sharp.pilkey * 1.003  # the two ranges of the chart meet with a step of 0.3 %
    assert round_.neuber < sharp.neuber
    assert sharp.highest >= max(sharp.pilkey, sharp.roark, sharp.neuber)


@given(outers, depth_shares, radius_shares, st.floats(0.2, 5.0))
def test_only_proportions_count(outer, depth_share, radius_share, scale):
    net, radius = outer * (1.0 - 2.0 * depth_share), outer * depth_share * radius_share
    one = groove.groove_concentration(outer, net, radius)
    other = groove.groove_concentration(outer * scale, net * scale, radius * scale)
    assert other.pilkey == pytest.approx(one.pilkey)
    assert other.neuber == pytest.approx(one.neuber)


def test_the_ends_of_the_range_belong_to_it():
    for radius in (1.0 / 50.0, 4.0):
        assert groove.groove_concentration(30.0, 28.0, radius).pilkey >= 1.0


@given(st.floats(10.0, 60.0), st.floats(300.0, 1500.0), st.floats(1.0, 3.0))
def test_stress_at_the_yield_torque_is_the_shear_yield(diameter, strength, concentration):
    torque = groove.yield_torque_nm(diameter, strength, concentration)
    assert concentration * groove.shear_stress_mpa(torque, diameter) == pytest.approx(strength / 3.0**0.5)


@given(st.floats(300.0, 2000.0))
def test_the_smallest_radius_just_carries_the_peak(peak):
    allowed = groove.yield_torque_nm(28.0, 900.0) / peak
    try:
        radius = groove.smallest_root_radius_mm(30.0, 28.0, 900.0, peak)
    except RangeError as refused:
        assert refused.argument == "peak_nm"
        assert groove.groove_concentration(30.0, 28.0, 4.0).pilkey > allowed
        return
    assert groove.groove_concentration(30.0, 28.0, radius).pilkey <= allowed * (1.0 + 1e-9)
    if radius > 0.0201:
        assert groove.groove_concentration(30.0, 28.0, radius * 0.99).pilkey > allowed * (1.0 - 0.003)


def test_a_weak_peak_is_carried_even_by_the_sharpest_root_of_the_charts():
    assert groove.smallest_root_radius_mm(30.0, 28.0, 900.0, 10.0) == pytest.approx(0.02)


@pytest.mark.parametrize(
    "call",
    [
        lambda: groove.groove_concentration(0.0, 28.0, 1.0),
        lambda: groove.groove_concentration(30.0, 30.0, 1.0),
        lambda: groove.groove_concentration(30.0, 28.0, 0.01),
        lambda: groove.groove_concentration(30.0, 28.0, 4.1),
        lambda: groove.shear_stress_mpa(-1.0, 28.0),
        lambda: groove.shear_stress_mpa(1.0, 0.0),
        lambda: groove.yield_torque_nm(28.0, 0.0),
        lambda: groove.yield_torque_nm(28.0, 900.0, 0.9),
        lambda: groove.smallest_root_radius_mm(30.0, 31.0, 900.0, 1000.0),
        lambda: groove.smallest_root_radius_mm(30.0, 28.0, 900.0, 0.0),
        lambda: groove.smallest_root_radius_mm(30.0, 28.0, 900.0, 1000.0, 0.0),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()


def test_square_cut_and_radius_in_the_told_job():
    """Turned at 26.0 mm with a radius of 1.0 mm: nearly half the concentration of a square cut."""
    turned = groove.groove_concentration(28.0, 26.0, 1.0)
    assert turned.highest < 0.65 * groove.SQUARE_CUT_CONCENTRATION
