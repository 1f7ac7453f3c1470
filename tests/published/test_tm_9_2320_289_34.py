"""TM 9-2320-289-34, table 6-1 and p. 6-22: side-bearing shims and ring-gear backlash (inches, printed to 0.001)."""

import pytest

from core.mechanics.bevel import bevel_geometry
from core.mechanics.lash import lash_rates, move_for_change_mm
from core.mechanics.rings import RingPair, swap, swap_for_backlash


def test_shim_arithmetic():
    """Ring side 0.250, opposite 0.265; move 0.010 away and add 0.004 on each side for preload: 0.244 and 0.279."""
    pair = swap(RingPair(0.250, 0.265), 0.010, 0.004)
    assert pair.ring_gear_side_mm == pytest.approx(0.244, abs=0.0005)
    assert pair.opposite_side_mm == pytest.approx(0.279, abs=0.0005)


@pytest.mark.parametrize(("pinion_teeth", "ring_gear_teeth"), [(14, 39), (11, 43), (9, 41), (13, 40)])
def test_move_from_zero_backlash(pinion_teeth, ring_gear_teeth):
    """From zero backlash the ring gear goes 0.010 in away for 0.005–0.008 in: the rate of a usual pair fits that."""
    rates = lash_rates(bevel_geometry(pinion_teeth, ring_gear_teeth, 200.0, 30.0, 35.0), 20.0)
    assert 0.005 <= 0.010 * rates.normal_heel_ratio <= 0.008
    assert move_for_change_mm(0.005, rates.normal_heel_ratio) <= 0.010


def test_backlash_out_of_limits():
    """P. 6-22: above 0.008 in thicker on the ring-gear side, below 0.005 in thinner there, the other side equally."""
    too_much = swap_for_backlash(is_too_little=False, ring_gear_side="left")
    assert (too_much.thicker, too_much.thinner) == ("left", "right")
    too_little = swap_for_backlash(is_too_little=True, ring_gear_side="left")
    assert (too_little.thinner, too_little.thicker) == ("left", "right")
