"""PINs: what one must be like, what is kept of it, and how long to wait after wrong ones.

A PIN is never kept, only what it is checked against: scrypt (RFC 7914) with its parameters and salt in one string, so
that stronger parameters can be used later without asking anybody for a new PIN. A PIN of a few digits would still be
guessed at the keyboard; what stands against that is the wait, which is kept in the logbook and so outlives a restart.
"""

from __future__ import annotations

import hashlib
import hmac
import math
import secrets
from datetime import datetime
from itertools import pairwise

from core.errors import InputError
from core.language import tr

FEWEST_DIGITS, MOST_DIGITS = 4, 12

# About 16 MiB and a twentieth of a second: nothing to who signs, much to who tries them all.
COST, BLOCK, LANES = 2**14, 8, 1
SALT_BYTES, HASH_BYTES = 16, 32
MOST_MEMORY = 64 * 1024 * 1024

FREE_ATTEMPTS = 2
FIRST_WAIT_S, LONGEST_WAIT_S = 5, 300
LONGEST_IN_SECONDS = 90


def checked_pin(text: str) -> str:
    """Return a PIN that may be used from now on.

    Parameters
    ----------
    text : str
        As typed.

    Raises
    ------
    InputError
        It is too short, too long, not of digits, or among the first anybody would try.
    """
    pin = text.strip()
    if not (pin.isascii() and pin.isdigit() and FEWEST_DIGITS <= len(pin) <= MOST_DIGITS):
        raise InputError(
            tr("A PIN is {fewest} to {most} digits.", fewest=FEWEST_DIGITS, most=MOST_DIGITS),
            tr("Type digits only."),
        )
    if is_easy(pin):
        raise InputError(
            tr("This PIN is among the first anybody would try."),
            tr("Choose one that does not count up or down and does not repeat itself."),
        )
    return pin


def is_easy(pin: str) -> bool:
    """Tell whether digits count up or down by one or repeat a shorter pattern.

    Examples
    --------
    >>> [is_easy(pin) for pin in ("0000", "1234", "9876", "8901", "1212", "123123", "2580", "4711")]
    [True, True, True, True, True, True, False, False]
    """
    steps = {(int(after) - int(before)) % 10 for before, after in pairwise(pin)}
    repeats = any(pin[:length] * (len(pin) // length) == pin for length in range(1, len(pin) // 2 + 1))
    return steps in ({1}, {9}) or repeats


def kept(pin: str) -> str:
    """Return what is kept of a PIN: method, parameters, a new salt, and the hash, all in one string."""
    salt = secrets.token_bytes(SALT_BYTES)
    return f"scrypt${COST}${BLOCK}${LANES}${salt.hex()}${_hash(pin, salt, COST, BLOCK, LANES).hex()}"


def matches(pin: str, stored: str) -> bool:
    """Tell whether a PIN is the one something was kept of, in a time that does not depend on how nearly it is.

    Parameters
    ----------
    pin : str
        As typed.
    stored : str
        What `kept` returned; what is damaged matches nothing.
    """
    try:
        method, cost, block, lanes, salt, hashed = stored.split("$")
        wanted = bytes.fromhex(hashed)
        found = _hash(pin.strip(), bytes.fromhex(salt), int(cost), int(block), int(lanes))
    except (ValueError, TypeError, OverflowError):
        return False
    return method == "scrypt" and hmac.compare_digest(found, wanted)


def _hash(pin: str, salt: bytes, cost: int, block: int, lanes: int) -> bytes:
    # Half a surrogate pair, pasted, has no UTF-8; it is simply a wrong PIN.
    typed = pin.encode("utf-8", "surrogatepass")
    return hashlib.scrypt(typed, salt=salt, n=cost, r=block, p=lanes, maxmem=MOST_MEMORY, dklen=HASH_BYTES)


def wait_after(failures: int) -> int:
    """Return how long to wait after so many wrong PINs in a row [s].

    Examples
    --------
    >>> [wait_after(failures) for failures in (0, 2, 3, 4, 5, 8, 9, 1000)]
    [0, 0, 5, 10, 20, 160, 300, 300]
    """
    # The power is bounded before it is taken: a thousand wrong ones must not make a number of a thousand digits.
    doubled = min(failures - FREE_ATTEMPTS - 1, 16)
    return 0 if doubled < 0 else min(FIRST_WAIT_S * 2**doubled, LONGEST_WAIT_S)


def wait_left(failures: int, failed_at: datetime | None, now: datetime) -> float:
    """Return how long there is still to wait [s]; a clock that went backwards makes it the whole wait, never more.

    Parameters
    ----------
    failures : int
        Wrong PINs in a row.
    failed_at : datetime or None
        When the last of them was typed.
    now : datetime
        The present moment.
    """
    wait = wait_after(failures)
    if failed_at is None:
        return 0.0
    return min(max(wait - (now - failed_at).total_seconds(), 0.0), float(wait))


def wait_words(wait_s: float) -> str:
    """Return what to do while a PIN must wait [s], in words; without a wait, to type it again."""
    seconds = math.ceil(wait_s)
    if seconds <= 0:
        return tr("Type it again.")
    if seconds > LONGEST_IN_SECONDS:
        return tr("Wait {minutes} min, then type it again.", minutes=math.ceil(seconds / 60))
    return tr("Wait {seconds} s, then type it again.", seconds=seconds)
