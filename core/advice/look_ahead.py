"""Looking one trial ahead: how likely a ring sum is to be done with it, or with the trial its reading leads to.

A first trial far from certain is worth most where its reading tells where to go next.
"""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from core.advice.choice import SAME_MM
from core.advice.readings import Floats
from core.advice.torque_belief import ROLLER_EXPONENT, UNIT_MM, TorqueBelief

POINTS = 300
"""How many points of the belief look ahead."""

LOOKED_AT, AVAILABLE = 28, 70
"""How many sums are looked at, and how many may follow."""

OUTCOMES = (0.0, 0.075, 0.125, 0.2, 0.3, 0.4, 0.6, 0.8, 1.0, 1.3, 1.6, 2.0, 2.5, 3.2, 4.5, 100.0)
"""Between these, times the middle of the limits, lie the readings that are told apart."""


def in_two_trials(
    belief: TorqueBelief, sums_mm: Floats, low_nm: float, high_nm: float, sum_sd_mm: float, readings: int = 2
) -> tuple[Floats, Floats]:
    """Return sums worth a trial, and how likely each is to be done with it or with the trial after it.

    The trial after it is chosen among the same sums, by what this one reads.

    Parameters
    ----------
    belief : TorqueBelief
        What is believed now.
    sums_mm : array, shape (n,)
        Ring sums the drawer can make [mm].
    low_nm, high_nm : float
        Limits of the mean torque [N·m].
    sum_sd_mm : float
        Standard uncertainty of the sums [mm].
    readings : int
        How many readings the mean is of.

    Returns
    -------
    tuple of array
        The sums looked at [mm], in order, and the chance for each.
    """
    zero_mm, zero_sd_mm = belief.zero
    near = sums_mm[(sums_mm > zero_mm - 2.5 * zero_sd_mm) & (sums_mm < zero_mm + 3.5 * zero_sd_mm + 0.2)]
    available = _apart(np.sort(near if len(near) else sums_mm), SAME_MM, AVAILABLE)
    looked_at = _apart(available, SAME_MM, LOOKED_AT)
    zeros, columns = belief.sample(POINTS)
    rise, exponent, drag = belief.rise_nm[columns], belief.exponent[columns], belief.drag_nm[columns]

    def torque(sums: Floats) -> Floats:
        squeezed = np.maximum(sums - zeros[:, None], 0.0) / UNIT_MM
        return np.asarray(drag[:, None] + rise[:, None] * squeezed ** exponent[:, None])

    def scatter(mean: Floats) -> Floats:
        steep = ROLLER_EXPONENT * rise[:, None] / UNIT_MM * sum_sd_mm * (mean > drag[:, None])
        return np.asarray(np.hypot(belief.mean_sd_nm(mean, readings), steep))

    mean = torque(available)
    deviation = scatter(mean)
    lands = ndtr((high_nm - mean) / deviation) - ndtr((low_nm - mean) / deviation)
    mean = torque(looked_at)
    deviation = scatter(mean)
    edges = 0.5 * (low_nm + high_nm) * np.asarray(OUTCOMES)
    edges = np.unique(np.concatenate(([-100.0], edges[(edges < low_nm) | (edges > high_nm)], [low_nm, high_nm])))
    below = ndtr((edges - mean[:, :, None]) / deviation[:, :, None])
    outcomes = np.diff(below, axis=2)
    # What reads within the limits is done; the rest goes on to the best sum for that reading.
    is_within = (edges[:-1] >= low_nm) & (edges[1:] <= high_nm)
    done = outcomes[:, :, is_within].sum(axis=(0, 2)) / POINTS
    onward = np.einsum("mco,ma->coa", outcomes[:, :, ~is_within], lands, optimize=True).max(axis=2).sum(axis=1)
    return looked_at, np.minimum(done + onward / POINTS, 1.0)


def _apart(ordered: Floats, least: float, most: int) -> Floats:
    """Return values of a sorted row that lie apart, evenly thinned to so many."""
    kept: list[float] = []
    for value in ordered:
        if not kept or value - kept[-1] >= least:
            kept.append(float(value))
    if len(kept) > most:
        kept = [kept[at] for at in np.linspace(0, len(kept) - 1, most).round().astype(int)]
    return np.asarray(kept)
