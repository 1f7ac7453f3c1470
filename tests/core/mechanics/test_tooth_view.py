"""From shares of the tooth to a place of the drawing and back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.mechanics.tooth_view import ToothView

shares = st.floats(0.0, 1.0)
ON_PAPER = ToothView(250.0, 50.0, 100.0, 60.0, 0.8)
ON_SCREEN = ToothView(20.0, 420.0, 90.0, -120.0, 0.82)


@pytest.mark.parametrize("view", [ON_PAPER, ON_SCREEN])
@given(shares, shares)
def test_there_and_back(view, along, depth):
    assert view.shares(*view.at(along, depth)) == pytest.approx((along, depth), abs=1e-9)


def test_corners():
    # 0.8 · 60 deep at the toe, 1.2 · 60 at the heel.
    assert [ON_PAPER.at(a, d) for a, d in ((0, 0), (0, 1), (1, 0), (1, 1), (0.5, 0.5))] == [
        (250.0, pytest.approx(76.0)),
        (250.0, pytest.approx(124.0)),
        (50.0, pytest.approx(64.0)),
        (50.0, pytest.approx(136.0)),
        (150.0, 100.0),
    ]
    assert ON_SCREEN.at(0.5, 1.0)[1] == 30.0


def test_beside_the_tooth():
    assert ON_PAPER.at(1.5, -2.0) == ON_PAPER.at(1.0, 0.0)
    along, depth = ON_PAPER.shares(300.0, 100.0)
    assert along == -0.25
    assert depth == 0.5
