"""ASME PCC-1, cross-pattern tightening sequences and torque rounds; both from memory."""

import pytest

from core.mechanics.torque import crosswise_order, tightening_steps_nm

SEQUENCES = {
    4: "1 3 2 4",
    8: "1 5 3 7 2 6 4 8",
    12: "1 7 4 10 2 8 5 11 3 9 6 12",
    16: "1 9 5 13 3 11 7 15 2 10 6 14 4 12 8 16",
    20: "1 11 6 16 3 13 8 18 5 15 10 20 2 12 7 17 4 14 9 19",
    24: "1 13 7 19 4 16 10 22 2 14 8 20 5 17 11 23 3 15 9 21 6 18 12 24",
}


@pytest.mark.parametrize("bolts", SEQUENCES)
def test_sequence(bolts):
    assert crosswise_order(bolts) == tuple(int(bolt) for bolt in SEQUENCES[bolts].split())


def test_rounds():
    """Round 1 at 20–30 %, round 2 at 50–70 %, round 3 at 100 % of the final torque."""
    first, second, last = tightening_steps_nm(100.0)
    assert 20.0 <= first <= 30.0
    assert 50.0 <= second <= 70.0
    assert last == 100.0
