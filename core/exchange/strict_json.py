"""JSON as it is written here, and JSON as it comes: no key twice, no number that is none, no half signs."""

from __future__ import annotations

import json
import math
from typing import Any

from core.exchange.form import unusable
from core.language import tr

MOST_DIGITS = 40
"""No number that is written here has more characters."""


class NotTakenError(ValueError):
    """What JSON allows, or a reader lets pass, and is not taken here; its text is a part of a sentence."""


def written(value: Any) -> bytes:
    """Return JSON in UTF-8: the same value gives the same bytes every time."""
    text = json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return (text + "\n").encode("utf-8")


def read(data: bytes, name: str) -> Any:
    """Return what a JSON file holds.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        What it is called, for the sentence.

    Raises
    ------
    InputError
        It is no JSON, too deep, names a key twice, or holds a number that is none.
    """
    try:
        return loaded(data)
    except RecursionError:
        raise unusable(tr("{name} in the archive is nested too deeply.", name=name)) from None
    except NotTakenError as refused:
        raise unusable(
            tr("{name} in the archive holds {what}, which cannot be taken.", name=name, what=refused)
        ) from None
    except ValueError:
        raise unusable(tr("{name} in the archive cannot be read as JSON.", name=name)) from None


def loaded(data: bytes) -> Any:
    """Return what JSON in UTF-8 holds; NotTakenError, RecursionError or another ValueError where it cannot be taken."""
    return json.loads(
        data.decode("utf-8"),
        object_pairs_hook=_object,
        parse_constant=_no_constant,
        parse_float=_number,
        parse_int=_whole,
    )


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise NotTakenError(tr("the key {key!r} twice", key=twice[:40]))
    return found


def _no_constant(word: str) -> Any:
    raise NotTakenError(word)


def _number(digits: str) -> float:
    value = float(digits) if len(digits) <= MOST_DIGITS else math.inf
    if not math.isfinite(value):
        raise NotTakenError(digits[:MOST_DIGITS])
    return value


def _whole(digits: str) -> int:
    if len(digits) > MOST_DIGITS:
        raise NotTakenError(digits[:MOST_DIGITS] + "…")
    return int(digits)
