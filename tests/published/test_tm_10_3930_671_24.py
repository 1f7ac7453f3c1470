"""TM 10-3930-671-24 (TM 10-3930-638-24&P and TM 10-3930-660-34 agree): reading the contact pattern."""

import pytest

from core.mechanics.pattern import Centre, Direction, read_pattern


@pytest.mark.parametrize(
    ("along", "depth", "asks"),
    [
        (0.45, 0.85, Direction.PINION_IN),
        (0.45, 0.15, Direction.PINION_OUT),
        (0.15, 0.50, Direction.RING_GEAR_AWAY),
        (0.85, 0.50, Direction.RING_GEAR_TOWARD),
        (0.40, 0.50, Direction.CENTRED),
    ],
    ids=["high", "low", "toe", "heel", "favours the toe"],
)
def test_both_flanks_alike(along, depth, asks):
    assert read_pattern(Centre(along, depth), Centre(along, depth))[0].direction is asks
