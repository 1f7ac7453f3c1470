"""The one gate of the mechanics: a value outside what a formula is valid for is refused, never clamped."""

from __future__ import annotations

import math

from core.errors import RangeError
from core.language import tr


def above(argument: str, value: float, low: float = 0.0, unit: str = "") -> float:
    """Return a finite value greater than `low`, or refuse it.

    Raises
    ------
    RangeError
        For a value that is not greater than `low`, is infinite or is not a number.

    Examples
    --------
    >>> above("diameter_mm", 12.0, 0.0, "mm")
    12.0
    """
    if not low < value < math.inf:
        raise RangeError(argument, value, tr("more than {low}", low=_with_unit(low, unit)))
    return value


def at_least(argument: str, value: float, low: float = 0.0, unit: str = "") -> float:
    """Return a finite value of `low` or more, or refuse it.

    Raises
    ------
    RangeError
        For a value below `low`, or one that is infinite or not a number.

    Examples
    --------
    >>> at_least("readings", 3, 1)
    3
    """
    if not low <= value < math.inf:
        raise RangeError(argument, value, tr("{low} or more", low=_with_unit(low, unit)))
    return value


def within(argument: str, value: float, low: float, high: float, unit: str = "") -> float:
    """Return a value from `low` to `high`, both allowed, or refuse it.

    Raises
    ------
    RangeError
        For a value outside, or one that is not a number.

    Examples
    --------
    >>> within("stem_angle_deg", 0.0, -80.0, 80.0, "°")
    0.0
    """
    if not low <= value <= high:
        raise RangeError(argument, value, tr("from {low:g} to {high}", low=low, high=_with_unit(high, unit)))
    return value


def between(argument: str, value: float, low: float, high: float, unit: str = "") -> float:
    """Return a value strictly between `low` and `high`, or refuse it.

    Raises
    ------
    RangeError
        For a value outside or on a bound, or one that is not a number.

    Examples
    --------
    >>> between("gear_pitch_angle_deg", 70.3, 0.0, 90.0, "°")
    70.3
    """
    if not low < value < high:
        raise RangeError(argument, value, tr("between {low:g} and {high}", low=low, high=_with_unit(high, unit)))
    return value


def finite(argument: str, value: float) -> float:
    """Return a value that is a finite number, or refuse it.

    Raises
    ------
    RangeError
        For an infinite value or one that is not a number.

    Examples
    --------
    >>> finite("move_mm", -0.1)
    -0.1
    """
    if not math.isfinite(value):
        raise RangeError(argument, value, tr("a finite number"))
    return value


def _with_unit(bound: float, unit: str) -> str:
    """Write a bound as a person reads it: ``90°``, ``0 mm``, ``3``."""
    space = "" if unit in ("", "°") else " "
    return f"{bound:g}{space}{unit}"
