"""Neuber's formula for a groove in torsion (three digits), and how far the three methods lie apart."""

import pytest

from core.mechanics.groove import groove_concentration


def test_case():
    """D 30, d 28, r 1: 1.720."""
    assert groove_concentration(30.0, 28.0, 1.0).neuber == pytest.approx(1.720, abs=0.0005)


@pytest.mark.parametrize(("depth", "radius"), [(0.5, 0.5), (1.0, 0.5), (1.0, 1.0), (1.5, 0.5), (2.0, 1.0)])
def test_three_respected_methods_differ_by_up_to_ten_per_cent(depth, radius):
    found = groove_concentration(30.0, 30.0 - 2.0 * depth, radius)
    spread = found.highest / min(found.pilkey, found.roark, found.neuber)
    assert 1.0 <= spread <= 1.10
