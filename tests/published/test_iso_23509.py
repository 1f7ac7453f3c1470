"""ISO 23509:2016, Bevel and hypoid gear geometry: the spiral-bevel sample (14/39), as reproduced by a third party.

Input: outer pitch diameter 176.893 mm, face 25.40 mm, mean spiral angle 35°, shaft angle 90°, cutter radius 114.3 mm.
Tolerance: half a unit of the last printed digit.
"""

import pytest

from core.mechanics.bevel import bevel_geometry, spiral_angle_at_deg
from core.mechanics.lash import circumferential_change_mm, lash_rates, normal_change_mm

PAIR = bevel_geometry(14, 39, 176.893, 25.40, 35.0)


@pytest.mark.parametrize(
    ("what", "printed", "digits"),
    [
        ("pinion_pitch_angle_deg", 19.7468, 4),
        ("gear_pitch_angle_deg", 70.2532, 4),
        ("mean_cone_distance_mm", 81.273, 3),
        ("gear_mean_diameter_mm", 152.987, 3),
        ("mean_transverse_module_mm", 3.9227, 4),
        ("mean_normal_module_mm", 3.2133, 4),
    ],
)
def test_sample(what, printed, digits):
    assert getattr(PAIR, what) == pytest.approx(printed, abs=0.5 * 10**-digits)


def test_cutter_circle_passes_through_the_mean_point():
    assert spiral_angle_at_deg(PAIR.mean_cone_distance_mm, PAIR.mean_cone_distance_mm, 114.3, 35.0) == pytest.approx(35)


def test_backlash_of_the_sample():
    """Backlash per mm of ring gear for the sample with a pressure angle of 20°: derived, checked numerically."""
    rates = lash_rates(PAIR, 20.0, 114.3)
    assert normal_change_mm(1.0, 70.2532, 20.0) == pytest.approx(0.643815, abs=5e-7)
    assert circumferential_change_mm(1.0, 70.2532, 20.0, 35.0) == pytest.approx(0.836394, abs=5e-7)
    assert rates.circumferential_heel_ratio == pytest.approx(0.967092, abs=1e-6)
    assert rates.normal_heel_ratio == pytest.approx(0.727245, abs=1e-6)
