"""The print's edge as polygons, to be drawn."""

from __future__ import annotations

import numpy as np

from core.mechanics.checks import above
from core.mechanics.contact.geometry import Floats
from core.mechanics.contact.patch import triangles

Side = tuple[int, int]


def outline(gap_mm: Floats, film_mm: float) -> list[Floats]:
    """Return the edges of the displaced compound.

    Each triangle the edge passes through joins a point on one of its sides to a point on another; neighbours share
    sides, so the points follow one another. A rim of wide gaps laid around the face closes what runs off it.

    Parameters
    ----------
    gap_mm : ndarray
        Smallest gap of each place [mm], (n, m).
    film_mm : float
        Gap up to which the compound is displaced [mm].

    Returns
    -------
    list of ndarray
        Closed polygons (p, 2) of ratios along and in depth, the largest area first. Around the print they go
        counterclockwise, around a hole in it clockwise.

    Raises
    ------
    RangeError
        For a film not above 0, or so thin that it lies between the places of the grid.
    """
    above("film_mm", film_mm, max(float(gap_mm.min()), 0.0), "mm")
    # The rim is so high that the edge lies on the face's own border to a millionth.
    rim_mm = film_mm + 1e6 * max(film_mm, float(np.abs(gap_mm).max()))
    over = np.pad(gap_mm, 1, constant_values=rim_mm).ravel() - film_mm
    columns, rows = gap_mm.shape[0] + 2, gap_mm.shape[1] + 2
    places = np.arange(columns * rows)
    x = np.clip((places // rows - 1.0) / (columns - 3.0), 0.0, 1.0)
    y = np.clip((places % rows - 1.0) / (rows - 3.0), 0.0, 1.0)
    follows: dict[Side, Side] = {}
    corners = triangles(columns, rows).corners
    is_low = (over < 0.0)[corners]
    # Only the triangles the edge passes through are gone over one by one: the rest are most of them.
    is_cut = is_low.any(1) & ~is_low.all(1)
    for corner, low in zip(corners[is_cut].tolist(), is_low[is_cut].tolist(), strict=True):
        # Counterclockwise round the triangle, the print is left where a side goes from low to high.
        leaving, entering = (
            next((corner[k], corner[(k + 1) % 3]) for k in range(3) if (low[k], low[(k + 1) % 3]) == pair)
            for pair in ((True, False), (False, True))
        )
        follows[min(leaving), max(leaving)] = (min(entering), max(entering))
    loops = []
    while follows:
        side = start = next(iter(follows))
        points = []
        while True:
            a, b = side
            share = over[a] / (over[a] - over[b])
            points.append((x[a] + share * (x[b] - x[a]), y[a] + share * (y[b] - y[a])))
            side = follows.pop(side)
            if side == start:
                break
        loops.append(np.array(points))
    return sorted(loops, key=lambda loop: -abs(area_ratio(loop)))


def area_ratio(loop: Floats) -> float:
    """Return the area inside a closed polygon (p, 2), positive where it goes counterclockwise."""
    x, y = loop[:, 0], loop[:, 1]
    return 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
