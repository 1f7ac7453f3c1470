"""ISO limits and fits for bores and seats from 3 to 250 mm.

Standard tolerances and fundamental deviations are tables of ISO 286-1:2010 (tables 1 to 5, entered from memory and
compared row by row with independent sources in the tests); the holes K to R follow from the shafts by the standard's
rule with Δ. Size ranges are "over … up to and including". Pressure and heat of a fit are in `press`.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass

from core.errors import InputError
from core.language import tr
from core.mechanics.checks import above, within

SMALLEST_MM = 3.0
LARGEST_MM = 250.0

_STEPS_MM = (6, 10, 18, 30, 50, 80, 120, 180, 250)
_FINE_STEPS_MM = (6, 10, 18, 30, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250)

# Micrometres, one value for each step.
_GRADES_UM: dict[int, tuple[int, ...]] = {
    4: (4, 4, 5, 6, 7, 8, 10, 12, 14),
    5: (5, 6, 8, 9, 11, 13, 15, 18, 20),
    6: (8, 9, 11, 13, 16, 19, 22, 25, 29),
    7: (12, 15, 18, 21, 25, 30, 35, 40, 46),
    8: (18, 22, 27, 33, 39, 46, 54, 63, 72),
}
_SHAFT_J_UM: dict[int, tuple[int, ...]] = {
    5: (-2, -2, -3, -4, -5, -7, -9, -11, -13),
    6: (-2, -2, -3, -4, -5, -7, -9, -11, -13),
    7: (-4, -5, -6, -8, -10, -12, -15, -18, -21),
}
_HOLE_J_UM: dict[int, tuple[int, ...]] = {
    6: (5, 5, 6, 8, 10, 13, 16, 18, 22),
    7: (6, 8, 10, 12, 14, 18, 22, 26, 30),
    8: (10, 12, 15, 20, 24, 28, 34, 41, 47),
}
_LOWER_UM: dict[str, tuple[int, ...]] = {
    "k": (1, 1, 1, 2, 2, 2, 3, 3, 4),
    "m": (4, 6, 7, 8, 9, 11, 13, 15, 17),
    "n": (8, 10, 12, 15, 17, 20, 23, 27, 31),
    "p": (12, 15, 18, 22, 26, 32, 37, 43, 50),
    "r": (15, 19, 23, 28, 34, 41, 43, 51, 54, 63, 65, 68, 77, 80, 84),
    "s": (19, 23, 28, 35, 43, 53, 59, 71, 79, 92, 100, 108, 122, 130, 140),
}

_CLASS = re.compile(r"(JS|js|[hjkmnprsHJKMNPR])([5-8])")


@dataclass(frozen=True)
class Deviations:
    """Limit deviations of a tolerance class from the nominal size [µm]."""

    upper_um: float
    lower_um: float


@dataclass(frozen=True)
class Clearance:
    """Smallest and largest clearance of a fit [mm]; negative is interference."""

    smallest_mm: float
    largest_mm: float


def _value(row: tuple[int, ...], diameter_mm: float) -> int:
    """Return the value of a row for a diameter; rows of `r` and `s` have finer steps."""
    steps_mm = _STEPS_MM if len(row) == len(_STEPS_MM) else _FINE_STEPS_MM
    return row[bisect_left(steps_mm, diameter_mm)]


def _refuse(tolerance_class: str) -> InputError:
    return InputError(
        tr("{name} is not a tolerance class this calculation knows.", name=tolerance_class[:20]),
        tr("Give a shaft h j js k m n p r s or a hole H J JS K M N P R with a grade 5 to 8, such as k6 or H7."),
    )


def deviations(diameter_mm: float, tolerance_class: str) -> Deviations:
    """Return the limit deviations of a hole or shaft.

    Shafts: lower deviation from the table, upper = lower + IT (h and js from IT alone). Holes: H from 0 up; K, M and N
    up to grade 8 and P and R up to grade 7 have the upper deviation −(shaft's) + Δ, with Δ = IT of this grade − IT of
    the grade below; P8 and R8 have −(shaft's).

    Parameters
    ----------
    diameter_mm : float
        Nominal size [mm], over 3 up to and including 250.
    tolerance_class : str
        Letter and grade: ``k6``, ``js7`` (shafts), ``H7``, ``JS6`` (holes); grades 5 to 8. j8 and J5 do not exist.

    Returns
    -------
    Deviations
        Upper and lower limit deviation [µm].

    Raises
    ------
    RangeError
        For a size outside 3–250 mm.
    InputError
        For a class this table does not have.

    Notes
    -----
    Source: ISO 286-1:2010 and ISO 286-2:2010. js is ± IT/2 unrounded, as in the edition of 2010.

    Examples
    --------
    >>> deviations(45.0, "k6"), deviations(100.0, "K7")
    (Deviations(upper_um=18, lower_um=2), Deviations(upper_um=10, lower_um=-25))
    """
    above("diameter_mm", within("diameter_mm", diameter_mm, SMALLEST_MM, LARGEST_MM, "mm"), SMALLEST_MM, "mm")
    match = _CLASS.fullmatch(tolerance_class.strip())
    if not match:
        raise _refuse(tolerance_class)
    letter, grade = match[1], int(match[2])
    width_um = _value(_GRADES_UM[grade], diameter_mm)
    if letter.lower() == "js":
        return Deviations(width_um / 2.0, -width_um / 2.0)
    if letter.lower() == "j":
        row = (_SHAFT_J_UM if letter == "j" else _HOLE_J_UM).get(grade)
        if row is None:
            raise _refuse(tolerance_class)
        bound_um = _value(row, diameter_mm)
        return Deviations(bound_um + width_um, bound_um) if letter == "j" else Deviations(bound_um, bound_um - width_um)
    if letter.islower():
        lower_um = _shaft_lower_um(letter, grade, diameter_mm)
        return Deviations(lower_um + width_um, lower_um)
    upper_um = _hole_upper_um(letter, grade, diameter_mm)
    return Deviations(upper_um, upper_um - width_um)


def _shaft_lower_um(letter: str, grade: int, diameter_mm: float) -> int:
    """Return the lower deviation of a shaft h or k to s [µm]."""
    if letter == "h":
        return -_value(_GRADES_UM[grade], diameter_mm)
    if letter == "k" and grade > 7:
        return 0
    return _value(_LOWER_UM[letter], diameter_mm)


def _hole_upper_um(letter: str, grade: int, diameter_mm: float) -> int:
    """Return the upper deviation of a hole H or K to R [µm]."""
    if letter == "H":
        return _value(_GRADES_UM[grade], diameter_mm)
    upper_um = -_value(_LOWER_UM[letter.lower()], diameter_mm)
    if letter in "PR" and grade > 7:
        return upper_um
    return upper_um + _value(_GRADES_UM[grade], diameter_mm) - _value(_GRADES_UM[grade - 1], diameter_mm)


def size_limits_mm(diameter_mm: float, tolerance_class: str) -> tuple[float, float]:
    """Return the smallest and largest size a bore or seat of a class may have.

    Parameters
    ----------
    diameter_mm : float
        Nominal size [mm], over 3 up to and including 250.
    tolerance_class : str
        As for `deviations`.

    Returns
    -------
    tuple of float
        Smallest and largest size [mm]: the limits a measured bore or seat is judged by.

    Raises
    ------
    RangeError, InputError
        As `deviations`.

    Examples
    --------
    >>> [round(size, 3) for size in size_limits_mm(75.0, "N7")]
    [74.961, 74.991]
    """
    limits = deviations(diameter_mm, tolerance_class)
    return diameter_mm + limits.lower_um / 1000.0, diameter_mm + limits.upper_um / 1000.0


def fit(diameter_mm: float, hole_class: str, shaft_class: str) -> Clearance:
    """Return the smallest and largest clearance of a fit.

    smallest = hole's lower − shaft's upper deviation, largest = hole's upper − shaft's lower deviation.

    Parameters
    ----------
    diameter_mm : float
        Nominal size [mm], over 3 up to and including 250.
    hole_class, shaft_class : str
        As for `deviations`: a capital letter for the hole, a small one for the shaft.

    Returns
    -------
    Clearance
        Smallest and largest clearance [mm]; negative is interference.

    Raises
    ------
    RangeError, InputError
        As `deviations`, and for two holes or two shafts.

    Examples
    --------
    >>> fit(40.0, "H7", "p6")
    Clearance(smallest_mm=-0.042, largest_mm=-0.001)
    """
    if not hole_class.strip()[:1].isupper():
        raise _refuse(hole_class)
    if not shaft_class.strip()[:1].islower():
        raise _refuse(shaft_class)
    hole, shaft = deviations(diameter_mm, hole_class), deviations(diameter_mm, shaft_class)
    return Clearance((hole.lower_um - shaft.upper_um) / 1000.0, (hole.upper_um - shaft.lower_um) / 1000.0)


def measured_clearance_mm(bore_mm: float, seat_mm: float) -> float:
    """Return the clearance of a measured bore on a measured seat.

    Parameters
    ----------
    bore_mm, seat_mm : float
        Measured diameters [mm], above 0.

    Returns
    -------
    float
        Clearance [mm]; negative is interference.

    Raises
    ------
    RangeError
        For sizes not above 0.

    Examples
    --------
    >>> round(measured_clearance_mm(44.992, 45.012), 3)
    -0.02
    """
    return above("bore_mm", bore_mm, 0.0, "mm") - above("seat_mm", seat_mm, 0.0, "mm")
