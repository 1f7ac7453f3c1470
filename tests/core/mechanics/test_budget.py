"""Uncertainty budgets."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics.budget import Influence, budget
from core.mechanics.uncertainty import reading_u, rectangular_u, resolution_u

parts = st.lists(st.tuples(st.floats(0.0001, 0.1), st.floats(-3.0, 3.0), st.floats(1.0, 50.0)), min_size=1, max_size=6)


@given(parts)
def test_shares_add_up_and_the_whole_is_no_less_than_any_part(rows):
    found = budget([Influence("line", u, c, degrees) for u, c, degrees in rows])
    assert found.standard_u >= max(abs(c) * u for u, c, _ in rows) - 1e-15
    if found.standard_u:
        assert sum(found.shares) == pytest.approx(1.0)
    assert found.expanded == pytest.approx(found.coverage * found.standard_u)


def test_it_agrees_with_the_reading_of_a_gauge():
    found = budget([Influence("resolution", resolution_u(0.01)), Influence("stated error", rectangular_u(0.015))])
    assert found.standard_u == pytest.approx(reading_u(0.01, 0.015))
    assert (found.degrees, found.coverage) == (math.inf, 2.0)


def test_few_readings_ask_for_a_larger_factor():
    assert budget([Influence("scatter", 0.004, degrees=2)]).coverage == 4.53


def test_nothing_known_to_be_wrong():
    found = budget([Influence("resolution", 0.0)])
    assert (found.standard_u, found.expanded, found.shares) == (0.0, 0.0, (0.0,))


@pytest.mark.parametrize(
    "lines",
    [
        [],
        [Influence("a", -0.1)],
        [Influence("a", 0.1, math.nan)],
        [Influence("a", 0.1, degrees=0.5)],
    ],
)
def test_refusals(lines):
    with pytest.raises(RangeError):
        budget(lines)
