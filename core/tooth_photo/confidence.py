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

SIGNS = ("one", "step", "colour", "compact", "bordering", "hidden", "shortened", "bow", "area", "merit")
WEIGHTS = (-5.24, 2.66, 0.61, 1.81, -1.48, -1.33, 0.86, -0.13, 2.7, 3.52)
LEAST = 0.5
"""A reading no more likely to be right than wrong is none."""


def signs(found: list[Found], view: FlankView, corners: Floats) -> Floats:
    """Return the signs (10,) of how good the best of the prints found is; `SIGNS` names them."""
    best = found[0]
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    return np.array(
        [
            1.0,
            math.log(best.step + 0.5),
            min(best.colour, 1.0),
            10.0 * (best.solid - 0.95),
            10.0 * best.bordering,
            3.0 * best.hidden,
            100.0 / float(sides[1] + sides[3]),
            10.0 * abs(view.bow),
            math.log(best.area + 0.02) + 2.0,
            math.log(best.merit + 0.05) + 1.0,
        ]
    )


def confidence(found: list[Found], view: FlankView, corners: Floats) -> float:
    """Return the chance that the best of the prints found is right, 0 to 1."""
    return 1.0 / (1.0 + math.exp(-float(signs(found, view, corners) @ np.array(WEIGHTS))))
