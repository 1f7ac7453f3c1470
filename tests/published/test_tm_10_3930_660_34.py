"""TM 10-3930-660-34, p. 9-29 and 8-20: hand-rolled contact pattern, the shim pack under the pinion's cage, its mark.

A good hand-rolled pattern lies toward the toe and in the middle of the depth. High: thinner pack; low: thicker, so a
thicker pack moves the pinion out there. Less backlash moves the pattern toward the toe, more toward the heel. Pack with
another pinion: old pack − old mark + new mark.
"""

import pytest

from core.mechanics.manuals import PINION_MARK, THICKER_SHIM
from core.mechanics.pattern import Centre, Direction, read_pattern, sources_words
from core.mechanics.pinion import EtchRule, shim_change

MANUAL = "TM 10-3930-660-34"


def asked(along, depth):
    return read_pattern(Centre(along, depth), Centre(along, depth))


def test_a_good_hand_rolled_pattern_favours_the_toe():
    assert [item.direction for item in asked(0.38, 0.5)] == [Direction.CENTRED]
    # As far off the middle toward the heel is no good pattern any more.
    assert asked(0.62, 0.5)[0].direction is Direction.RING_GEAR_TOWARD


@pytest.mark.parametrize(
    ("along", "depth", "asks"),
    [
        (0.45, 0.75, Direction.PINION_IN),
        (0.45, 0.25, Direction.PINION_OUT),
        (0.25, 0.50, Direction.RING_GEAR_AWAY),
        (0.75, 0.50, Direction.RING_GEAR_TOWARD),
    ],
    ids=["high", "low", "toe: more backlash", "heel: less backlash"],
)
def test_direction(along, depth, asks):
    found = asked(along, depth)
    assert found[0].direction is asks
    assert MANUAL in sources_words(found)[0]


def test_a_thicker_pack_moves_the_pinion_out_there():
    (out,) = (side for side in THICKER_SHIM.sides if MANUAL in side.sources)
    assert out.what == "it moves the pinion out"


@pytest.mark.parametrize(("old", "new", "pack", "other"), [(-2, -5, 30, 27), (3, 1, 30, 28), (-2, 4, 30, 36)])
def test_pack_with_another_pinion(old, new, pack, other):
    # The first is the manual's own: 0.030 in, old −2, new −5: 0.027 in.
    assert pack + shim_change(old, new, EtchRule.NEW_MINUS_OLD) == other
    (rule,) = (side for side in PINION_MARK.sides if MANUAL in side.sources)
    assert rule.what == "by new − old"
