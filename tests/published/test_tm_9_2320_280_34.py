"""TM 9-2320-280-34: pinion markings the other way round, change of the shim = old − new."""

from core.mechanics.pinion import EtchRule, shim_change


def test_rule():
    assert shim_change(2, -1, EtchRule.OLD_MINUS_NEW) == 3
    assert shim_change(-1, 2, EtchRule.OLD_MINUS_NEW) == -3
