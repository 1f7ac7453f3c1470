"""Control charts of individual values with moving ranges: what a process usually does, and what is not usual.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (its printed example is the check); factors as in
ISO 7870-2:2023 and the AIAG reference manual on process control, from memory. How many points make a run or a trend
differs between sources (7 to 9, 6 or 7); here they are those of the same handbook, 6.3.2, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from statistics import fmean, median

from core.mechanics.checks import finite

D2 = 1.128
"""Mean range of two values over their standard deviation."""
SIGMAS = 3.0
RANGE_FACTOR = 3.267
MEDIAN_RANGE_FACTOR = 3.145
LEAST_VALUES = 8
"""So many values must follow each other before limits mean anything (common practice)."""
FIRM_VALUES = 20
"""From so many values on limits are taken as settled (common practice)."""
RUN = 8
TREND = 6
NEAR_LIMIT_SIGMAS = 2.0
SLACK = 1e-9
"""Share of the largest value below which a difference is the arithmetic's, not the process's."""

BEYOND = "beyond"
JUMP = "jump"
ONE_SIDE = "one_side"
TREND_RULE = "trend"
TWO_OF_THREE = "two_of_three"


@dataclass(frozen=True)
class Limits:
    """Centre and control limits, three standard deviations from it [unit of the values]."""

    centre: float
    low: float
    high: float

    @property
    def sigma(self) -> float:
        """The standard deviation the limits were set with."""
        return (self.high - self.low) / (2 * SIGMAS)


@dataclass(frozen=True)
class Signal:
    """Something unusual: by which rule, upward or downward, and at which points (counted from 0).

    Rules: ``beyond`` a control limit; ``jump``: a moving range beyond its limit; ``one_side``: `RUN` or more in
    a row on one side of the centre; ``trend``: `TREND` or more each higher (or lower) than the last; ``two_of_three``
    beyond two standard deviations on one side.
    """

    rule: str
    is_up: bool
    points: tuple[int, ...]


@dataclass(frozen=True)
class ControlChart:
    """Values in time order with what they usually are.

    `moving_ranges` has None at the first value and beside a gap. `limits`, `range_mean` and `range_high` are None while
    there are too few values. `robust` are limits by the median moving range around the median, which one wild value
    cannot stretch; None too where half of the values do not differ from the one before.
    """

    values: tuple[float | None, ...]
    moving_ranges: tuple[float | None, ...]
    limits: Limits | None = None
    range_mean: float | None = None
    range_high: float | None = None
    robust: Limits | None = None
    signals: tuple[Signal, ...] = ()

    @property
    def count(self) -> int:
        """How many values there are, gaps not counted."""
        return sum(value is not None for value in self.values)

    @property
    def is_firm(self) -> bool:
        """Whether there are values enough for the limits to be settled."""
        return self.limits is not None and self.count >= FIRM_VALUES

    @property
    def is_stretched(self) -> bool:
        """Whether single jumps have widened the limits, so that the robust ones should be looked at too."""
        return self.robust is not None and any(signal.rule == JUMP for signal in self.signals)

    @property
    def signalled(self) -> frozenset[int]:
        """The points any signal is about."""
        return frozenset(point for signal in self.signals for point in signal.points)

    def beyond_robust(self) -> tuple[int, ...]:
        """Return the points beyond the robust limits."""
        return () if self.robust is None else _beyond(self.values, self.robust)


def control_chart(values: Sequence[float | None]) -> ControlChart:
    """Chart individual values with their moving ranges.

    Centre: the mean. Limits: centre ± 3/d2 · mean moving range, d2 = 1.128. Upper limit of the moving range: 3.267
    times its mean. Beside them limits by the median moving range: median ± 3.145 · median moving range.

    Parameters
    ----------
    values : sequence of float or None
        In time order [one unit throughout]; None where a value is missing. No moving range spans a gap and no run goes
        on over one.

    Returns
    -------
    ControlChart
        Without limits and signals where fewer than `LEAST_VALUES` - 1 moving ranges are known. Identical values have
        limits that fall together, and no signals.

    Raises
    ------
    RangeError
        A value is infinite or not a number.

    Notes
    -----
    Valid for values that scatter about evenly to both sides. Source: NIST/SEMATECH e-Handbook, 6.3.2.2; the median's
    factor from memory, the median as its centre ours.

    Examples
    --------
    >>> chart = control_chart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> [round(x, 4) for x in (chart.range_mean, chart.limits.low, chart.limits.centre, chart.limits.high)]
    [1.8778, 45.8159, 50.81, 55.8041]
    """
    known = [finite("value", value) for value in values if value is not None]
    moving = (None, *(None if a is None or b is None else abs(b - a) for a, b in pairwise(values)))[: len(values)]
    ranges = [r for r in moving if r is not None]
    if len(ranges) < LEAST_VALUES - 1:
        return ControlChart(tuple(values), moving)
    mean_range, median_range = fmean(ranges), median(ranges)
    limits = _around(fmean(known), SIGMAS / D2 * mean_range)
    chart = ControlChart(
        tuple(values),
        moving,
        limits,
        mean_range,
        RANGE_FACTOR * mean_range,
        _around(median(known), MEDIAN_RANGE_FACTOR * median_range) if median_range > _slack(known) else None,
    )
    return replace(chart, signals=tuple(_signals(chart, limits)))


def _around(centre: float, reach: float) -> Limits:
    return Limits(centre, centre - reach, centre + reach)


def _slack(values: Sequence[float | None]) -> float:
    return SLACK * max((abs(value) for value in values if value is not None), default=0.0)


def _beyond(values: Sequence[float | None], limits: Limits) -> tuple[int, ...]:
    slack = _slack(values)
    outside = (v is not None and not limits.low - slack <= v <= limits.high + slack for v in values)
    return tuple(at for at, is_outside in enumerate(outside) if is_outside)


# --- signals ---------------------------------------------------------------------------------------------------------


def _signals(chart: ControlChart, limits: Limits) -> Iterator[Signal]:
    """Go through the rules; each occurrence is one signal, as long as it lasts."""
    values, slack = chart.values, _slack(chart.values)
    for at in _beyond(values, limits):
        yield Signal(BEYOND, (values[at] or 0.0) > limits.centre, (at,))
    for at, moving in enumerate(chart.moving_ranges):
        if moving is not None and moving > (chart.range_high or 0.0) + slack:
            yield Signal(JUMP, (values[at] or 0.0) > (values[at - 1] or 0.0), (at - 1, at))
    for is_up, sign in ((True, 1.0), (False, -1.0)):
        heights = [None if value is None else sign * (value - limits.centre) for value in values]
        yield from (Signal(rule, is_up, points) for rule, points in _patterns(heights, limits.sigma, slack))


def _patterns(heights: Sequence[float | None], sigma: float, slack: float) -> Iterator[tuple[str, tuple[int, ...]]]:
    """Find the patterns on the upper side of a chart whose centre is 0, with the points concerned."""
    for run in _runs([height is not None and height > slack for height in heights]):
        if len(run) >= RUN:
            yield ONE_SIDE, run
    rises = [a is not None and b is not None and b - a > slack for a, b in pairwise(heights)]
    for steps in _runs([False, *rises]):
        if len(steps) >= TREND - 1:
            yield TREND_RULE, (steps[0] - 1, *steps)
    is_far = [height is not None and height > NEAR_LIMIT_SIGMAS * sigma + slack for height in heights]
    for near in _chained([at for at, is_so in enumerate(is_far) if is_so], heights):
        yield TWO_OF_THREE, near


def _runs(belongs: Sequence[bool]) -> list[tuple[int, ...]]:
    """Return the stretches of neighbouring points that all belong."""
    stretches = groupby(range(len(belongs)), key=belongs.__getitem__)
    return [tuple(points) for is_so, points in stretches if is_so]


def _chained(far: Sequence[int], values: Sequence[float | None]) -> list[tuple[int, ...]]:
    """Return the groups of two or more points of which each has the next among the two that follow it."""
    groups: list[list[int]] = []
    for at in far:
        last = groups[-1][-1] if groups else None
        if last is not None and at - last <= 2 and None not in values[last:at]:
            groups[-1].append(at)
        else:
            groups.append([at])
    return [tuple(group) for group in groups if len(group) > 1]
