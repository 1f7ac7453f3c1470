"""AGMA recommended backlash for bevel and hypoid gears, table by diametral pitch, as reproduced by handbooks [in].

Printed to 0.001 in; the whole table down to 50 per inch.
"""

import pytest

from core.mechanics.recommended import recommended_backlash_inch, recommended_backlash_mm

TABLE = [
    # diametral pitch from, to; quality 7–13; quality 3–6
    (1.00, 1.25, (0.020, 0.030), (0.045, 0.065)),
    (1.25, 1.50, (0.018, 0.026), (0.035, 0.055)),
    (1.50, 1.75, (0.016, 0.022), (0.025, 0.045)),
    (1.75, 2.00, (0.014, 0.018), (0.020, 0.040)),
    (2.00, 2.50, (0.012, 0.016), (0.020, 0.030)),
    (2.50, 3.00, (0.010, 0.013), (0.015, 0.025)),
    (3.00, 3.50, (0.008, 0.011), (0.012, 0.022)),
    (3.50, 4.00, (0.007, 0.009), (0.010, 0.020)),
    (4.00, 5.00, (0.006, 0.008), (0.008, 0.016)),
    (5.00, 6.00, (0.005, 0.007), (0.006, 0.013)),
    (6.00, 8.00, (0.004, 0.006), (0.005, 0.010)),
    (8.00, 10.0, (0.003, 0.005), (0.004, 0.008)),
    (10.0, 16.0, (0.002, 0.004), (0.003, 0.005)),
    (16.0, 20.0, (0.001, 0.003), (0.002, 0.004)),
    (20.0, 50.0, (0.000, 0.002), (0.000, 0.002)),
]


@pytest.mark.parametrize(("low", "high", "fine", "coarse"), TABLE, ids=[f"{row[0]}-{row[1]}" for row in TABLE])
def test_row(low, high, fine, coarse):
    for pitch in (low, 0.5 * (low + high), high - 1e-9):
        assert recommended_backlash_inch(pitch) == fine
        assert recommended_backlash_inch(pitch, is_fine_quality=False) == coarse
    middle_mm = 25.4 / (0.5 * (low + high))
    assert recommended_backlash_mm(middle_mm) == pytest.approx((fine[0] * 25.4, fine[1] * 25.4))
