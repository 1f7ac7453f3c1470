"""Plain directions from the contact pattern."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RangeError
from core.mechanics.pattern import RULES, SENTENCES, Centre, Direction, read_pattern

ratios = st.floats(0.0, 1.0)
MIDDLE = Centre(0.5, 0.5)


def directions(drive, coast, **options):
    return [advice.direction for advice in read_pattern(drive, coast, **options)]


@given(ratios, ratios, ratios, ratios, st.booleans())
def test_there_is_always_advice_and_never_a_contradiction(along_1, depth_1, along_2, depth_2, is_used):
    advice = directions(Centre(along_1, depth_1), Centre(along_2, depth_2), is_used_pair=is_used)
    assert advice
    assert not {Direction.PINION_IN, Direction.PINION_OUT} <= set(advice)
    assert not {Direction.RING_GEAR_AWAY, Direction.RING_GEAR_TOWARD} <= set(advice)
    assert (Direction.AS_FOUND in advice) is is_used
    assert (Direction.CENTRED in advice) is (len(set(advice) - {Direction.AS_FOUND}) == 1 and advice[0] == "centred")


@given(ratios, ratios, ratios, ratios)
def test_drive_and_coast_may_be_swapped(along_1, depth_1, along_2, depth_2):
    one, two = Centre(along_1, depth_1), Centre(along_2, depth_2)
    assert directions(one, two) == directions(two, one)


def test_depth_comes_first_and_the_shim_is_asked_about():
    assert directions(Centre(0.1, 0.9), Centre(0.1, 0.9)) == [
        Direction.PINION_IN,
        Direction.RING_GEAR_AWAY,
        Direction.ASK_SHIM_PLACE,
    ]


@pytest.mark.parametrize(
    ("drive", "coast", "asks"),
    [
        (Centre(0.5, 0.9), Centre(0.5, 0.1), [Direction.SPLIT_DEPTH]),
        (Centre(0.9, 0.5), Centre(0.1, 0.5), [Direction.SPLIT_ALONG, Direction.ASK_SHIM_PLACE]),
        (Centre(0.5, 0.9), MIDDLE, [Direction.ONE_SIDE_DEPTH]),
        (MIDDLE, Centre(0.1, 0.5), [Direction.ONE_SIDE_ALONG]),
        (MIDDLE, MIDDLE, [Direction.CENTRED]),
    ],
)
def test_where_the_manuals_give_no_direction_it_says_so(drive, coast, asks):
    assert directions(drive, coast) == asks


def test_the_cards_band_counts_and_its_ends_are_central():
    assert directions(MIDDLE, MIDDLE, along_band=(0.2, 0.3)) == [Direction.RING_GEAR_TOWARD]
    assert directions(Centre(0.35, 0.40), Centre(0.60, 0.60)) == [Direction.CENTRED]


def test_every_direction_has_a_sentence_and_every_rule_a_source():
    assert set(SENTENCES) == set(Direction)
    assert all(rule.sources and rule.seen and rule.asks in SENTENCES for rule in RULES)


@pytest.mark.parametrize(
    "call",
    [
        lambda: read_pattern(Centre(1.1, 0.5), MIDDLE),
        lambda: read_pattern(MIDDLE, Centre(0.5, -0.1)),
        lambda: read_pattern(MIDDLE, MIDDLE, along_band=(0.6, 0.4)),
        lambda: read_pattern(MIDDLE, MIDDLE, depth_band=(0.4, 1.2)),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
