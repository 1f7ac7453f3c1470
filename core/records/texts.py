"""Texts and numbers on their way into the logbook: what cannot be stored is refused with a sentence, here only."""

from __future__ import annotations

import math
import unicodedata
from datetime import UTC, datetime, timedelta

from core.errors import InputError
from core.language import tr

LONGEST_LINE = 200
LONGEST_NOTE = 4000
LONGEST_KEY = 80
CLOCK_SKEW = timedelta(minutes=5)
"""How far the clocks of two benches may be apart before a time counts as lying in the future."""


def fold(text: str) -> str:
    """Return a text without the differences of case and of Unicode forms, for comparing and searching."""
    # Case folding may undo the composed form, so the form is made once more.
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).casefold())


def serial_key(serial: str) -> str:
    """Return what two spellings of one serial number have in common: no case, space, dash or invisible sign.

    Examples
    --------
    >>> serial_key("k 1183") == serial_key("K-1183") == serial_key("K1183")
    True
    """
    dropped = {"Zs", "Zl", "Zp", "Pd", "Cf", "Cc"}
    return "".join(c for c in fold(serial) if unicodedata.category(c) not in dropped and c != "\u2212")


def look_key(key: str) -> str:
    """Return a serial key with the signs made one that are read for each other.

    Examples
    --------
    >>> look_key(serial_key("KO-I183")) == look_key(serial_key("k0 1l83"))
    True
    """
    return key.translate(str.maketrans("oil", "011"))


def note(text: str, what: str, longest: int = LONGEST_NOTE) -> str:
    """Return a text that may run over lines, if it can be stored.

    Parameters
    ----------
    text : str
        As typed.
    what : str
        What the text is, translated, for the sentence.
    longest : int
        Most characters.

    Raises
    ------
    InputError
        It is too long, or holds a character that is none (NUL, half a surrogate pair, a control character).
    """
    if len(text) > longest:
        raise InputError(
            tr("{what}: {count} characters are too many.", what=what, count=len(text)),
            tr("Shorten it to {most} characters.", most=longest),
        )
    for character in text:
        if unicodedata.category(character) in ("Cc", "Cs") and character not in "\t\n\r":
            raise InputError(
                tr(
                    "{what}: a character in it cannot be kept (U+{code:04X}).",
                    what=what,
                    code=ord(character),
                ),
                tr("Remove it, or type the text anew."),
            )
    return text


def line(text: str, what: str, longest: int = LONGEST_LINE, *, is_needed: bool = False) -> str:
    """Return a text of one line, runs of white space made one space; see `note` for what is refused."""
    # The length is checked before the text is taken apart: a pasted megabyte costs nothing.
    tidy = " ".join(note(text, what, longest).split())
    if is_needed and not tidy:
        raise InputError(tr("{what} is missing.", what=what), tr("Type it."))
    return tidy


def number(value: float, what: str, low: float, high: float) -> float:
    """Return a number that is finite and within what is possible [unit of the caller]."""
    if not (math.isfinite(value) and low <= value <= high):
        raise InputError(
            tr("{what} is {value:g}, which cannot be.", what=what, value=value),
            tr("It must lie between {low:g} and {high:g}.", low=low, high=high),
        )
    return value


def whole(value: int, what: str, low: int, high: int) -> int:
    """Return a whole number within what is possible."""
    if not low <= value <= high:
        raise InputError(
            tr("{what} is {value}, which cannot be.", what=what, value=str(value)[:20]),
            tr("It must lie between {low} and {high}.", low=low, high=high),
        )
    return value


def to_time_text(at: datetime, now: datetime) -> str:
    """Return a moment as it is stored: ISO 8601 in UTC, always of the same width, so that it sorts.

    Raises
    ------
    InputError
        The moment lies in the future.
    ValueError
        The moment says no time zone; the program never makes one of those.
    """
    if at.tzinfo is None:
        raise ValueError("a moment in the logbook needs a time zone")
    if at > now + CLOCK_SKEW:
        raise InputError(
            tr("{moment} lies in the future.", moment=at.strftime("%Y-%m-%d %H:%M")),
            tr("Check the date, and the clock of this machine."),
        )
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def from_time_text(text: str) -> datetime:
    """Return the moment a stored text stands for."""
    return datetime.fromisoformat(text)
