"""How sure a reading is: standard uncertainties, their sum, and the guard a limit is pulled in by.

Sources
-------
GUM: JCGM 100:2008, *Guide to the expression of uncertainty in measurement*, 4.2 (type A), 4.3.7 (rectangular),
5.1.2 (combination), 6.2 (expansion), F.2.2.1 (resolution). ISO 14253-1:2017, decision rules; the guard factor 1.65 is
its default for a probability of conformity of 95 %. Clause numbers are from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from core.errors import RangeError
from core.language import tr

COVERAGE = 2.0
"""Coverage factor k of an expanded uncertainty: about 95 % of a normal distribution (GUM 6.3.3)."""

GUARD = 1.65
"""Guard factor of ISO 14253-1:2017: 95 % on one side of a normal distribution."""


_STUDENT_95: tuple[tuple[float, float], ...] = (
    (1, 13.97),
    (2, 4.53),
    (3, 3.31),
    (4, 2.87),
    (5, 2.65),
    (6, 2.52),
    (7, 2.43),
    (8, 2.37),
    (9, 2.32),
    (10, 2.28),
    (11, 2.25),
    (12, 2.23),
    (13, 2.21),
    (14, 2.20),
    (15, 2.18),
    (16, 2.17),
    (17, 2.16),
    (18, 2.15),
    (19, 2.14),
    (20, 2.13),
    (25, 2.11),
    (30, 2.09),
    (35, 2.07),
    (40, 2.06),
    (45, 2.06),
    (50, 2.05),
    (100, 2.025),
    (math.inf, 2.000),
)


def resolution_u(resolution: float) -> float:
    """Return the standard uncertainty of reading a display.

    u = r/√12: the value lies anywhere within ± half a step.

    Parameters
    ----------
    resolution : float
        Smallest step of the gauge [unit of the reading], not negative.

    Returns
    -------
    float
        Standard uncertainty [unit of the reading].

    Raises
    ------
    RangeError
        For a negative or unknown resolution.

    Examples
    --------
    >>> round(resolution_u(0.01), 7)
    0.0028868
    """
    return _not_negative("resolution", resolution) / math.sqrt(12.0)


def rectangular_u(half_width: float) -> float:
    """Return the standard uncertainty of a value known only to lie within ± a.

    u = a/√3, a being the stated error of the gauge (its largest permissible error).

    Parameters
    ----------
    half_width : float
        Half width a [unit of the reading], not negative.

    Returns
    -------
    float
        Standard uncertainty [unit of the reading].

    Raises
    ------
    RangeError
        For a negative or unknown half width.

    Examples
    --------
    >>> round(rectangular_u(0.015), 7)
    0.0086603
    """
    return _not_negative("half_width", half_width) / math.sqrt(3.0)


def mean_u(deviation: float, readings: int) -> float:
    """Return the standard uncertainty of the mean of several readings.

    u = s/√n. With few readings s itself is poorly known; below about ten an s known from earlier work is better.

    Parameters
    ----------
    deviation : float
        Standard deviation s of one reading [unit of the reading], not negative.
    readings : int
        Number n of readings in the mean, 1 or more.

    Returns
    -------
    float
        Standard uncertainty [unit of the reading].

    Raises
    ------
    RangeError
        For a negative deviation or no reading.

    Examples
    --------
    >>> round(mean_u(0.004, 3), 7)
    0.0023094
    """
    if readings < 1:
        raise RangeError("readings", readings, tr("1 or more"))
    return _not_negative("deviation", deviation) / math.sqrt(readings)


def combined_u(*components: float) -> float:
    """Return the standard uncertainty of a sum of independent influences.

    u = √(u1² + u2² + …), each with a sensitivity of 1.

    Parameters
    ----------
    *components : float
        Standard uncertainties [unit of the reading], not negative.

    Returns
    -------
    float
        Combined standard uncertainty [unit of the reading].

    Examples
    --------
    >>> combined_u(0.003, 0.004)
    0.005
    """
    return math.hypot(*(_not_negative("component", u) for u in components))


def reading_u(resolution: float, stated_error: float, deviation: float = 0.0, readings: int = 1) -> float:
    """Return the standard uncertainty of a reading, or of a mean, from what is known of its gauge.

    u = √(r²/12 + a²/3 + s²/n).

    Parameters
    ----------
    resolution, stated_error : float
        Smallest step r and largest permissible error ± a of the gauge [unit of the reading].
    deviation : float
        Standard deviation s of one reading [unit of the reading].
    readings : int
        Number n of readings in the mean.

    Returns
    -------
    float
        Combined standard uncertainty [unit of the reading].

    Raises
    ------
    RangeError
        For a negative component or no reading.

    Examples
    --------
    A dial gauge reading to 0.01 mm, permissible error ± 0.015 mm, s 0.004 mm over three readings:

    >>> round(reading_u(0.01, 0.015, 0.004, 3), 7)
    0.0094163
    """
    return combined_u(resolution_u(resolution), rectangular_u(stated_error), mean_u(deviation, readings))


def expanded_u(standard_u: float, coverage: float = COVERAGE) -> float:
    """Return the expanded uncertainty U = k u.

    Parameters
    ----------
    standard_u : float
        Standard uncertainty u [unit of the reading].
    coverage : float
        Coverage factor k.

    Returns
    -------
    float
        Expanded uncertainty [unit of the reading].

    Examples
    --------
    >>> round(expanded_u(0.0094163), 4)
    0.0188
    """
    return coverage * _not_negative("standard_u", standard_u)


def guard(standard_u: float, factor: float = GUARD) -> float:
    """Return the guard a limit is pulled in by to prove conformity, and pushed out by to prove the contrary.

    g = 1.65 u (ISO 14253-1:2017).

    Parameters
    ----------
    standard_u : float
        Standard uncertainty u [unit of the reading].
    factor : float
        Guard factor.

    Returns
    -------
    float
        Guard [unit of the reading].

    Examples
    --------
    >>> round(guard(0.0094163), 6)
    0.015537
    """
    return factor * _not_negative("standard_u", standard_u)


def effective_degrees(standard_u: float, components: Sequence[tuple[float, float]]) -> float:
    """Return the effective degrees of freedom of a combined standard uncertainty.

    Welch–Satterthwaite: ν = u⁴/Σ(u_i⁴/ν_i).

    Parameters
    ----------
    standard_u : float
        Combined standard uncertainty [unit of the reading].
    components : sequence of tuple
        Standard uncertainty [unit of the reading] and degrees of freedom of each component; `math.inf` for one that is
        known, such as resolution or stated error.

    Returns
    -------
    float
        Degrees of freedom; infinite where every component is known.

    Raises
    ------
    RangeError
        For a negative uncertainty or less than 1 degree of freedom.

    Notes
    -----
    Source: GUM G.4.1, equation G.2b.

    Examples
    --------
    >>> round(effective_degrees(0.0094163, [(0.0091287, math.inf), (0.0023094, 2)]))
    553
    """
    weight = 0.0
    for u, degrees in components:
        if not degrees >= 1.0:
            raise RangeError("degrees of freedom", degrees, tr("1 or more"))
        weight += _not_negative("component", u) ** 4 / degrees
    return _not_negative("standard_u", standard_u) ** 4 / weight if weight else math.inf


def coverage_factor(degrees: float) -> float:
    """Return the coverage factor for about 95 % from the degrees of freedom.

    The value of Student's t for 95.45 %, from the table; between its rows the next lower one counts, which is the
    larger factor.

    Parameters
    ----------
    degrees : float
        Effective degrees of freedom, 1 or more; may be infinite.

    Returns
    -------
    float
        Coverage factor k [-].

    Raises
    ------
    RangeError
        For less than 1 degree of freedom.

    Notes
    -----
    Source: GUM table G.2, column 95.45 %, printed to two decimals.

    Examples
    --------
    >>> coverage_factor(2), coverage_factor(553), coverage_factor(math.inf)
    (4.53, 2.025, 2.0)
    """
    if not degrees >= 1.0:
        raise RangeError("degrees of freedom", degrees, tr("1 or more"))
    return next(factor for least, factor in reversed(_STUDENT_95) if degrees >= least)


def _not_negative(argument: str, value: float) -> float:
    """Return the value, or refuse one that is negative, infinite or not a number."""
    if not 0.0 <= value < math.inf:
        raise RangeError(argument, value, tr("0 or more"))
    return value
