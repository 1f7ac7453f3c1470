"""TM 5-3895-359-14&P: spring scale on a 6 in bearing cage, 5 lb: 15 lbf·in = 1.6948 N·m (printed to 0.0001)."""

import pytest

from core.mechanics.preload import pull_torque_nm


def test_pull():
    assert pull_torque_nm(5 * 4.4482216152605, 6 * 25.4) == pytest.approx(1.6948, abs=0.00005)
    assert pull_torque_nm(5 * 4.4482216152605, 6 * 25.4) / 0.1129848290276167 == pytest.approx(15.0)
