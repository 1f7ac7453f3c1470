"""Backlash around the ring gear: what is runout, what is scatter, and where it is tightest."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.errors import RangeError
from core.language import tr
from core.mechanics.checks import at_least, finite


@dataclass(frozen=True)
class BacklashWheel:
    """Readings around the ring gear, taken apart [mm, °].

    `amplitude_mm` and `high_spot_deg` are the once-a-turn part (runout): its half swing and where it reads highest.
    `scatter_mm` is the standard deviation of what that part does not explain; None with three readings, where nothing
    is left over. `tightest_mm` at `tightest_deg` is the least the once-a-turn part predicts, also between the places.
    """

    mean_mm: float
    smallest_mm: float
    largest_mm: float
    amplitude_mm: float
    high_spot_deg: float
    scatter_mm: float | None
    tightest_mm: float
    tightest_deg: float

    @property
    def range_mm(self) -> float:
        """Variation around the gear [mm]: largest minus smallest reading."""
        return self.largest_mm - self.smallest_mm


def backlash_wheel(readings_mm: Sequence[float], angles_deg: Sequence[float] | None = None) -> BacklashWheel:
    """Take readings around the ring gear apart into mean, runout and scatter.

    Least-squares fit of j(θ) = c + a cos θ + b sin θ; amplitude √(a² + b²), high spot atan2(b, a).

    Parameters
    ----------
    readings_mm : sequence of float
        Backlash at each place [mm], shape (n,), n of 3 or more.
    angles_deg : sequence of float or None
        Where each was read [°], shape (n,); None: evenly around the gear, starting at 0.

    Returns
    -------
    BacklashWheel
        Mean, extremes, runout and scatter.

    Raises
    ------
    RangeError
        For fewer than 3 readings or 3 different places, angles that do not match, or values that are not numbers.

    Notes
    -----
    Textbook least squares; no published case. Half the peak-to-peak runout of the backlash is its amplitude.

    Examples
    --------
    >>> wheel = backlash_wheel([0.07, 0.07, 0.08, 0.09, 0.09, 0.09, 0.08, 0.07])
    >>> round(wheel.mean_mm, 3), round(wheel.amplitude_mm, 4), round(wheel.high_spot_deg)
    (0.08, 0.0121, 180)
    """
    count = int(at_least("number of readings", len(readings_mm), 3))
    places = [360.0 * place / count for place in range(count)] if angles_deg is None else list(angles_deg)
    if len(places) != count:
        raise RangeError("number of angles", len(places), tr("{count}, one for each reading", count=count))
    at_least("number of different places", len({round(finite("angle_deg", place) % 360.0, 3) for place in places}), 3)
    readings = np.array([finite("reading_mm", reading) for reading in readings_mm])
    theta = np.radians(places)
    design = np.column_stack((np.ones(count), np.cos(theta), np.sin(theta)))
    (constant, cosine, sine), *_ = np.linalg.lstsq(design, readings, rcond=None)
    # Below a nanometre the once-a-turn part is rounding, and its direction means nothing.
    amplitude = math.hypot(cosine, sine) if math.hypot(cosine, sine) > 1e-6 else 0.0
    high_spot_deg = math.degrees(math.atan2(sine, cosine)) % 360.0 if amplitude else 0.0
    left_over = readings - design @ np.array([constant, cosine, sine])
    return BacklashWheel(
        float(readings.mean()),
        float(readings.min()),
        float(readings.max()),
        amplitude,
        high_spot_deg,
        math.sqrt(float(left_over @ left_over) / (count - 3)) if count > 3 else None,
        float(constant) - amplitude,
        (high_spot_deg + 180.0) % 360.0,
    )
