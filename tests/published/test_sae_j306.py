"""SAE J306:2019, automotive gear lubricant viscosity classification, as oil suppliers reproduce it (printed to 0.1)."""

import pytest

from core.errors import InputError
from core.mechanics.oil import grade_limits, oil_grade

SUMMER = [
    ("65", 3.8, 5.0),
    ("70", 5.0, 6.5),
    ("75", 6.5, 8.5),
    ("80", 8.5, 11.0),
    ("85", 11.0, 13.5),
    ("90", 13.5, 18.5),
    ("110", 18.5, 24.0),
    ("140", 24.0, 32.5),
    ("190", 32.5, 41.0),
    ("250", 41.0, float("inf")),
]
WINTER = [("70W", -55, 3.8), ("75W", -40, 3.8), ("80W", -26, 8.5), ("85W", -12, 11.0)]


@pytest.mark.parametrize(("grade", "low", "high"), SUMMER)
def test_grade(grade, low, high):
    assert oil_grade(low) == grade
    assert oil_grade(min(high, 100.0) - 1e-9) == grade
    assert (grade_limits(grade).least_mm2_s, grade_limits(grade).below_mm2_s) == (low, high)


@pytest.mark.parametrize(("grade", "cold", "least"), WINTER)
def test_winter_grade(grade, cold, least):
    limits = grade_limits(grade)
    assert (limits.cold_c, limits.least_mm2_s, limits.below_mm2_s) == (cold, least, float("inf"))


def test_double_grade_meets_both_rows():
    assert grade_limits("75W-140") == grade_limits("75w140") == grade_limits("SAE 75W-140")
    assert grade_limits("85W-80").least_mm2_s == 11.0


@pytest.mark.parametrize("grade", ["", "60", "74W", "75W-60", "GL-5", "140-75W"])
def test_no_grade(grade):
    with pytest.raises(InputError, match="is not an SAE gear-oil grade"):
        grade_limits(grade)
