"""What may come into the logbook as text, number or time, and what two spellings have in common."""

from __future__ import annotations

import unicodedata
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError
from core.records.texts import (
    CLOCK_SKEW,
    LONGEST_NOTE,
    fold,
    from_time_text,
    line,
    note,
    number,
    serial_key,
    to_time_text,
    whole,
)

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    "typed",
    [
        "K-1183",
        "k1183",
        "K 1183",
        " k – 1183 ",
        "k\u00a01183",
        "K\u20111183",
        "K\u22121183",
        "Ｋ１１８３",
        "k\u200b1183",
    ],
)
def test_spellings_of_one_serial_number_are_one(typed: str) -> None:
    assert serial_key(typed) == serial_key("K-1183")


@pytest.mark.parametrize("typed", ["K-1184", "K/1183", "K.1183", "KK1183", "K11830"])
def test_other_serial_numbers_are_others(typed: str) -> None:
    assert serial_key(typed) != serial_key("K-1183")


@given(st.text())
def test_folding_twice_changes_nothing(text: str) -> None:
    assert fold(fold(text)) == fold(text)


@given(st.text())
def test_case_does_not_matter_to_folding(text: str) -> None:
    assert fold(text.casefold()) == fold(text)


@pytest.mark.parametrize("code", [0x00, 0x07, 0x1B, 0x7F, 0x85, 0xD800, 0xDFFF])
def test_what_is_no_character_is_refused_by_its_code(code: int) -> None:
    with pytest.raises(InputError, match=f"U\\+{code:04X}") as refused:
        note(f"before{chr(code)}after", "The note")
    assert refused.value.remedy


@given(st.text(alphabet=st.characters(exclude_categories=("Cs", "Cc")), max_size=200))
def test_every_other_character_passes_untouched(text: str) -> None:
    assert note(text, "The note") == text


@pytest.mark.parametrize("plane", range(17))
def test_every_plane_of_unicode_passes(plane: int) -> None:
    character = chr(plane * 0x10000 + 0xABCD)
    assert unicodedata.category(character) != "Cs"
    assert line(character, "The name") == character


def test_a_pasted_megabyte_is_refused_and_not_repeated_in_the_sentence() -> None:
    with pytest.raises(InputError) as refused:
        note("x" * 1_000_000, "The note")
    assert len(str(refused.value)) < 200


def test_the_longest_note_is_taken() -> None:
    assert len(note("x" * LONGEST_NOTE, "The note")) == LONGEST_NOTE
    with pytest.raises(InputError):
        note("x" * (LONGEST_NOTE + 1), "The note")


def test_a_line_is_one_line() -> None:
    assert line("  Hill-climb\n\tclub ", "The customer") == "Hill-climb club"


def test_a_needed_line_must_say_something() -> None:
    with pytest.raises(InputError, match="The name is missing"):
        line(" \n ", "The name", is_needed=True)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf"), -0.1, 1.1])
def test_impossible_numbers_are_refused(value: float) -> None:
    with pytest.raises(InputError):
        number(value, "The ratio", 0.0, 1.0)


def test_a_huge_whole_number_is_refused_with_a_short_sentence() -> None:
    with pytest.raises(InputError) as refused:
        whole(10**400, "The trial", 0, 999)
    assert len(str(refused.value)) < 200


@given(st.datetimes(min_value=datetime(1990, 1, 1), max_value=datetime(2026, 3, 1)), st.integers(-14, 14))
def test_a_moment_comes_back_as_it_went_in(moment: datetime, hours: int) -> None:
    at = moment.replace(tzinfo=timezone(timedelta(hours=hours)))
    text = to_time_text(at, NOW)
    assert from_time_text(text) == at
    assert text.endswith("+00:00")


@given(st.lists(st.datetimes(min_value=datetime(1990, 1, 1), max_value=datetime(2026, 3, 1)), min_size=2))
def test_stored_moments_sort_as_texts(moments: list[datetime]) -> None:
    at = [moment.replace(tzinfo=UTC) for moment in moments]
    assert [to_time_text(moment, NOW) for moment in sorted(at)] == sorted(to_time_text(moment, NOW) for moment in at)


def test_two_clocks_may_differ_a_little_but_the_future_is_refused() -> None:
    assert to_time_text(NOW + CLOCK_SKEW, NOW)
    with pytest.raises(InputError, match="future"):
        to_time_text(NOW + CLOCK_SKEW + timedelta(seconds=1), NOW)


def test_a_moment_without_a_time_zone_is_a_bug() -> None:
    with pytest.raises(ValueError, match="time zone"):
        to_time_text(datetime(2026, 3, 1), NOW)
