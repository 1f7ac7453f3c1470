"""The gate of the mechanics."""

import math

import pytest

from core.errors import RangeError
from core.mechanics import checks


@pytest.mark.parametrize(
    ("gate", "bad", "says"),
    [
        (lambda value: checks.above("a_mm", value, 0.0, "mm"), (0.0, -1.0, math.inf, math.nan), "more than 0 mm"),
        (lambda value: checks.at_least("a", value, 1), (0, math.inf, math.nan), "1 or more"),
        (lambda value: checks.within("a_deg", value, 0.0, 9.0, "°"), (-1e-9, 9.1, math.nan), "from 0 to 9°"),
        (lambda value: checks.between("a", value, 0.0, 9.0), (0.0, 9.0, math.nan), "between 0 and 9"),
        (lambda value: checks.finite("a", value), (math.inf, -math.inf, math.nan), "a finite number"),
    ],
)
def test_refuses_and_says_what_is_valid(gate, bad, says):
    assert gate(5.0) == 5.0
    for value in bad:
        with pytest.raises(RangeError) as refused:
            gate(value)
        assert refused.value.valid == says
        assert refused.value.argument in str(refused.value)


def test_bounds_belong_to_within_and_at_least():
    assert checks.within("a", 0.0, 0.0, 9.0) == 0.0
    assert checks.within("a", 9.0, 0.0, 9.0) == 9.0
    assert checks.at_least("a", 1, 1) == 1
