"""The decision rules of ISO 14253-1, and how many readings a decision needs.

The same uncertainty counts against whoever has to prove something: who claims that a part conforms pulls the limits in
by the guard, who claims that it does not pushes them out by it. Between the two the honest answer is "uncertain".
"""

from __future__ import annotations

import math

from core.errors import RangeError
from core.language import tr
from core.mechanics.checks import above, at_least
from core.mechanics.uncertainty import GUARD

MOST_READINGS = 100
"""More readings than this nobody takes at a bench."""

Zone = tuple[float | None, float | None]


def _check_limits(low: float | None, high: float | None) -> None:
    """Refuse limits the wrong way round."""
    if low is not None and high is not None:
        above("high", high, low)


def can_conform(low: float | None, high: float | None, guard: float) -> bool:
    """Tell whether any reading could prove conformity with this gauge.

    With both limits given, twice the guard must be less than the tolerance.

    Parameters
    ----------
    low, high : float or None
        Limits [unit of the reading]; None where there is none.
    guard : float
        Guard g [unit of the reading], not negative (`uncertainty.guard`).

    Returns
    -------
    bool
        False when the gauge is too coarse for the tolerance.

    Raises
    ------
    RangeError
        For a negative guard or limits the wrong way round.

    Examples
    --------
    >>> can_conform(0.06, 0.10, 0.0155), can_conform(0.06, 0.10, 0.02)
    (True, False)
    """
    at_least("guard", guard)
    _check_limits(low, high)
    # Rounded far below any gauge, so that a tolerance of exactly two guards is seen as such.
    return low is None or high is None or round(high - low - 2.0 * guard, 12) > 0.0


def conformity_zone(low: float | None, high: float | None, guard: float) -> Zone:
    """Return from where to where a reading proves that a part conforms.

    Limits pulled in by the guard.

    Parameters
    ----------
    low, high : float or None
        Limits [unit of the reading].
    guard : float
        Guard g [unit of the reading], not negative.

    Returns
    -------
    tuple of float or None
        From and to [unit of the reading].

    Raises
    ------
    RangeError
        For a negative guard, limits the wrong way round, or a guard that leaves nothing between them.

    Notes
    -----
    Source: ISO 14253-1, rule for verifying conformity; the guard factor 1.65 is the edition of 2017's.

    Examples
    --------
    >>> [round(end, 4) for end in conformity_zone(0.06, 0.10, 0.0155)]
    [0.0755, 0.0845]
    """
    if not can_conform(low, high, guard):
        raise RangeError("guard", guard, tr("less than half the tolerance; with this gauge nothing can conform"))
    return None if low is None else low + guard, None if high is None else high - guard


def nonconformity_bounds(low: float | None, high: float | None, guard: float) -> Zone:
    """Return beyond which readings a part is proven not to conform.

    Limits pushed out by the guard.

    Parameters
    ----------
    low, high : float or None
        Limits [unit of the reading].
    guard : float
        Guard g [unit of the reading], not negative.

    Returns
    -------
    tuple of float or None
        Below the first or above the second the part does not conform [unit of the reading].

    Raises
    ------
    RangeError
        For a negative guard or limits the wrong way round.

    Notes
    -----
    Source: ISO 14253-1, rule for verifying nonconformity.

    Examples
    --------
    >>> [round(end, 4) for end in nonconformity_bounds(0.06, 0.10, 0.0155)]
    [0.0445, 0.1155]
    """
    at_least("guard", guard)
    _check_limits(low, high)
    return None if low is None else low - guard, None if high is None else high + guard


def readings_needed(margin: float, gauge_u: float, deviation: float, factor: float = GUARD) -> int:
    """Return how many readings a mean needs before it proves what it shows.

    The smallest n with factor · √(u_gauge² + s²/n) ≤ margin: n = s²/((margin/factor)² − u_gauge²), rounded up.

    Parameters
    ----------
    margin : float
        Distance of the mean from the nearest limit [unit of the reading], above 0.
    gauge_u : float
        What repeating cannot reduce: resolution and stated error together, as a standard uncertainty [same unit].
    deviation : float
        Standard deviation s of one reading [same unit], not negative.
    factor : float
        Guard factor [-], above 0.

    Returns
    -------
    int
        Number of readings, 1 or more.

    Raises
    ------
    RangeError
        Where no number of readings is enough because the gauge itself is too coarse, or more than 100 were needed.

    Notes
    -----
    Follows from ISO 14253-1 and GUM 4.2.3; s counts as known from earlier work.

    Examples
    --------
    >>> readings_needed(0.0160, 0.0091287, 0.0060)
    4
    """
    above("margin", margin)
    at_least("gauge_u", gauge_u)
    at_least("deviation", deviation)
    left = (margin / above("factor", factor)) ** 2 - gauge_u**2
    most = MOST_READINGS * left
    if left < 0.0 or deviation**2 > most:
        least = factor * math.sqrt(gauge_u**2 + deviation**2 / MOST_READINGS)
        raise RangeError("margin", margin, tr("{least:.3g} or more for this gauge and scatter", least=least))
    # Rounded far below any gauge, so that a whole number stays one.
    return max(1, math.ceil(round(deviation**2 / left, 9))) if deviation else 1
