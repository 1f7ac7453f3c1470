"""The edge of a print as polygons, and what is measured inside it."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter
from skimage.measure import approximate_polygon, find_contours

from core.mechanics.contact.patch import Patch, patch
from core.mechanics.outline import Ring
from core.tooth_photo.corners import Floats
from core.tooth_photo.facts import MOST_POINTS
from core.tooth_photo.parting import Mask


def softened(mask: Mask) -> Floats:
    """Return how much of each place is print, so that the edge runs between places instead of along them."""
    return np.asarray(gaussian_filter(mask.astype(float), 1.0, mode="nearest"))


def measured(share: Floats, length_to_depth: float) -> Patch:
    """Return centre, ends, area and tilt of where more than half of each place is print."""
    # The print of a calculated contact is where the gap is less than the film: one reckoning for both.
    return patch(1.5 - share.T, 1.0, length_to_depth, 1.0)


def rings(share: Floats) -> tuple[Ring, ...]:
    """Return the edge of where more than half is print: closed loops, the longest two, at most `MOST_POINTS` points."""
    rim = np.pad(share, 1, constant_values=0.0)
    rows, columns = share.shape
    found = sorted(find_contours(rim, 0.5), key=len, reverse=True)[:2]
    found = [found[0], *(loop for loop in found[1:] if len(loop) > 0.2 * len(found[0]))]
    slack = 0.2
    while True:
        kept = [approximate_polygon(loop, slack)[:-1] for loop in found]
        if sum(len(loop) for loop in kept) <= MOST_POINTS:
            break
        slack *= 1.25
    last = np.array([rows - 1.0, columns - 1.0])
    scaled = [np.clip((loop - 1.0) / last, 0.0, 1.0)[:, ::-1] for loop in kept if len(loop) > 2]
    return tuple(tuple((float(x), float(y)) for x, y in loop) for loop in scaled)
