"""NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2: flow rates of ten batches, one value each.

Printed: mean 50.81, mean moving range 1.8778, limits 45.8159 and 55.8041; no point is beyond them.
"""

import pytest

from core.mechanics.control_chart import BEYOND, control_chart

FLOW_RATES = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
MOVING_RANGES = [2.0, 2.3, 1.4, 3.5, 3.4, 1.4, 0.2, 1.2, 1.5]


def test_flow_rates():
    chart = control_chart(FLOW_RATES)
    assert chart.moving_ranges[0] is None
    assert chart.moving_ranges[1:] == pytest.approx(MOVING_RANGES)
    assert chart.limits.centre == pytest.approx(50.81, abs=5e-7)
    assert chart.range_mean == pytest.approx(1.8778, abs=5e-5)
    assert (chart.limits.low, chart.limits.high) == pytest.approx((45.8159, 55.8041), abs=5e-5)
    assert BEYOND not in {signal.rule for signal in chart.signals}
    assert chart.signals == ()
