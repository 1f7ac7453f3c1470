"""TM 10-3930-638-24&P: reading the contact pattern, as TM 10-3930-671-24 has it."""

import pytest

from core.mechanics.pattern import RULES, Centre, Direction, read_pattern, sources_words

MANUAL = "TM 10-3930-638-24&P"


@pytest.mark.parametrize(
    ("along", "depth", "asks"),
    [
        (0.45, 0.80, Direction.PINION_IN),
        (0.45, 0.20, Direction.PINION_OUT),
        (0.20, 0.50, Direction.RING_GEAR_AWAY),
        (0.80, 0.50, Direction.RING_GEAR_TOWARD),
    ],
    ids=["high", "low", "toe", "heel"],
)
def test_direction(along, depth, asks):
    asked = read_pattern(Centre(along, depth), Centre(along, depth))
    assert asked[0].direction is asks
    (rule,) = (rule for rule in RULES if rule.asks is asks)
    assert MANUAL in rule.sources
    assert MANUAL in sources_words(asked)[0]
