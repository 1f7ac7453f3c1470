"""Words as the search knows them: one way of taking a text apart for both engines.

A word is a run of letters and digits without case and accents, so whatever else somebody types is plain space between
words and never an order to the engine. The ends of a serial number are words of their own kind, with the signs made
one that are read for each other; any piece of a serial number is the beginning of one of its ends.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from core.records.texts import fold, look_key

LOOK = "§"
"""Stands before a word that is the end of a serial number; no word of a text begins like that."""
LONGEST_WORD = 32
"""Letters kept of a word; both what is looked for and what is looked in are cut alike."""
LONGEST_SEARCH = 10_000
"""Characters looked at of what somebody types or pastes."""
MOST_ASKED = 64
"""Words looked for at once; more would not narrow a search any further."""
MOST_KEPT = 8_000
"""Different words kept of one job: a server takes no more than a megabyte."""

_ACCENTS = ("Mn", "Mc", "Me")
# Letters with a stroke or grown together do not come apart by themselves.
_PLAIN = str.maketrans(
    {"ł": "l", "ø": "o", "đ": "d", "ħ": "h", "ŧ": "t", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i"}
)


def search_words(text: str) -> list[str]:
    """Return the different words of a text, in their order.

    Parameters
    ----------
    text : str
        Whatever was written or typed.

    Examples
    --------
    >>> search_words("Łucja Ströß, NEAR(50%) ströss*")
    ['lucja', 'stross', 'near', '50']
    """
    return list(dict.fromkeys(run[:LONGEST_WORD] for run in _runs(text)))


def _runs(text: str) -> list[str]:
    """Return the runs of letters and digits of a text, without case and accents."""
    plain = unicodedata.normalize("NFKD", fold(text)).translate(_PLAIN)
    bare = (c for c in plain if unicodedata.category(c) not in _ACCENTS)
    return "".join(c if c.isalnum() else " " for c in bare).split()


def look_words(serial: str) -> list[str]:
    """Return the ends of a serial number as words.

    Examples
    --------
    >>> look_words("K-1I8")
    ['§k118', '§118', '§18', '§8']
    """
    key = look_key("".join(_runs(serial)))
    return [LOOK + key[start : start + LONGEST_WORD] for start in range(len(key))]


def words_of_job(number: str, serial: str, texts: Iterable[str]) -> list[str]:
    """Return every word a job is found by."""
    words = [*search_words(number), "".join(_runs(number))[:LONGEST_WORD], *look_words(serial)]
    for text in (serial, *texts):
        words += search_words(text)
    return list(dict.fromkeys(word for word in words if word))[:MOST_KEPT]


def asked_words(text: str) -> list[tuple[str, str]]:
    """Return the words somebody looks for, each as it may begin in a text and as it may stand in a serial number."""
    words = search_words(text[:LONGEST_SEARCH])[:MOST_ASKED]
    return [(word, LOOK + look_key(word)) for word in words]
