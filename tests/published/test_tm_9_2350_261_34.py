"""TM 9-2350-261-34: torque wrench with an adapter (printed in whole lbf·ft)."""

import pytest

from core.mechanics.torque import adapter_setting_nm, adapter_torque_nm


def test_adapter_straight_out():
    """40 lbf·ft wanted, 12 in wrench, 4 in adapter: set 30 lbf·ft. The rule is linear, so the unit does not matter."""
    assert adapter_setting_nm(40.0, 12.0, 4.0) == pytest.approx(30.0, abs=0.5)
    assert adapter_torque_nm(30.0, 12.0, 4.0) == pytest.approx(40.0, abs=0.5)
