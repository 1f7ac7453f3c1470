"""GUM (JCGM 100:2008), example H.1, end-gauge calibration: the budget of table H.1 [nm]; input from memory.

Printed: combined standard uncertainty 32 nm, effective degrees of freedom 16 (16.7 cut off).
"""

import pytest

from core.mechanics.budget import Influence, budget

LINES = [
    Influence("standard", 25.0, degrees=18),
    Influence("difference", 9.7, degrees=25.6),
    Influence("difference of expansion", 0.58e-6, sensitivity=-5.0e6, degrees=50),
    Influence("difference of temperature", 0.029, sensitivity=-575.0, degrees=2),
]


def test_table_h1():
    found = budget(LINES)
    assert [line.contribution for line in LINES] == pytest.approx([25.0, 9.7, 2.9, 16.6], abs=0.1)
    assert found.standard_u == pytest.approx(32.0, abs=0.5)
    assert int(found.degrees) == 16
    assert sum(found.shares) == pytest.approx(1.0)
