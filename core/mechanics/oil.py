"""Gear oil: its grade, how thick it is at a temperature, how much goes in and what to buy."""

from __future__ import annotations

import math
import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from core.errors import InputError
from core.language import tr
from core.mechanics.checks import above, at_least, between, finite, within

GRADES: dict[str, tuple[float, float]] = {
    "65": (3.8, 5.0),
    "70": (5.0, 6.5),
    "75": (6.5, 8.5),
    "80": (8.5, 11.0),
    "85": (11.0, 13.5),
    "90": (13.5, 18.5),
    "110": (18.5, 24.0),
    "140": (24.0, 32.5),
    "190": (32.5, 41.0),
    "250": (41.0, math.inf),
}
"""SAE J306:2019: kinematic viscosity at 100 °C [mm²/s], from, and up to but not including."""

WINTER_GRADES: dict[str, tuple[float, float]] = {
    "70W": (-55.0, 3.8),
    "75W": (-40.0, 3.8),
    "80W": (-26.0, 8.5),
    "85W": (-12.0, 11.0),
}
"""SAE J306:2019: highest temperature for 150 000 mPa·s [°C] and least viscosity at 100 °C [mm²/s]."""

_GRADE = re.compile(r"(?:SAE )?(?:(\d{2}W)[- ]?)?(\d{2,3})?")


@dataclass(frozen=True)
class GradeLimits:
    """What a grade asks of an oil: viscosity at 100 °C [mm²/s] and the cold limit [°C] (None without a W grade)."""

    least_mm2_s: float
    below_mm2_s: float
    cold_c: float | None


def oil_grade(viscosity_100_mm2_s: float) -> str:
    """Return the SAE grade of a gear oil from its viscosity at 100 °C.

    Parameters
    ----------
    viscosity_100_mm2_s : float
        Kinematic viscosity at 100 °C [mm²/s], 3.8 or more.

    Returns
    -------
    str
        Grade without the W part: ``75`` … ``250``.

    Raises
    ------
    RangeError
        For a viscosity below 3.8 mm²/s.

    Notes
    -----
    Source: SAE J306:2019; upper bounds are exclusive. Before 2005 grade 90 reached up to 24 mm²/s. Whether an oil suits
    a limited-slip carrier is not part of the grade, nor of API GL-5.

    Examples
    --------
    >>> oil_grade(18.4), oil_grade(18.5), oil_grade(24.7)
    ('90', '110', '140')
    """
    at_least("viscosity_100_mm2_s", viscosity_100_mm2_s, 3.8, "mm²/s")
    return next(grade for grade, (low, high) in GRADES.items() if low <= viscosity_100_mm2_s < high)


def grade_limits(grade: str) -> GradeLimits:
    """Return what a grade asks of an oil: the reverse of `oil_grade`.

    Parameters
    ----------
    grade : str
        ``90``, ``75W`` or ``75W-140``.

    Returns
    -------
    GradeLimits
        Viscosity at 100 °C and cold limit.

    Raises
    ------
    InputError
        For anything else.

    Notes
    -----
    Source: SAE J306:2019. A double grade meets both rows.

    Examples
    --------
    >>> grade_limits("75W-140")
    GradeLimits(least_mm2_s=24.0, below_mm2_s=32.5, cold_c=-40.0)
    """
    match = _GRADE.fullmatch(grade.strip().upper())
    winter = WINTER_GRADES.get(match[1] or "") if match else None
    summer = GRADES.get(match[2] or "") if match else None
    is_known = match and bool(match[1]) == bool(winter) and bool(match[2]) == bool(summer) and (winter or summer)
    if not is_known:
        raise InputError(
            tr("{grade} is not an SAE gear-oil grade.", grade=grade[:20]),
            tr("Give a grade such as 90, 75W or 75W-140."),
        )
    cold_c, winter_least = winter or (None, 0.0)
    low, high = summer or (winter_least, math.inf)
    return GradeLimits(max(low, winter_least), high, cold_c)


def fill_volume_l(level_mm: float, calibration: Sequence[tuple[float, float]]) -> float:
    """Return the volume in a casing from the height of its level.

    Straight lines between the calibration points of this casing.

    Parameters
    ----------
    level_mm : float
        Height of the level [mm], counted like the calibration.
    calibration : sequence of tuple
        Height [mm] and volume [L], both rising, two points or more.

    Returns
    -------
    float
        Volume [L].

    Raises
    ------
    RangeError
        For a level outside the calibration, or points that do not rise.

    Notes
    -----
    Common practice: pour measured amounts into the empty casing and write down the level.

    Examples
    --------
    >>> fill_volume_l(35.0, [(0.0, 0.0), (30.0, 0.6), (50.0, 1.2)])
    0.75
    """
    within("level_mm", level_mm, *_ends(calibration, 0), "mm")
    return _between_points(level_mm, calibration)


def level_mm(volume_l: float, calibration: Sequence[tuple[float, float]]) -> float:
    """Return the height of the level for a volume: the inverse of `fill_volume_l`.

    Parameters
    ----------
    volume_l : float
        Volume in the casing [L].
    calibration : sequence of tuple
        As for `fill_volume_l`.

    Returns
    -------
    float
        Height of the level [mm].

    Raises
    ------
    RangeError
        For a volume outside the calibration, or points that do not rise.

    Examples
    --------
    >>> round(level_mm(0.75, [(0.0, 0.0), (30.0, 0.6), (50.0, 1.2)]), 6)
    35.0
    """
    within("volume_l", volume_l, *_ends(calibration, 1), "L")
    return _between_points(volume_l, [(volume, height) for height, volume in calibration])


def _ends(calibration: Sequence[tuple[float, float]], axis: int) -> tuple[float, float]:
    """Return the smallest and largest height (axis 0) or volume (axis 1), or refuse points that do not rise."""
    at_least("number of calibration points", len(calibration), 2)
    finite("height of the first calibration point", calibration[0][0])
    at_least("volume of the first calibration point", calibration[0][1], 0.0, "L")
    for (low_mm, low_l), (high_mm, high_l) in pairwise(calibration):
        above("height of the next calibration point", high_mm, low_mm, "mm")
        above("volume of the next calibration point", high_l, low_l, "L")
    return calibration[0][axis], calibration[-1][axis]


def _between_points(value: float, points: Sequence[tuple[float, float]]) -> float:
    """Return the other coordinate on the straight lines between rising points."""
    place = max(1, min(len(points) - 1, bisect_right(points, value, key=lambda point: point[0])))
    (low, other_low), (high, other_high) = points[place - 1], points[place]
    return other_low + (value - low) / (high - low) * (other_high - other_low)


def containers(volume_l: float, sizes_l: Sequence[float]) -> Mapping[float, int]:
    """Return which containers to buy: least left over, then fewest containers.

    Parameters
    ----------
    volume_l : float
        Volume needed [L], above 0 and up to 50.
    sizes_l : sequence of float
        Sizes on sale [L], above 0.05; at least one.

    Returns
    -------
    mapping of float to int
        Number of each size, sizes not needed left out.

    Raises
    ------
    RangeError
        For a volume or a size outside what is stated above, or no size.

    Examples
    --------
    >>> containers(1.1, [1.0]), containers(2.4, [0.5, 1.0])
    ({1.0: 2}, {1.0: 2, 0.5: 1})
    """
    above("volume_l", within("volume_l", volume_l, 0.0, 50.0, "L"), 0.0, "L")
    at_least("number of sizes", len(sizes_l), 1)
    sizes = sorted({above("size_l", size, 0.05, "L") for size in sizes_l}, reverse=True)
    return {size: count for size, count in zip(sizes, _fewest(volume_l, sizes), strict=True) if count}


def _fewest(volume_l: float, sizes: Sequence[float]) -> tuple[int, ...]:
    """Return the counts with the least surplus, then the fewest containers; works down from the largest size."""
    size, smaller = sizes[0], sizes[1:]
    if not smaller:
        return (max(0, math.ceil(round(volume_l / size, 9))),)
    options = [
        (count, *_fewest(volume_l - count * size, smaller))
        for count in range(max(0, math.ceil(round(volume_l / size, 9))) + 1)
    ]
    return min(
        options,
        key=lambda counts: (round(sum(n * s for n, s in zip(counts, sizes, strict=True)), 9), sum(counts)),
    )


def friction_modifier_l(fill_l: float, share_ratio: float) -> float:
    """Return how much of a fill is friction modifier.

    Parameters
    ----------
    fill_l : float
        Whole fill, oil and modifier together [L], above 0.
    share_ratio : float
        Share of the modifier in the whole fill [-], 0 up to but not 0.5.

    Returns
    -------
    float
        Friction modifier [L]; the oil is the rest.

    Raises
    ------
    RangeError
        For a fill not above 0 or a share outside what is stated above.

    Notes
    -----
    Common practice; the share is the oil maker's. Not needed in an oil sold for limited-slip carriers.

    Examples
    --------
    >>> round(friction_modifier_l(1.1, 0.05), 3)
    0.055
    """
    between("share_ratio", share_ratio, -1e-12, 0.5)
    return above("fill_l", fill_l, 0.0, "L") * share_ratio
