"""TM 9-2320-302-34, p. 0082 00-12: pinion preload from pull and radius, and what the spacer does.

"5–45 lb-in (0.56–5.08 Nm)", "10–30 lb-in (1.13–3.39 Nm)": printed to 0.01 N·m; the first, 5 lb-in, is 0.565 and the
manual cuts it off. Thicker spacer: less preload. TM 9-2320-363-34-2, p. 17-59, has the same numbers and says to halve
the measured diameter; TM 10-3930-660-34, p. 9-16, says which spacer does what, and to read the running torque.
"""

import pytest

from core.mechanics.pinion import spacer_for_torque_mm
from core.mechanics.preload import pull_torque_nm

LBF_N, INCH_MM = 4.4482216152605, 25.4


@pytest.mark.parametrize(("pounds_inches", "printed"), [(5, 0.56), (45, 5.08), (10, 1.13), (30, 3.39)])
def test_reading_times_radius(pounds_inches, printed):
    for radius_inch in (2.0, 2.5, 3.0):
        pull_n = pounds_inches / radius_inch * LBF_N
        assert pull_torque_nm(pull_n, 2.0 * radius_inch * INCH_MM) == pytest.approx(printed, abs=0.01)


def test_thicker_spacer_for_less_preload():
    assert spacer_for_torque_mm(12.5, 4.0, 2.5, 20.0) > 12.5
    assert spacer_for_torque_mm(12.5, 0.4, 2.5, 20.0) < 12.5
