"""What readings say of the value behind them, when one in many is simply wrong.

Every reading carries its own error; all readings of one assembly share how the parts seated that time. A reading may be
plainly wrong (a slip of the pen, a click missed), and a whole assembly may be (a cup not seated, a grain of dirt), so
neither is believed beyond measure.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

WRONG_READING = 1.0 / 30.0
"""How often a reading is simply wrong (common practice)."""

WRONG_ASSEMBLY = 0.02
"""How often a whole assembly does not stand for its rings: a cup not seated, dirt, cold grease (common practice)."""


def normal(x: Floats | float, mean: Floats | float, deviation: Floats | float) -> Floats:
    """Return the density of a normal distribution at x, all in one unit."""
    z = (np.asarray(x) - mean) / deviation
    return np.asarray(np.exp(-0.5 * z * z) / (deviation * math.sqrt(2.0 * math.pi)))


def likelihood(
    readings: Sequence[float], mean: Floats, own: Floats, shared: Floats, broad: float, mean_of: int = 1
) -> tuple[Floats, Floats]:
    """Return how likely the readings of one assembly are, by the value behind them.

    The readings are sorted into sound and wrong ones in every way there is; sound ones scatter by `own` about a value
    that itself scatters by `shared` about the mean, wrong ones lie anywhere within `broad`.

    Parameters
    ----------
    readings : sequence of float
        One or more readings of one assembly.
    mean, own, shared : array
        What is expected, the standard deviation of one reading and the one all readings share; same unit and shape.
    broad : float
        Width within which a wrong reading may lie [same unit].
    mean_of : int
        Of how many places each reading is the mean: a wrong place stands out among the others and is left aside, so a
        mean of many is seldom wrong as a whole.

    Returns
    -------
    tuple of array
        The likelihood, and the part of it that comes from the assembly, or every reading of it, being no good.
    """
    wrong = WRONG_READING / max(mean_of, 1)
    count = len(readings)
    values = np.asarray(readings, dtype=float)
    if count > MOST_SORTED:
        values, count = np.asarray([float(np.median(values))]), 1
    sound = np.zeros_like(mean)
    for pattern in range(2**count):
        kept = values[[bool(pattern >> k & 1) for k in range(count)]]
        odds = (1.0 - wrong) ** len(kept) * (wrong / broad) ** (count - len(kept))
        sound = sound + odds * _together(kept, mean, own, shared)
    # An assembly that is no good may be off by as much as the value itself.
    off = _together(values, mean, own, np.hypot(shared, 0.5 * mean + 0.1 * broad))
    bad = WRONG_ASSEMBLY * off + (1.0 - WRONG_ASSEMBLY) * (wrong / broad) ** count
    return (1.0 - WRONG_ASSEMBLY) * sound + WRONG_ASSEMBLY * off, bad


WRONG_BEFORE = 0.01
"""How often what was measured before the first trial, or taught by the family, does not hold for this unit at all: a
slip of the pen, another revision of the casing (common practice)."""


def before(values: Floats, mean: float, deviation: float, farthest: float | None) -> Floats:
    """Return the belief before the first trial, which trials may overrule.

    Parameters
    ----------
    values : array
        Where it is asked for.
    mean, deviation : float
        What is believed, normally distributed; same unit.
    farthest : float or None
        Standard deviation of what remains possible where it does not hold at all [same unit]; None before any trial,
        when nothing could overrule it.
    """
    sound = normal(values, mean, deviation)
    if farthest is None:
        return sound
    return (1.0 - WRONG_BEFORE) * sound + WRONG_BEFORE * normal(values, mean, max(farthest, 2.0 * deviation))


def updated(weights: Floats, said: Sequence[tuple[Floats, Floats]]) -> tuple[Floats, tuple[float, ...]]:
    """Return the weights of a belief after its trials, and for each trial how likely it was no good (Bayes' rule).

    Parameters
    ----------
    weights : array
        What was believed before, of any sum.
    said : sequence of tuple of array
        For each trial what `likelihood` gives; of the shape of `weights`.

    Returns
    -------
    tuple of array and tuple of float
        The weights, which sum to one, and the doubts.
    """
    after = weights / weights.sum()
    for whole, _ in said:
        # Brought back to one each time, or many trials would leave nothing to divide by.
        after = after * whole
        after = after / after.sum()
    return after, tuple(float((after * (bad / whole)).sum()) for whole, bad in said)


MOST_SORTED = 4
"""More readings than this are first brought to their median: sorting them in every way takes too long."""


def _together(values: Floats, mean: Floats, own: Floats, shared: Floats) -> Floats:
    """Return the density of sound readings that share a common error."""
    count = len(values)
    if count == 0:
        return np.ones_like(mean)
    centre = float(values.mean())
    found = normal(centre, mean, np.sqrt(shared * shared + own * own / count))
    # What is left are the differences among them, which the mean has no part in.
    rest = float(((values - centre) ** 2).sum())
    spread = np.exp(-0.5 * rest / own**2) * (own * math.sqrt(2.0 * math.pi)) ** (1 - count) / math.sqrt(count)
    return np.asarray(found * spread)


def support(points: Floats, weights: Floats, lost: float, margin: int) -> tuple[float, float]:
    """Return the ends of the range that holds all but `lost` of the weight on either side, and some points more."""
    first = int(np.flatnonzero(np.cumsum(weights) > lost)[0]) - margin
    last = len(points) - 1 - int(np.flatnonzero(np.cumsum(weights[::-1]) > lost)[0]) + margin
    return float(points[max(first, 0)]), float(points[min(last, len(points) - 1)])


def moments(values: Floats, weights: Floats) -> tuple[float, float]:
    """Return mean and standard deviation of weighted values."""
    mean = float((values * weights).sum() / weights.sum())
    return mean, math.sqrt(max(float(((values - mean) ** 2 * weights).sum() / weights.sum()), 0.0))


def looked_up(values: Floats, first: float, step: float, table: Floats) -> Floats:
    """Return a table on even steps, interpolated at values; beyond its ends what stands there.

    Many times as quick as `numpy.interp` for tens of thousands of values in no order.
    """
    at = np.clip((values - first) / step, 0.0, len(table) - 1.0)
    below = np.minimum(at.astype(np.intp), max(len(table) - 2, 0))
    share = at - below
    above = np.minimum(below + 1, len(table) - 1)
    return np.asarray(table[below] * (1.0 - share) + table[above] * share)
