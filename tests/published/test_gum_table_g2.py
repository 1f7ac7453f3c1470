"""GUM (JCGM 100:2008), table G.2, column 95.45 %: Student's t (two decimals), and the Welch–Satterthwaite formula.

The same values from SciPy's distribution of t, an independent reference.
"""

import math

import pytest
from scipy import stats

from core.mechanics.uncertainty import coverage_factor, effective_degrees

PRINTED = {
    1: 13.97,
    2: 4.53,
    3: 3.31,
    4: 2.87,
    5: 2.65,
    6: 2.52,
    7: 2.43,
    8: 2.37,
    9: 2.32,
    10: 2.28,
    20: 2.13,
    50: 2.05,
}


@pytest.mark.parametrize(("degrees", "printed"), PRINTED.items())
def test_table(degrees, printed):
    assert coverage_factor(degrees) == printed


@pytest.mark.parametrize("degrees", [*range(1, 21), 25, 30, 35, 40, 45, 50, 100])
def test_against_scipy(degrees):
    share = math.erf(2.0 / math.sqrt(2.0))
    assert coverage_factor(degrees) == pytest.approx(stats.t.ppf(0.5 + 0.5 * share, degrees), abs=0.0065)


def test_known_components_have_no_end_of_freedom():
    assert effective_degrees(0.1, [(0.1, math.inf)]) == math.inf
    assert coverage_factor(math.inf) == 2.0
    assert effective_degrees(math.sqrt(2.0), [(1.0, 4), (1.0, 4)]) == pytest.approx(8.0)
