"""Whether any setting at all can bring both prints to where they should be."""

from __future__ import annotations

import math

import numpy as np

from core.advice.contact_belief import ContactBelief
from core.advice.contact_model import Floats
from core.advice.next_pair import Window

FARTHEST_MM = 0.4
"""So far from the best setting others are looked at [mm]."""

COARSE_MM, FINE_MM = 0.1, 0.02
"""Settings of the pinion at which prints are computed, and between which they are told from these [mm]."""

FREE_MM = (-0.3, -0.15, 0.0, 0.15, 0.3)
"""Where the ring gear is looked at when backlash has no limits [mm]."""


def hopelessness(
    belief: ContactBelief, aim: Floats, tolerance: Floats, backlash: Window, at: tuple[float, float], off: Floats
) -> float:
    """Return how likely no setting with backlash in its limits brings all four centres within their tolerance.

    Parameters
    ----------
    belief : ContactBelief
        What the prints say.
    aim, tolerance : array, shape (4,)
        Where the centres are to lie, and how near.
    backlash : Window
        Limits of the backlash [mm]; infinite where there are none.
    at : tuple of float
        The best setting known: pinion and ring gear against the first reading [mm].
    off : array, shape (n, 4)
        Draws of how far the centres are from what the most likely unknowns predict: taken to be the same wherever the
        gears are put.
    """
    reached = _reached(belief, backlash, at) - aim
    # One setting has to serve all four: the worst of them decides.
    worst = np.abs((reached + off[:, None]) / tolerance).max(axis=2)
    return float((worst.min(axis=1) > 1.0).mean())


def _reached(belief: ContactBelief, backlash: Window, at: tuple[float, float]) -> Floats:
    """Return the centres expected at all settings looked at, (m, 4)."""
    prior, here_mm = belief.prior, belief.backlash_mm(*at)
    coarse = np.arange(-FARTHEST_MM, FARTHEST_MM + 0.5 * FINE_MM, COARSE_MM)
    fine = np.arange(-FARTHEST_MM, FARTHEST_MM + 0.5 * FINE_MM, FINE_MM)
    if math.isinf(backlash.low) or math.isinf(backlash.high):
        gears = [np.full(len(coarse), gear_mm) for gear_mm in FREE_MM]
    else:
        wanted = (backlash.low, 0.5 * (backlash.low + backlash.high), backlash.high)
        gears = [(lash_mm - here_mm - prior.pinion_rate * coarse) / prior.gear_rate for lash_mm in wanted]
    found = []
    for gear in gears:
        centres = np.array(
            [belief.centres(at[0] + p, at[1] + g) for p, g in zip(coarse.tolist(), gear.tolist(), strict=True)]
        )
        found.append(np.stack([np.interp(fine, coarse, column) for column in centres.T], axis=1))
    return np.concatenate(found)
