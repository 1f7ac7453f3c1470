"""Pilkey, Peterson's Stress Concentration Factors: U-shaped groove in a round shaft under torsion (three digits)."""

import pytest

from core.mechanics.groove import groove_concentration


def test_case():
    """D 30, d 28, r 1: 1.784."""
    assert groove_concentration(30.0, 28.0, 1.0).pilkey == pytest.approx(1.784, abs=0.0005)


@pytest.mark.parametrize("radius", [0.5, 1.0, 3.9])
def test_a_shallow_groove_tends_to_the_half_plane(radius):
    """For t/r = 1 a shallow groove concentrates twice: the chart's left edge, 2t/D → 0."""
    shallow = groove_concentration(1000.0 * radius, 1000.0 * radius - 2.0 * radius, radius)
    assert shallow.pilkey == pytest.approx(2.0, abs=0.01)


def test_both_ranges_meet_at_two():
    """The two sets of coefficients join at t/r = 2 within what the chart can show (1 %)."""
    below, above = groove_concentration(30.0, 26.0, 1.0000001), groove_concentration(30.0, 26.0, 0.9999999)
    assert below.pilkey == pytest.approx(above.pilkey, rel=0.01)
