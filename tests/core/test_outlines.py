"""Outlines as text: read, written, told in words, and refused with a sentence."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError
from core.mechanics.outline import measure
from core.mechanics.print_shapes import SHAPES, rounded
from core.outlines import (
    LONGEST_OUTLINE,
    MOST_PATCHES,
    MOST_POINTS,
    measured_words,
    outline_words,
    read_outline,
    write_outline,
)
from core.quantities import Amount, parse


@given(st.floats(0.2, 0.8), st.floats(0.2, 0.8), st.floats(0.05, 0.4), st.floats(0.05, 0.4))
def test_there_and_back_to_a_tenth_of_a_percent(along, depth, length, height):
    rings = (rounded(along, depth, length, height),)
    text = write_outline(rings)
    assert write_outline(read_outline(text)) == text
    for one, other in zip(rings[0], read_outline(text)[0], strict=True):
        assert one == pytest.approx(other, abs=0.000501)


def test_two_patches_and_commas():
    one, other = read_outline("10,5 10; 30 10; 30 40 | 60 10; 90 10; 90 40")
    assert one[0] == pytest.approx((0.105, 0.1))
    assert other[2] == pytest.approx((0.9, 0.4))


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "Nothing was drawn"),
        ("banana", "no point of an outline"),
        ("20 20; 60; 60 60", "no point of an outline"),
        ("20 20; 60 20", "at least three points"),
        ("20 20; 60 20; 60 101", "leaves the tooth"),
        ("20 20; 60 20; -1 60", "leaves the tooth"),
        ("10 10; 90 90; 90 10; 10 90", "crosses itself"),
        ("10 10; 60 10; 60 60; 10 60 | 40 40; 90 40; 90 90", "lie over each other"),
        ("10 10; 11 10; 11 11", "too small"),
        (" | ".join(["1 1; 2 1; 2 2"] * (MOST_PATCHES + 1)), "5 patches"),
        ("; ".join(f"{i} {i}" for i in range(MOST_POINTS + 1)), "61 points"),
        ("1" * (LONGEST_OUTLINE + 1), "4001 characters long"),
        ("20\t20; 60 20; 60 60", "no point"),
        ("٢0 20; 60 20; 60 60", "no point"),
    ],
)
def test_refused(text, sentence):
    with pytest.raises(InputError, match=sentence) as refusal:
        parse("outline", text)
    assert refusal.value.remedy


def test_the_longest_fits():
    longest = " | ".join(["; ".join(["100.0 100.0"] * MOST_POINTS)] * MOST_PATCHES)
    assert len(longest) <= LONGEST_OUTLINE


def test_kept_as_it_was_drawn():
    assert parse("outline", "  20 20; 60 20;60 60 ") == Amount("outline", None, "20 20; 60 20;60 60", "")


def test_told_in_words():
    told = {shape.key: outline_words(write_outline(shape.rings)) for shape in SHAPES}
    assert told["centred"] == "50 % along, 50 % up, 50 × 60 %"
    assert told["two"] == "50 % along, 50 % up, 86 × 50 %, 2 patches"
    # A band that rises 0.4 over 1.98 depths, 0.2 high: ½·atan(2·0.066 / (0.327 − 0.0167)) = 11.5°.
    slanting = read_outline("20 20; 80 60; 80 80; 20 40")
    assert measured_words(measure(slanting)) == "50 % along, 50 % up, 60 × 60 %, tilted 12°"
    # Without the tooth's true shape nothing is said of the tilt.
    assert outline_words("20 20; 80 60; 80 80; 20 40") == "50 % along, 50 % up, 60 × 60 %"
    assert outline_words("whatever") == "whatever"
