"""A small crossed gauge study: several people measure several parts several times, and the scatter is shared out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.errors import RangeError
from core.language import tr
from core.mechanics.checks import above, at_least

CATEGORY_FACTOR = 1.41
"""√2 as the reference manual rounds it."""


@dataclass(frozen=True)
class GaugeStudy:
    """Standard deviations by where they come from [unit of the reading].

    `repeatability`: one person, one part, again and again (the gauge); `reproducibility`: one person against another;
    `interaction`: people who differ on some parts only; `parts`: the parts themselves.
    """

    repeatability: float
    reproducibility: float
    interaction: float
    parts: float

    @property
    def gauge_and_people(self) -> float:
        """All that is not the parts: repeatability, reproducibility and interaction together."""
        return math.hypot(self.repeatability, self.reproducibility, self.interaction)

    @property
    def total(self) -> float:
        """Everything together."""
        return math.hypot(self.gauge_and_people, self.parts)

    @property
    def share_ratio(self) -> float:
        """Gauge and people over everything [-]; below 0.1 is good, above 0.3 the gauge hides the parts."""
        return self.gauge_and_people / self.total

    @property
    def categories(self) -> int | None:
        """How many classes of parts the gauge can tell apart; None where it scatters not at all."""
        if self.gauge_and_people == 0.0:
            return None
        return int(CATEGORY_FACTOR * self.parts / self.gauge_and_people)

    def share_of_tolerance(self, tolerance: float) -> float:
        """Return six times gauge and people over a tolerance [-]; the tolerance [unit of the reading] is above 0."""
        return 6.0 * self.gauge_and_people / above("tolerance", tolerance)


def gauge_study(readings: Sequence[Sequence[Sequence[float]]]) -> GaugeStudy:
    """Share out the scatter of a crossed gauge study by analysis of variance.

    Mean squares of parts, people, their interaction and repeats give the variances; where the interaction's mean square
    is no larger than the repeats', both are pooled and there is no interaction. A negative estimate counts as zero.

    Parameters
    ----------
    readings : sequence of sequence of sequence of float
        Readings [unit of the reading], shape (parts, people, repeats), 2 or more of each.

    Returns
    -------
    GaugeStudy
        Standard deviations by origin.

    Raises
    ------
    RangeError
        For fewer than 2 of anything, a gap, a value that is not a number, or readings that are all the same.

    Notes
    -----
    Source: AIAG, Measurement Systems Analysis, analysis-of-variance method; its example (10 parts, 3 people, 3
    repeats) gives 0.199933, 0.226838 and 1.042327 (data and results from memory).

    Examples
    --------
    >>> study = gauge_study([[[1.0, 1.1], [1.2, 1.3]], [[2.0, 2.1], [2.2, 2.3]], [[3.0, 3.1], [3.2, 3.3]]])
    >>> round(study.repeatability, 4), round(study.reproducibility, 4), round(study.parts, 4)
    (0.0612, 0.1392, 0.9995)
    """
    lengths = {len(repeats) for part in readings for repeats in part}
    if len({len(part) for part in readings}) > 1 or len(lengths) > 1:
        raise RangeError("number of repeats", min(lengths, default=0), tr("the same for every part and person"))
    table = np.array(readings, dtype=float)
    for noun, count in zip(("parts", "people", "repeats"), (*table.shape, 0, 0), strict=False):
        at_least(f"number of {noun}", count, 2)
    if not np.isfinite(table).all() or float(np.ptp(table)) == 0.0:
        raise RangeError("spread of the readings", float(np.ptp(table)), tr("finite and more than 0"))
    return _shares(table)


def _shares(table: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> GaugeStudy:
    """Turn the mean squares of a (parts, people, repeats) table into standard deviations."""
    parts, people, repeats = table.shape
    by_part, by_person, by_cell = table.mean((1, 2)), table.mean((0, 2)), table.mean(2)
    mean = float(table.mean())
    sum_parts = people * repeats * float(((by_part - mean) ** 2).sum())
    sum_people = parts * repeats * float(((by_person - mean) ** 2).sum())
    sum_both = repeats * float(((by_cell - by_part[:, None] - by_person[None, :] + mean) ** 2).sum())
    sum_repeats = float(((table - by_cell[:, :, None]) ** 2).sum())
    free_both, free_repeats = (parts - 1) * (people - 1), parts * people * (repeats - 1)
    both, within = sum_both / free_both, sum_repeats / free_repeats
    interaction = 0.0
    if both > within:
        interaction = (both - within) / repeats
    else:
        both = within = (sum_both + sum_repeats) / (free_both + free_repeats)
    return GaugeStudy(
        math.sqrt(within),
        math.sqrt(max(0.0, (sum_people / (people - 1) - both) / (parts * repeats))),
        math.sqrt(interaction),
        math.sqrt(max(0.0, (sum_parts / (parts - 1) - both) / (people * repeats))),
    )
