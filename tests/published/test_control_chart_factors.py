"""Factors of the chart of individuals, worked out anew: for two normal values d2 = 2/√π, d3 = √(2 - 4/π).

The standards' tables (ISO 7870-2, AIAG; from memory) print d2 = 1.128, D4 = 1 + 3·d3/d2 = 3.267, 3/d2 = 2.660, and for
the median range 3/0.954 = 3.145.
"""

import math

import pytest
from scipy.stats import norm

from core.mechanics import control_chart as chart


def test_mean_range_of_two():
    assert pytest.approx(2 / math.sqrt(math.pi), abs=0.0005) == chart.D2
    assert pytest.approx(2.660, abs=0.0005) == chart.SIGMAS / chart.D2


def test_limit_of_the_range():
    d2, d3 = 2 / math.sqrt(math.pi), math.sqrt(2 - 4 / math.pi)
    assert 1 + 3 * d3 / d2 == pytest.approx(chart.RANGE_FACTOR, abs=0.0007)


def test_median_range_of_two():
    # The difference of two values scatters √2 as much; half of its sizes lie below the quartile.
    median_range = math.sqrt(2) * norm.ppf(0.75)
    assert chart.SIGMAS / median_range == pytest.approx(chart.MEDIAN_RANGE_FACTOR, abs=0.001)
