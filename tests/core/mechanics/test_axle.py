"""The axle's peak torque."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics import axle


@given(st.floats(0.0, 900.0), st.floats(1.0, 15.0), st.floats(2.0, 6.0), st.floats(0.1, 1.0))
def test_a_share_of_the_ring_gears_torque(engine, gear, final, split):
    whole = axle.engine_peak_torque_nm(engine, gear, final)
    assert axle.engine_peak_torque_nm(engine, gear, final, split) == pytest.approx(split * whole)


def test_safety_is_one_where_it_just_holds():
    assert axle.safety(axle.wheel_slip_torque_nm(4000.0, 0.9, 0.31), 4000.0 * 0.9 * 0.31) == pytest.approx(1.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: axle.engine_peak_torque_nm(-1.0, 3.0, 4.0),
        lambda: axle.engine_peak_torque_nm(1.0, 0.0, 4.0),
        lambda: axle.engine_peak_torque_nm(1.0, 3.0, 0.9),
        lambda: axle.engine_peak_torque_nm(1.0, 3.0, 4.0, 0.0),
        lambda: axle.engine_peak_torque_nm(1.0, 3.0, 4.0, 1.1),
        lambda: axle.wheel_slip_torque_nm(-1.0, 1.0, 0.3),
        lambda: axle.wheel_slip_torque_nm(1.0, 0.0, 0.3),
        lambda: axle.wheel_slip_torque_nm(1.0, 2.1, 0.3),
        lambda: axle.wheel_slip_torque_nm(1.0, 1.0, 0.0),
        lambda: axle.safety(-1.0, 1.0),
        lambda: axle.safety(1.0, 0.0),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
