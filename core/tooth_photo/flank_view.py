"""The flank as seen from straight above: perspective and bow removed, light made linear, glare marked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter1d
from skimage.filters import gaussian
from skimage.transform import warp

from core.tooth_photo.corners import Floats, arc, in_picture, to_picture

ALONG, DEEP = 200, 64
"""Places along and in depth the flank is looked at."""
GLARE = 0.97
"""Linear light above which all three colours together say nothing but glare."""
MOST_BOW = 0.2
"""Farthest an edge of the flank is looked for from the straight line between its corners, as a share of the depth."""
_USUAL_BOW = 1.5
_USUAL_OFF = 0.15
_MARGIN = 0.3


@dataclass(frozen=True, eq=False)
class FlankView:
    """The flank, its rows from root to tip and its columns from toe to heel.

    `light` is linear, 0 to 1, (DEEP, ALONG, 3); `seen` says where it can be used, (DEEP, ALONG), false in glare;
    `bow` is how far the middle of its edges lies toward the tip, seen from the camera, as a share of the depth;
    `softness` how wide the sharpest steps across it are, as a share of the depth.
    """

    light: Floats
    seen: NDArray[np.bool_]
    bow: float
    softness: float


def view(image: Image.Image, corners: Floats, toe_to_heel_depth: float) -> FlankView:
    """Return the flank between the corners, seen from straight above."""
    homography = to_picture(corners, toe_to_heel_depth)

    def sample(along: Floats, depth: Floats) -> Floats:
        return _sampled(image, *in_picture(along, depth, homography, toe_to_heel_depth))

    depth = np.linspace(-_MARGIN, 1.0 + _MARGIN, 2 * DEEP)
    wide = sample(*np.meshgrid(np.linspace(0.0, 1.0, ALONG // 2), depth))
    logs = np.log(wide + 0.03 * np.median(wide) + 1e-4)
    bow = _bow(depth, logs)
    along, deep = np.meshgrid(np.linspace(0.0, 1.0, ALONG), np.linspace(0.0, 1.0, DEEP))
    light = sample(along, deep + arc(bow, along))
    return FlankView(light, light.min(axis=-1) < GLARE, bow, _softness(depth, logs))


def _softness(depth: Floats, logs: Floats) -> float:
    """Return how wide the sharpest step in the depth is on most columns."""
    bright = gaussian_filter1d(logs.mean(axis=-1), 3.0, axis=1)
    steepest = np.abs(np.diff(bright, axis=0)).max(axis=0) / (depth[1] - depth[0])
    return float(np.median((bright.max(axis=0) - bright.min(axis=0)) / (steepest + 1e-9)))


def _bow(depth: Floats, logs: Floats) -> float:
    """Return the bow at which the lines from corner to corner run best along steps of the light.

    A curved flank seen at a slant has bowed edges; left out, the print would seem higher or lower than it is. Where
    nothing runs along a bowed line, the bow is none.
    """
    steps = np.abs(np.gradient(gaussian_filter1d(logs, 0.5, axis=0), axis=0)).sum(axis=-1)
    # A highlight must not outweigh the rest of an edge.
    steps = np.minimum(steps, 3.0 * np.median(steps.max(axis=0)))
    steps = gaussian_filter1d(steps / (steps.mean() + 1e-9), 0.5, axis=0)
    along = np.linspace(0.0, 1.0, steps.shape[1])
    columns = np.arange(steps.shape[1])
    bows = np.linspace(-MOST_BOW, MOST_BOW, 81)
    offs = np.linspace(-0.06, 0.06, 13)
    score = -np.abs(bows) / _USUAL_BOW
    for edge in (0.0, 1.0):
        lines = edge + offs[:, None, None] + arc(1.0, along) * bows[:, None]
        rows = np.rint(np.interp(lines, depth, np.arange(len(depth)))).astype(int)
        runs = np.log(steps[rows, columns].mean(axis=-1) + 0.5)
        # What the brush left out beside an edge looks like an edge too, but runs alongside it all the way.
        score += (runs - 0.5 * (offs[:, None] / _USUAL_OFF) ** 2).max(axis=0)
    return float(bows[score.argmax()])


def _sampled(image: Image.Image, x: Floats, y: Floats) -> Floats:
    """Return the linear light at places of the picture [px]; smoothed first where the places lie wider than pixels."""
    low = np.maximum(np.floor([x.min(), y.min()]).astype(int) - 12, 0)
    high = np.minimum(np.ceil([x.max(), y.max()]).astype(int) + 12, image.size)
    crop = np.asarray(image.crop((*low, *high)), dtype=float) / 255.0
    linear = np.where(crop <= 0.04045, crop / 12.92, ((crop + 0.055) / 1.055) ** 2.4)
    # Fine marks between the places would otherwise turn into coarse ones.
    apart = 0.5 * sum(float(np.hypot(np.diff(x, axis=k), np.diff(y, axis=k)).mean()) for k in (0, 1))
    sigma = 0.45 * np.sqrt(max(apart**2 - 1.0, 0.0))
    smooth = gaussian(linear, sigma=sigma, channel_axis=-1, mode="nearest") if sigma > 0.3 else linear
    at = np.stack([y - low[1], x - low[0]])
    return np.stack([warp(smooth[..., k], at, order=1, mode="edge") for k in range(3)], -1)
