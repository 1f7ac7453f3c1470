"""Roark's Formulas for Stress and Strain, table 17.1: U-notch in a circular shaft under torsion (three digits)."""

import pytest

from core.mechanics.groove import groove_concentration


def test_case():
    """D 30, d 28, r 1: 1.792."""
    assert groove_concentration(30.0, 28.0, 1.0).roark == pytest.approx(1.792, abs=0.0005)


def test_both_ranges_meet_at_two():
    below, above = groove_concentration(30.0, 26.0, 1.0000001), groove_concentration(30.0, 26.0, 0.9999999)
    assert below.roark == pytest.approx(above.roark, rel=0.001)


@pytest.mark.parametrize("radius_share", [0.5, 1.0, 2.0])
def test_nothing_left_of_the_shaft_nothing_concentrated(radius_share):
    """2t/D → 1: the cubic's coefficients add up to 1."""
    found = groove_concentration(30.0, 1e-6, 15.0 * radius_share).roark
    assert found == pytest.approx(1.0, abs=0.002)
