"""How far a reading can be trusted: the chance that its centre is within 0.03 along and 0.04 in depth.

A logistic sum of what tells good readings from bad ones. Its weights were fitted to rendered photos, with and without
a print (``tests/benchmarks/photo_reading.py --fit`` prints them anew); the benchmark runs on others and shows, by
bands of confidence, how many readings were right. Photos from another camera and shop may be worse than rendered ones.
"""

from __future__ import annotations

import math

import numpy as np

from core.tooth_photo.corners import Floats
from core.tooth_photo.flank_view import FlankView
from core.tooth_photo.prints import Found

SIGNS = ("one", "step", "colour", "compact", "bordering", "hidden", "disagreement", "shortened", "bow", "area")
WEIGHTS = (-4.0, 3.54, -0.5, -0.13, -1.57, -0.79, -0.78, -0.15, 0.61, 2.4)
LEAST = 0.5
"""A reading more likely to be wrong than right is none."""


def signs(found: list[Found], view: FlankView, corners: Floats) -> Floats:
    """Return the signs (10,) of how good the best of the prints found is; `SIGNS` names them."""
    best = found[0]
    rest = [other for other in found[1:4] if other.merit > 0.6 * best.merit]
    apart = max((1.0 - _overlap(best, other) for other in rest), default=0.0)
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    return np.array(
        [
            1.0,
            math.log(best.step + 0.5),
            min(best.colour, 1.0),
            10.0 * (best.solid - 0.95),
            10.0 * best.bordering,
            3.0 * best.hidden,
            3.0 * apart,
            100.0 / float(sides[1] + sides[3]),
            10.0 * abs(view.bow),
            math.log(best.area + 0.02) + 2.0,
        ]
    )


def confidence(found: list[Found], view: FlankView, corners: Floats) -> float:
    """Return the chance that the best of the prints found is right, 0 to 1."""
    return 1.0 / (1.0 + math.exp(-float(signs(found, view, corners) @ np.array(WEIGHTS))))


def _overlap(one: Found, other: Found) -> float:
    return float((one.mask & other.mask).sum() / (one.mask | other.mask).sum())
