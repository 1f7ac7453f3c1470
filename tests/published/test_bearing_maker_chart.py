"""A bearing maker's chart of cone-bore growth [mm], ambient 20 °C (printed to 0.0001 mm); and its heating limits.

The chart follows 6.06e-6 per °F, which is 10.909e-6/K.
"""

import pytest

from core.errors import RangeError
from core.mechanics.press import OPEN_BEARING_LIMIT_C, SEALED_BEARING_LIMIT_C, bore_growth_mm, heating_temperature_c

CHART = {
    # bore: growth at 75, 100, 125, 150 °C
    25: (0.0150, 0.0218, 0.0286, 0.0355),
    50: (0.0300, 0.0436, 0.0573, 0.0709),
    75: (0.0450, 0.0655, 0.0859, 0.1064),
    100: (0.0600, 0.0873, 0.1145, 0.1418),
    125: (0.0750, 0.1091, 0.1432, 0.1773),
    200: (0.1200, 0.1745, 0.2291, 0.2836),
}


@pytest.mark.parametrize("bore", CHART)
def test_growth(bore):
    for temp, printed in zip((75.0, 100.0, 125.0, 150.0), CHART[bore], strict=True):
        assert bore_growth_mm(bore, temp, 20.0, 10.909e-6) == pytest.approx(printed, abs=0.00006)


def test_heating_back_from_the_chart():
    assert heating_temperature_c(100.0, 0.0873, 0.0, 20.0, 10.909e-6) == pytest.approx(100.0, abs=0.05)


def test_limits():
    """Open bearings up to 120 °C, greased or sealed up to 80 °C; a bore of 40 with 30 + 20 µm would need 124 °C."""
    assert (OPEN_BEARING_LIMIT_C, SEALED_BEARING_LIMIT_C) == (120.0, 80.0)
    with pytest.raises(RangeError) as refused:
        heating_temperature_c(40.0, 0.030, 0.020)
    assert refused.value.value == pytest.approx(124.0, abs=0.5)
    with pytest.raises(RangeError):
        heating_temperature_c(45.0, 0.030, 0.010, highest_c=SEALED_BEARING_LIMIT_C)
