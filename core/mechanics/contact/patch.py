"""What the compound shows: where it was displaced, how far that reaches and how it lies."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from core.mechanics.checks import above
from core.mechanics.contact.geometry import Floats, Indices
from core.mechanics.pattern import Centre

FILM_MM = 0.006
"""Gap up to which the compound is displaced [mm]: about 6 µm for a thin coat (common practice; a wide band)."""


@dataclass(frozen=True)
class Patch:
    """The print on one flank, as read on the ring gear.

    `centre` and the ends are ratios, along from 0 at the toe to 1 at the heel and in depth from 0 at the root side to 1
    at the tip of the working depth. `area_ratio` is what of the working flank is marked. `tilt_deg` is the angle from
    the tooth's length to the print's long axis on the flank [°], within ±90, positive where it rises toward the tip at
    the heel; 0 for a print that is as long as it is deep.
    """

    centre: Centre
    along_ends: tuple[float, float]
    depth_ends: tuple[float, float]
    area_ratio: float
    tilt_deg: float

    @property
    def along_extent_ratio(self) -> float:
        """Length of the print over the face width [-]."""
        return self.along_ends[1] - self.along_ends[0]

    @property
    def depth_extent_ratio(self) -> float:
        """Depth of the print over the working depth [-]."""
        return self.depth_ends[1] - self.depth_ends[0]

    @property
    def runs_off(self) -> tuple[str, ...]:
        """Edges it runs off, of "toe", "heel", "root" and "tip": there its centre moves less than the contact."""
        ends = {
            "toe": self.along_ends[0] <= 0.0,
            "heel": self.along_ends[1] >= 1.0,
            "root": self.depth_ends[0] <= 0.0,
            "tip": self.depth_ends[1] >= 1.0,
        }
        return tuple(edge for edge, is_reached in ends.items() if is_reached)


@dataclass(frozen=True, eq=False)
class Triangles:
    """The grid (n, m) in triangles: corners (t, 3) as flat places, their ratios (t, 3, 2), moments (t, 6).

    The moments of a triangle are its area, ∫x, ∫y, ∫x², ∫xy and ∫y² over ratios x along and y in depth.
    """

    corners: Indices
    ratios: Floats
    moments: Floats


@lru_cache(maxsize=8)
def triangles(along: int, depth: int) -> Triangles:
    """Return the triangles of an even grid of so many places: each cell cut along one diagonal, then the other."""
    places = np.arange(along * depth).reshape(along, depth)
    a, b, c, d = (part.ravel() for part in (places[:-1, :-1], places[1:, :-1], places[1:, 1:], places[:-1, 1:]))
    is_odd = (np.add.outer(np.arange(along - 1), np.arange(depth - 1)) % 2).ravel()[:, None] == 1
    lower = np.where(is_odd, np.stack([a, b, d], 1), np.stack([a, b, c], 1))
    upper = np.where(is_odd, np.stack([b, c, d], 1), np.stack([a, c, d], 1))
    corners = np.concatenate([lower, upper])
    ratios = np.stack([corners // depth / (along - 1.0), corners % depth / (depth - 1.0)], -1)
    return Triangles(corners, ratios, _moments(ratios))


def patch(gap_mm: Floats, film_mm: float, face_width_mm: float, working_depth_mm: float) -> Patch:
    """Return the print of a flank.

    Within each triangle of the grid the gap is taken as linear and the triangle cut where the gap is the film, so that
    the print's edge, and with it the centre, moves evenly and not from place to place.

    Parameters
    ----------
    gap_mm : ndarray
        Smallest gap of each place [mm], (n, m).
    film_mm : float
        Gap up to which the compound is displaced [mm].
    face_width_mm, working_depth_mm : float
        Size of the flank [mm], for the tilt.

    Returns
    -------
    Patch
        The print.

    Raises
    ------
    RangeError
        For a film not above 0, or so thin that it lies between the places of the grid.
    """
    above("film_mm", film_mm, max(float(gap_mm.min()), 0.0), "mm")
    grid = triangles(*gap_mm.shape)
    flat = gap_mm.ravel()
    low = (flat < film_mm)[grid.corners]
    count = low.sum(1)
    cut = np.flatnonzero((count == 1) | (count == 2))
    edge = _cut(grid.ratios[cut], flat[grid.corners[cut]] - film_mm, low[cut], count[cut])
    moments = grid.moments[count > 1].sum(0) + edge.moments.sum(0)
    marked = np.concatenate([grid.ratios[low], edge.points.reshape(-1, 2)])
    (along_low, depth_low), (along_high, depth_high) = marked.min(0).tolist(), marked.max(0).tolist()
    area, first_x, first_y, xx, xy, yy = moments.tolist()
    x, y = first_x / area, first_y / area
    length, depth = face_width_mm, working_depth_mm
    spread = (xx / area - x * x) * length**2 - (yy / area - y * y) * depth**2
    slant = (xy / area - x * y) * length * depth
    tilt_deg = 0.5 * math.degrees(math.atan2(2.0 * slant, spread))
    return Patch(Centre(x, y), (along_low, along_high), (depth_low, depth_high), area, tilt_deg)


@dataclass(frozen=True, eq=False)
class _Edge:
    """Triangles the print's edge passes through: points on two sides (c, 2, 2); moments (c, 6) to add to whole ones."""

    points: Floats
    moments: Floats


def _cut(ratios: Floats, over_mm: Floats, low: NDArray[np.bool_], count: Indices) -> _Edge:
    """Cut triangles (c, 3, 2) where the gap over the film (c, 3) is 0; one or two corners of each are low."""
    rows = np.arange(len(count))
    # The corner that is alone on its side of the edge, then the other two.
    alone = np.where(count == 1, low.argmax(1), low.argmin(1))
    others = np.stack([(alone + 1) % 3, (alone + 2) % 3], 1)
    apex, height = ratios[rows, alone][:, None], over_mm[rows, alone][:, None]
    share = height / (height - over_mm[rows[:, None], others])
    points = apex + share[..., None] * (ratios[rows[:, None], others] - apex)
    corner = _moments(np.concatenate([apex, points], 1))
    return _Edge(points, np.where(count == 1, 1.0, -1.0)[:, None] * corner)


def _moments(corners: Floats) -> Floats:
    """Return area, ∫x, ∫y, ∫x², ∫xy and ∫y² of triangles (t, 3, 2), as (t, 6)."""
    x, y = corners[..., 0], corners[..., 1]
    area = 0.5 * np.abs((x[:, 1] - x[:, 0]) * (y[:, 2] - y[:, 0]) - (x[:, 2] - x[:, 0]) * (y[:, 1] - y[:, 0]))
    sum_x, sum_y = x.sum(1), y.sum(1)
    return np.stack(
        [
            area,
            area * sum_x / 3.0,
            area * sum_y / 3.0,
            area * ((x * x).sum(1) + sum_x * sum_x) / 12.0,
            area * ((x * y).sum(1) + sum_x * sum_y) / 12.0,
            area * ((y * y).sum(1) + sum_y * sum_y) / 12.0,
        ],
        1,
    )
