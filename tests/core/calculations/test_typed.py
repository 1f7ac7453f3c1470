"""Several values typed in one go, choices in other words, and powers of ten."""

from __future__ import annotations

import pytest

from core.calculations.typed import read_amounts, split_list
from core.errors import InputError


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("0.07 0.08 mm", ["0.07 mm", "0.08 mm"]),
        ("0,07; 0,08", ["0,07", "0,08"]),
        ("0,07 0,08 mm", ["0,07 mm", "0,08 mm"]),
        ("0.07,0.08,0.09", ["0.07", "0.08", "0.09"]),
        ("0.07,0.08 mm", ["0.07 mm", "0.08 mm"]),
        ("0.07, 0.08, 0.09", ["0.07", "0.08", "0.09"]),
        ("3 thou 4 thou", ["3 thou", "4 thou"]),
        ("0.07mm 0.08mm", ["0.07mm", "0.08mm"]),
        ("3 thou 0.08 mm", ["3 thou", "0.08 mm"]),
        ("0.07 0.08 mm 0.09", ["0.07", "0.08 mm", "0.09"]),
        ("1 US qt 2 US qt", ["1 US qt", "2 US qt"]),
        ("3 1/4 in; 3 1/2 in", ["3 1/4 in", "3 1/2 in"]),
        ("0.08", ["0.08"]),
        ("mm", ["mm"]),
        (" ; ", [" ; "]),
    ],
)
def test_lists_are_parted(text: str, parts: list[str]) -> None:
    assert split_list(text) == parts


@pytest.mark.parametrize("text", ["3 1/4 in", "1/4 1/2 in", "1 1/2 1/4"])
def test_fractions_without_semicolons_are_refused(text: str) -> None:
    with pytest.raises(InputError, match="semicolon"):
        split_list(text)


@pytest.mark.parametrize("text", ["70,80,90 µm", "0.07 0.08 lb", "one two", ";", "0.07 mm 0.08 mm²"])
def test_lists_that_cannot_be_read_are_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_amounts("length", text, "mm", is_list=True)


@pytest.mark.parametrize(
    ("text", "value"),
    [("10.91e-6", 1.091e-5), ("1,1E−5 1/K", 1.1e-5), ("+12e-6/K", 1.2e-5), ("0.000012", 1.2e-5), ("12 ppm/K", 1.2e-5)],
)
def test_powers_of_ten(text: str, value: float) -> None:
    (amount,) = read_amounts("expansion", text, "one_k")
    assert amount.value == value
    assert amount.text == text


@pytest.mark.parametrize("text", ["1e", "1e-6.5", "e-6", "1e-6e-6", "1e999", "1 e-6"])
def test_half_a_power_of_ten_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_amounts("expansion", text, "one_k")


@pytest.mark.parametrize(
    ("text", "chosen"),
    [
        ("old-minus-new", "old-minus-new"),
        ("Old minus New", "old-minus-new"),
        ("old_minus_new", "old-minus-new"),
        ("sealed", "greased-or-sealed"),
    ],
)
def test_choices_in_other_words(text: str, chosen: str) -> None:
    choices = ("old-minus-new", "new-minus-old", "greased-or-sealed")
    assert read_amounts("choice", text, "", choices)[0].text == chosen


def test_a_word_two_choices_have_is_refused() -> None:
    with pytest.raises(InputError, match="not one of the answers"):
        read_amounts("choice", "old", "", ("old-minus-new", "new-minus-old"))
