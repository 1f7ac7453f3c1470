"""Int. J. Comp. Meth. and Exp. Meas. 5(5), 733–740, equation 4: axial approach of a tapered roller bearing [mm].

A bearing maker's handbook formula: 17 rollers, contact angle 15°, roller length 12 mm (printed to 0.000001 mm).
"""

import pytest

from core.mechanics.preload import TaperedRollerBearing, approach_mm

CONE = TaperedRollerBearing(17, 15.0, 12.0)


@pytest.mark.parametrize(("load", "printed"), [(1000.0, 0.005383), (5000.0, 0.022915)])
def test_approach(load, printed):
    assert approach_mm(CONE, load) == pytest.approx(printed, abs=5e-7)


def test_load_goes_with_the_power_of_one_point_one_one():
    assert approach_mm(CONE, 2.0**0.0 * 1000.0) * 2.0 == pytest.approx(approach_mm(CONE, 1000.0 * 2.0**1.11), rel=0.001)
