"""ASTM D341, viscosity and temperature: 32 mm²/s at 40 °C and 5.4 at 100 °C give 8.5 at 80 °C (printed to 0.1)."""

import pytest

from core.mechanics.viscosity import viscosity_at_mm2_s


def test_case():
    assert viscosity_at_mm2_s(32.0, 5.4, 80.0) == pytest.approx(8.5, abs=0.05)


def test_both_given_points_are_met():
    assert viscosity_at_mm2_s(32.0, 5.4, 40.0) == pytest.approx(32.0)
    assert viscosity_at_mm2_s(32.0, 5.4, 100.0) == pytest.approx(5.4)
