"""TM 5-3895-369-14, p. 5-409, table 5-4: pinion markings. Change of the shim pack = new − old [0.001 in], all 81 cells.

Beside the table: old +2, new −1: subtract 0.003 in (0.076 mm).
"""

import pytest

from core.mechanics.pinion import EtchRule, shim_change

OLD_MARKS = (4, 3, 2, 1, 0, -1, -2, -3, -4)
NEW_MARKS = (-4, -3, -2, -1, 0, 1, 2, 3, 4)
TABLE = """
-8 -7 -6 -5 -4 -3 -2 -1  0
-7 -6 -5 -4 -3 -2 -1  0  1
-6 -5 -4 -3 -2 -1  0  1  2
-5 -4 -3 -2 -1  0  1  2  3
-4 -3 -2 -1  0  1  2  3  4
-3 -2 -1  0  1  2  3  4  5
-2 -1  0  1  2  3  4  5  6
-1  0  1  2  3  4  5  6  7
 0  1  2  3  4  5  6  7  8
"""
ROWS = dict(zip(OLD_MARKS, ([int(cell) for cell in line.split()] for line in TABLE.strip().splitlines()), strict=True))


@pytest.mark.parametrize("old", OLD_MARKS)
def test_row(old):
    for new, printed in zip(NEW_MARKS, ROWS[old], strict=True):
        assert shim_change(old, new, EtchRule.NEW_MINUS_OLD) == printed


def test_example():
    thousandths = shim_change(2, -1, EtchRule.NEW_MINUS_OLD)
    assert thousandths == -3
    assert thousandths * 0.0254 == pytest.approx(-0.076, abs=0.0005)
