"""Preload: interference, load, turning torque."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics import preload
from core.mechanics.preload import AngularContactBearing, TaperedRollerBearing

ROLLER = TaperedRollerBearing(17, 15.0, 12.0)
BALL = AngularContactBearing(14, 40.0, 9.5)
pairs = st.sampled_from([(ROLLER, ROLLER), (BALL, BALL), (ROLLER, BALL)])
loads = st.floats(1.0, 30000.0)
stiffness = st.floats(2.0e4, 1.0e6)


@given(pairs, loads, stiffness)
def test_load_and_interference_go_there_and_back(pair, load, casing):
    squeeze = preload.interference_mm(pair, load, casing)
    assert preload.preload_n(pair, squeeze, casing) == pytest.approx(load, rel=1e-6)


@given(pairs, st.floats(0.001, 0.1), stiffness)
def test_a_softer_casing_takes_preload_away(pair, squeeze, casing):
    assert preload.preload_n(pair, squeeze, 0.5 * casing) < preload.preload_n(pair, squeeze, casing)


@given(loads)
def test_exponents(load):
    """Rollers F ∝ δ^(1/0.9), balls F ∝ δ^1.5."""
    assert preload.approach_mm(ROLLER, 2.0 * load) / preload.approach_mm(ROLLER, load) == pytest.approx(2.0**0.9)
    assert preload.approach_mm(BALL, 2.0 * load) / preload.approach_mm(BALL, load) == pytest.approx(2.0 ** (2.0 / 3.0))


def test_clearance_gives_no_preload():
    assert preload.preload_n((ROLLER, ROLLER), 0.0, 1e5) == 0.0
    assert preload.preload_n((ROLLER, ROLLER), -0.05, 1e5) == 0.0


@given(st.floats(10.0, 30000.0), st.floats(0.01, 1.0), st.floats(0.0, 0.3))
def test_turning_torque_and_arm_go_there_and_back(load, arm, drag):
    torque = preload.turning_torque_nm(load, arm, drag)
    assert preload.friction_arm_mm(torque, load, drag) == pytest.approx(arm)
    doubled = preload.turning_torque_nm(2.0 * load, arm, drag)
    assert doubled - drag == pytest.approx(2.0 * (torque - drag))  # in slow turning the drag goes with the load


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(1.0, 6.0), st.floats(0.0, 0.5))
def test_whole_unit_and_carrier_go_there_and_back(pinion, carrier, ratio, seals):
    whole = preload.whole_unit_torque_nm(pinion, carrier, ratio, seals)
    assert preload.carrier_torque_nm(whole + 1e-12, pinion, ratio, seals) == pytest.approx(carrier, abs=1e-6)


def test_the_told_job():
    """14 N·m per mm at 0.05 mm: sums 5.04 and 5.05 read 0.45 and 0.60 with 0.05 of own drag; softer below."""
    pair, casing = (ROLLER, ROLLER), 1.0e5
    rate = preload.preload_n(pair, 0.051, casing) - preload.preload_n(pair, 0.049, casing)
    arm = 14.0 * 0.002 * 1000.0 / (2.0 * rate)
    torques = [
        preload.turning_torque_nm(preload.preload_n(pair, total - 5.01, casing), arm, 0.05) for total in (5.0, 5.05)
    ]
    assert torques[0] == pytest.approx(0.05)
    assert torques[1] == pytest.approx(0.60, abs=0.06)


@given(st.floats(0.0, 0.2), st.floats(80.0, 250.0))
def test_an_aluminium_casing_loses_preload_when_warm(squeeze, span):
    assert preload.warm_interference_mm(squeeze, span, 20.0) == squeeze
    assert preload.warm_interference_mm(squeeze, span, 90.0) < squeeze
    same = preload.warm_interference_mm(squeeze, span, 90.0, 20.0, 12.0e-6, 12.0e-6)
    assert same == pytest.approx(squeeze)


@pytest.mark.parametrize(
    "call",
    [
        lambda: preload.approach_mm(ROLLER, -1.0),
        lambda: preload.approach_mm(TaperedRollerBearing(2, 15.0, 12.0), 1.0),
        lambda: preload.approach_mm(TaperedRollerBearing(17, 0.0, 12.0), 1.0),
        lambda: preload.approach_mm(TaperedRollerBearing(17, 15.0, 0.0), 1.0),
        lambda: preload.approach_mm(AngularContactBearing(2, 40.0, 9.5), 1.0),
        lambda: preload.approach_mm(AngularContactBearing(14, 40.0, 0.0), 1.0),
        lambda: preload.interference_mm((ROLLER, ROLLER), 1.0, 0.0),
        lambda: preload.preload_n((ROLLER, ROLLER), 100.0, 1e5),
        lambda: preload.preload_n((ROLLER, ROLLER), math.nan, 1e5),
        lambda: preload.turning_torque_nm(-1.0, 0.1),
        lambda: preload.turning_torque_nm(1.0, 0.0),
        lambda: preload.turning_torque_nm(1.0, 0.1, -0.1),
        lambda: preload.friction_arm_mm(0.05, 1.0, 0.05),
        lambda: preload.friction_arm_mm(0.5, 0.0),
        lambda: preload.pull_torque_nm(-1.0, 100.0),
        lambda: preload.pull_torque_nm(1.0, 0.0),
        lambda: preload.whole_unit_torque_nm(1.0, 1.0, 0.5),
        lambda: preload.whole_unit_torque_nm(1.0, -1.0, 4.0),
        lambda: preload.carrier_torque_nm(0.9, 1.0, 4.0),
        lambda: preload.warm_interference_mm(0.05, 0.0, 80.0),
        lambda: preload.warm_interference_mm(0.05, 180.0, 300.0),
        lambda: preload.warm_interference_mm(0.05, 180.0, 80.0, casing_expansion_per_k=-1.0),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
