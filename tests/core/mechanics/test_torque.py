"""Wrench settings, rounds and order of tightening."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics import torque


@given(st.floats(1.0, 500.0), st.floats(150.0, 800.0), st.floats(0.0, 140.0), st.floats(-180.0, 180.0))
def test_setting_and_torque_go_there_and_back(torque_nm, wrench_mm, adapter_mm, angle_deg):
    setting_nm = torque.adapter_setting_nm(torque_nm, wrench_mm, adapter_mm, angle_deg)
    assert torque.adapter_torque_nm(setting_nm, wrench_mm, adapter_mm, angle_deg) == pytest.approx(torque_nm)


@given(st.floats(150.0, 800.0), st.floats(1.0, 140.0))
def test_square_needs_no_correction_straight_needs_less_folded_needs_more(wrench_mm, adapter_mm):
    assert torque.adapter_factor(wrench_mm, adapter_mm, 90.0) == pytest.approx(1.0)
    assert torque.adapter_factor(wrench_mm, adapter_mm, 0.0) < 1.0 < torque.adapter_factor(wrench_mm, adapter_mm, 180.0)
    assert torque.adapter_factor(wrench_mm, 0.0) == 1.0


def test_the_told_job():
    """150 N·m through a 50 mm adapter on a 400 mm wrench: set 133.3 N·m."""
    assert torque.adapter_setting_nm(150.0, 400.0, 50.0) == pytest.approx(133.3, abs=0.05)


@given(st.integers(3, 40))
def test_each_bolt_comes_up_once(bolts):
    order = torque.crosswise_order(bolts)
    assert sorted(order) == list(range(1, bolts + 1))


@given(st.integers(2, 20))
def test_with_an_even_number_the_second_bolt_is_opposite(half):
    order = torque.crosswise_order(2 * half)
    assert all(second - first == half for first, second in zip(order[::2], order[1::2], strict=True))


def test_an_odd_number_steps_nearly_across():
    assert torque.crosswise_order(5) == (1, 3, 5, 2, 4)


@given(st.floats(1.0, 500.0))
def test_rounds_rise_to_the_final_torque(final_nm):
    steps = torque.tightening_steps_nm(final_nm)
    assert list(steps) == sorted(steps)
    assert steps[-1] == final_nm


@pytest.mark.parametrize(
    "call",
    [
        lambda: torque.adapter_factor(0.0, 50.0),
        lambda: torque.adapter_factor(400.0, -50.0),
        lambda: torque.adapter_factor(400.0, 50.0, 190.0),
        lambda: torque.adapter_factor(100.0, 100.0, 180.0),
        lambda: torque.adapter_setting_nm(-1.0, 400.0, 50.0),
        lambda: torque.adapter_torque_nm(-1.0, 400.0, 50.0),
        lambda: torque.tightening_steps_nm(0.0),
        lambda: torque.tightening_steps_nm(150.0, ()),
        lambda: torque.tightening_steps_nm(150.0, (0.5, 0.9)),
        lambda: torque.tightening_steps_nm(150.0, (0.5, 0.5, 1.0)),
        lambda: torque.tightening_steps_nm(150.0, (1.2, 1.0)),
        lambda: torque.crosswise_order(2),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
