"""PINs: what is refused, what is kept, and the wait."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError
from core.pins import (
    FEWEST_DIGITS,
    LONGEST_WAIT_S,
    MOST_DIGITS,
    checked_pin,
    is_easy,
    kept,
    matches,
    wait_after,
    wait_words,
)
from core.pins import wait_left as left

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
digits = st.text("0123456789", min_size=FEWEST_DIGITS, max_size=MOST_DIGITS)
failures = st.integers(0, 10_000)
moments = st.integers(-10_000_000, 10_000_000).map(lambda seconds: NOW + timedelta(seconds=seconds))


@pytest.mark.parametrize("typed", ["2580", "4711", "00001", "135792468135", " 2580 "])
def test_a_pin_is_four_to_twelve_digits(typed: str) -> None:
    assert checked_pin(typed) == typed.strip()


@pytest.mark.parametrize(
    "typed", ["", "   ", "258", "1357924681357", "25a0", "25 80", "-2580", "٢٥٨٠", "²580", "2580\x00"]
)
def test_what_is_no_pin_is_refused_with_what_one_is(typed: str) -> None:
    with pytest.raises(InputError, match="4 to 12 digits"):
        checked_pin(typed)


@pytest.mark.parametrize(
    "typed", ["0000", "999999999", "1234", "0123456789", "4321", "7890", "1212", "258258", "258025802580"]
)
def test_what_anybody_would_try_first_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="first anybody would try"):
        checked_pin(typed)


@given(digits)
def test_few_pins_are_easy_ones_and_both_ways_are_alike(pin: str) -> None:
    assert is_easy(pin) == is_easy(pin[::-1])


def test_not_many_of_the_short_ones_are_refused() -> None:
    easy = [pin for pin in (f"{number:04d}" for number in range(10_000)) if is_easy(pin)]
    # A pattern of two digits twice, with all ten of one digit among them, and the runs up and down.
    assert len(easy) == 100 + 20


def test_what_is_kept_says_how_and_not_what() -> None:
    stored = kept("2580")
    assert stored.split("$")[:4] == ["scrypt", "16384", "8", "1"]
    assert "2580" not in stored.split("$")[0]
    assert kept("2580") != stored, "each has a salt of its own"
    assert matches("2580", stored)
    assert matches(" 2580 ", stored)
    for other in ("2581", "258", "25800", "", "\ud83d", "x" * 100_000):
        assert not matches(other, stored)


def test_the_published_parameters_are_read_from_what_is_kept() -> None:
    # RFC 7914, section 12: the second test vector; its first 32 bytes are what a key of 32 bytes would be.
    salt = b"NaCl".hex()
    vector = "fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b373162"
    assert matches("password", f"scrypt$1024$8$16${salt}${vector}")
    assert not matches("Password", f"scrypt$1024$8$16${salt}${vector}")


@pytest.mark.parametrize(
    "stored",
    [
        "",
        "scrypt",
        "scrypt$16384$8$1$00",
        "scrypt$x$8$1$00$00",
        "scrypt$16384$8$1$zz$00",
        "scrypt$3$8$1$00$00",
        "scrypt$99999999999999999999$8$1$00$00",
        "scrypt$1048576$1024$1$00$00",
        "scrypt$-2$8$1$00$00",
        "md5$16384$8$1$00$00",
    ],
)
def test_what_is_damaged_matches_nothing(stored: str) -> None:
    assert not matches("2580", stored)


@given(failures)
def test_the_wait_never_shrinks_with_more_wrong_ones(count: int) -> None:
    assert 0 <= wait_after(count) <= wait_after(count + 1) <= LONGEST_WAIT_S


def test_three_wrong_ones_wait_and_then_twice_as_long() -> None:
    assert [wait_after(count) for count in range(10)] == [0, 0, 0, 5, 10, 20, 40, 80, 160, 300]


@given(failures, moments, moments)
def test_no_clock_makes_the_wait_longer_than_the_whole_or_less_than_nothing(
    count: int, failed_at: datetime, now: datetime
) -> None:
    assert 0 <= left(count, failed_at, now) <= wait_after(count)


@given(failures, moments, st.integers(0, 1000))
def test_the_wait_runs_out_as_time_goes_on(count: int, failed_at: datetime, seconds: int) -> None:
    at = failed_at + timedelta(seconds=seconds)
    assert left(count, failed_at, at + timedelta(seconds=1)) <= left(count, failed_at, at)
    assert left(count, failed_at, failed_at + timedelta(seconds=LONGEST_WAIT_S)) == 0


@given(failures, moments, st.integers(1, 10_000_000))
def test_a_clock_set_back_neither_unlocks_nor_lengthens(count: int, failed_at: datetime, back: int) -> None:
    assert left(count, failed_at, failed_at - timedelta(seconds=back)) == wait_after(count)


def test_nobody_waits_who_never_failed() -> None:
    assert left(0, None, NOW) == 0


@pytest.mark.parametrize(
    ("wait_s", "said"),
    [
        (0, "Type it again."),
        (0.2, "Wait 1 s,"),
        (5, "Wait 5 s,"),
        (90, "Wait 90 s,"),
        (91, "Wait 2 min,"),
        (300, "Wait 5 min,"),
    ],
)
def test_the_wait_in_words(wait_s: float, said: str) -> None:
    assert said in wait_words(wait_s)
