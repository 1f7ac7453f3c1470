"""The outline of a contact print on a tooth flank: what follows from it, and how it is moved, stretched and tilted.

A ring is the outline of one patch, as points (along, depth): shares of the tooth, along 0 at the toe and 1 at the heel,
depth 0 at the root side and 1 at the tip of the working depth. A print is one ring or several. Shares are of the tooth
where the point lies, so the taper of the tooth is left out of every formula here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import atan2, cos, degrees, hypot, radians, sin

from core.mechanics.checks import above, within

Point = tuple[float, float]
Ring = tuple[Point, ...]

USUAL_PROPORTION = 3.3
"""Face width over working depth, where the card does not say (common practice for final drives)."""
LEAST_POINTS = 3
LEAST_AREA = 0.0005
"""A ring smaller than this share of the tooth is a slip of the pen, not a print."""
LEAST_SECOND = 0.2
"""A second patch smaller than this share of the largest is a speck beside it (common practice)."""
ROUND = 0.05
"""How far the axes of a print must differ, of their sum, before it can be said to be tilted."""


@dataclass(frozen=True)
class Measures:
    """What follows from an outline.

    `along` and `depth` are the centroid of the area, `length` and `height` how far it reaches, all as shares of the
    tooth; `area` is the share of the tooth it covers; `tilt_deg` is how far its long axis rises toward the heel [°], at
    the true shape of the tooth, 0 for a print as good as round.
    """

    along: float
    depth: float
    length: float
    height: float
    area: float
    tilt_deg: float


def signed_area(ring: Sequence[Point]) -> float:
    """Return the area a ring encloses, positive where its points go from along to depth.

    Examples
    --------
    >>> signed_area([(0.0, 0.0), (0.5, 0.0), (0.5, 0.4), (0.0, 0.4)])
    0.2
    """
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in _edges(ring)) / 2


def measure(rings: Sequence[Ring], proportion: float = USUAL_PROPORTION) -> Measures:
    """Return what follows from an outline.

    Parameters
    ----------
    rings : sequence of Ring
        Outlines that cross neither themselves nor each other [-].
    proportion : float
        Face width over working depth [-]; only the tilt asks for it.

    Raises
    ------
    RangeError
        For an outline without area, or a proportion that is not positive.

    Notes
    -----
    Area, first and second moments of a polygon by Green's theorem; the tilt is that of the principal axis of the
    second moments. Source: textbook (memory).

    Examples
    --------
    >>> measure([((0.2, 0.2), (0.6, 0.2), (0.6, 0.6), (0.2, 0.6))])
    Measures(along=0.4, depth=0.4, length=0.4, height=0.4, area=0.16, tilt_deg=0.0)
    """
    above("proportion", proportion)
    area = above("area", sum(abs(signed_area(ring)) for ring in rings))
    along, depth = (_moment(rings, axis) / area for axis in (0, 1))
    low, high = extents(rings)
    return Measures(
        round(along, 9),
        round(depth, 9),
        round(high[0] - low[0], 9),
        round(high[1] - low[1], 9),
        round(area, 9),
        round(_tilt_deg([tuple(((a - along) * proportion, d - depth) for a, d in ring) for ring in rings]), 6) + 0.0,
    )


def extents(rings: Iterable[Ring]) -> tuple[Point, Point]:
    """Return the lowest and the highest along and depth of all points.

    Examples
    --------
    >>> extents([((0.1, 0.2), (0.6, 0.3), (0.2, 0.9))])
    ((0.1, 0.2), (0.6, 0.9))
    """
    along, depth = zip(*(point for ring in rings for point in ring), strict=True)
    return (min(along), min(depth)), (max(along), max(depth))


def _edges(ring: Sequence[Point]) -> Iterable[tuple[Point, Point]]:
    return zip(ring, [*ring[1:], *ring[:1]], strict=True)


def _moment(rings: Iterable[Ring], axis: int) -> float:
    """Return the first moment of area about an axis, whichever way each ring goes round."""
    total = 0.0
    for ring in rings:
        turn = 1.0 if signed_area(ring) >= 0 else -1.0
        total += turn * sum((a[0] * b[1] - b[0] * a[1]) * (a[axis] + b[axis]) for a, b in _edges(ring)) / 6
    return total


def _tilt_deg(centred: Sequence[Ring]) -> float:
    """Return the tilt of the long principal axis [°] of rings around their centroid, in lengths of one unit."""
    xx = yy = xy = 0.0
    for ring in centred:
        turn = 1.0 if signed_area(ring) >= 0 else -1.0
        for (x0, y0), (x1, y1) in _edges(ring):
            cross = turn * (x0 * y1 - x1 * y0)
            xx += cross * (x0 * x0 + x0 * x1 + x1 * x1) / 12
            yy += cross * (y0 * y0 + y0 * y1 + y1 * y1) / 12
            xy += cross * (x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0) / 24
    if hypot(xx - yy, 2 * xy) <= ROUND * (xx + yy):
        return 0.0
    return degrees(atan2(2 * xy, xx - yy)) / 2


# --- sound or not ----------------------------------------------------------------------------------------------------


def is_on_tooth(rings: Iterable[Ring]) -> bool:
    """Tell whether every point lies on the tooth.

    Examples
    --------
    >>> is_on_tooth([((0.0, 0.0), (1.0, 0.5), (0.5, 1.0))]), is_on_tooth([((0.0, 0.0), (1.2, 0.5), (0.5, 1.0))])
    (True, False)
    """
    return all(0.0 <= share <= 1.0 for ring in rings for point in ring for share in point)


def is_crossed(ring: Ring) -> bool:
    """Tell whether a ring crosses or touches itself; along an edge of the tooth it may run on itself.

    Examples
    --------
    >>> is_crossed(((0.1, 0.1), (0.9, 0.9), (0.9, 0.1), (0.1, 0.9))), is_crossed(((0.1, 0.1), (0.9, 0.1), (0.5, 0.9)))
    (True, False)
    """
    edges = list(_edges(ring))
    last = len(edges) - 1
    neighbours = {(i, i + 1) for i in range(last)} | {(0, last)}
    return any(
        _meet(edges[i], edges[j]) for i, j in combinations(range(len(edges)), 2) if (i, j) not in neighbours
    ) or any(_folds_back(edges[i], edges[(i + 1) % len(edges)]) for i in range(len(edges)))


def are_crossed(rings: Sequence[Ring]) -> bool:
    """Tell whether rings cross or touch each other, or one lies within another.

    Examples
    --------
    >>> one, other = ((0.1, 0.1), (0.4, 0.1), (0.2, 0.6)), ((0.2, 0.2), (0.9, 0.2), (0.5, 0.6))
    >>> are_crossed([one, other])
    True
    """
    for one, other in combinations(rings, 2):
        if any(_meet(a, b) for a in _edges(one) for b in _edges(other)):
            return True
        if is_inside(one[0], other) or is_inside(other[0], one):
            return True
    return False


def is_inside(point: Point, ring: Ring) -> bool:
    """Tell whether a point lies within a ring: a ray from it meets the ring an odd number of times.

    Examples
    --------
    >>> is_inside((0.2, 0.2), ((0.1, 0.1), (0.9, 0.1), (0.1, 0.9)))
    True
    """
    found = False
    for (x0, y0), (x1, y1) in _edges(ring):
        if (y0 > point[1]) != (y1 > point[1]):
            found ^= point[0] < x0 + (point[1] - y0) * (x1 - x0) / (y1 - y0)
    return found


def turn_of(a: Point, b: Point, c: Point) -> float:
    """Return twice the area of a triangle: positive where it turns from along to depth, 0 on one line.

    Examples
    --------
    >>> turn_of((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
    1.0
    """
    return (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])


_NEAR = 1e-12


def _sign(value: float) -> int:
    return (value > _NEAR) - (value < -_NEAR)


def _meet(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Tell whether two edges cross or touch, meetings on the tooth's own edge aside."""
    (a, b), (c, d) = one, other
    turns = _sign(turn_of(a, b, c)), _sign(turn_of(a, b, d)), _sign(turn_of(c, d, a)), _sign(turn_of(c, d, b))
    if turns[0] * turns[1] < 0 and turns[2] * turns[3] < 0:
        return True
    ends = ((c, one, turns[0]), (d, one, turns[1]), (a, other, turns[2]), (b, other, turns[3]))
    return any(turn == 0 and _is_between(end, edge) and not _is_at_edge(end) for end, edge, turn in ends)


def _is_between(point: Point, edge: tuple[Point, Point]) -> bool:
    """Tell whether a point on an edge's line lies on the edge itself."""
    return all(min(edge[0][i], edge[1][i]) <= point[i] <= max(edge[0][i], edge[1][i]) for i in (0, 1))


def _is_at_edge(point: Point) -> bool:
    return any(share in (0.0, 1.0) for share in point)


def _folds_back(one: tuple[Point, Point], following: tuple[Point, Point]) -> bool:
    """Tell whether an edge runs back over the one before it."""
    (a, b), (_, c) = one, following
    back = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])
    return _sign(turn_of(a, b, c)) == 0 and back < 0 and not _is_at_edge(b)


def is_parted(rings: Sequence[Ring]) -> bool:
    """Tell whether a print lies in patches of which none can be left out: its common centre then says little.

    Examples
    --------
    >>> one, other = ((0.1, 0.1), (0.4, 0.1), (0.2, 0.6)), ((0.6, 0.1), (0.9, 0.1), (0.7, 0.6))
    >>> speck = ((0.8, 0.1), (0.85, 0.1), (0.8, 0.3))
    >>> is_parted([one, other]), is_parted([one, speck]), is_parted([one])
    (True, False, False)
    """
    areas = sorted((abs(signed_area(ring)) for ring in rings), reverse=True)
    return len(areas) > 1 and areas[1] >= LEAST_SECOND * areas[0]


# --- changed ---------------------------------------------------------------------------------------------------------


def moved(rings: Sequence[Ring], along: float, depth: float) -> tuple[Ring, ...]:
    """Return a print moved by shares of the tooth; at an edge of the tooth it stops.

    Examples
    --------
    >>> moved([((0.25, 0.5), (0.5, 0.5), (0.5, 0.75))], 0.75, -0.25)
    (((0.75, 0.25), (1.0, 0.25), (1.0, 0.5)),)
    """
    low, high = extents(rings)
    step_a = min(max(along, -low[0]), 1.0 - high[0])
    step_d = min(max(depth, -low[1]), 1.0 - high[1])
    return _each(rings, lambda p: (p[0] + step_a, p[1] + step_d))


def resized(rings: Sequence[Ring], length: float, height: float) -> tuple[Ring, ...]:
    """Return a print made as long and as high as asked, around its middle, or as near to it as the tooth has room.

    Parameters
    ----------
    rings : sequence of Ring
        The print; it must have length and height.
    length, height : float
        How far it is to reach [share of the tooth], more than 0 and at most 1.

    Raises
    ------
    RangeError
        For a length or height out of range.

    Examples
    --------
    >>> resized([((0.5, 0.25), (1.0, 0.25), (1.0, 0.5))], 1.0, 0.25)
    (((0.0, 0.25), (1.0, 0.25), (1.0, 0.5)),)
    """
    low, high = extents(rings)
    wide = above("length", within("length", length, 0.0, 1.0)) / above("length", high[0] - low[0])
    tall = above("height", within("height", height, 0.0, 1.0)) / above("height", high[1] - low[1])
    middle = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2
    grown = _each(rings, lambda p: (middle[0] + (p[0] - middle[0]) * wide, middle[1] + (p[1] - middle[1]) * tall))
    return _pushed_in(grown)


def tilted(rings: Sequence[Ring], tilt_deg: float, proportion: float = USUAL_PROPORTION) -> tuple[Ring, ...] | None:
    """Return a print turned about its centroid at the true shape of the tooth, or None where the tooth has no room.

    Parameters
    ----------
    rings : sequence of Ring
        The print.
    tilt_deg : float
        How far its heel end is to rise [°].
    proportion : float
        Face width over working depth [-].

    Raises
    ------
    RangeError
        For an outline without area, or a proportion that is not positive.

    Examples
    --------
    >>> upright = tilted([((0.5, 0.4), (0.7, 0.4), (0.7, 0.6), (0.5, 0.6))], 90.0, 1.0)
    >>> [(round(a, 6), round(d, 6)) for a, d in upright[0]]
    [(0.7, 0.4), (0.7, 0.6), (0.5, 0.6), (0.5, 0.4)]
    """
    found = measure(rings, proportion)
    c, s = cos(radians(tilt_deg)), sin(radians(tilt_deg))

    def turned(point: Point) -> Point:
        x, y = (point[0] - found.along) * proportion, point[1] - found.depth
        return found.along + (x * c - y * s) / proportion, found.depth + x * s + y * c

    rings = _each(rings, turned)
    low, high = extents(rings)
    return _pushed_in(rings) if max(high[0] - low[0], high[1] - low[1]) <= 1.0 else None


def fitted(rings: Sequence[Ring], along: float, depth: float, length: float, height: float) -> tuple[Ring, ...] | None:
    """Return a print with its centroid and reach made to be as told, or None where it would leave the tooth.

    Parameters
    ----------
    rings : sequence of Ring
        The print; it must have area.
    along, depth : float
        Where its centroid is to lie [share of the tooth].
    length, height : float
        How far it is to reach [share of the tooth].

    Raises
    ------
    RangeError
        For an outline without area.

    Examples
    --------
    >>> fitted([((0.2, 0.2), (0.6, 0.2), (0.6, 0.6), (0.2, 0.6))], 0.5, 0.5, 0.5, 0.25)
    (((0.25, 0.375), (0.75, 0.375), (0.75, 0.625), (0.25, 0.625)),)
    >>> fitted([((0.2, 0.2), (0.6, 0.2), (0.6, 0.6), (0.2, 0.6))], 0.1, 0.5, 0.5, 0.25) is None
    True
    """
    now = measure(rings)
    wide, tall = length / now.length, height / now.height
    made = _each(
        rings, lambda p: (round(along + (p[0] - now.along) * wide, 9), round(depth + (p[1] - now.depth) * tall, 9))
    )
    return made if wide > 0 and tall > 0 and is_on_tooth(made) else None


def _each(rings: Iterable[Ring], change: Callable[[Point], Point]) -> tuple[Ring, ...]:
    return tuple(tuple(change(point) for point in ring) for ring in rings)


def _pushed_in(rings: Sequence[Ring]) -> tuple[Ring, ...]:
    """Return a print no larger than the tooth pushed back onto it."""
    low, high = extents(rings)
    step = [max(-low[i], 0.0) + min(1.0 - high[i], 0.0) for i in (0, 1)]
    return _each(rings, lambda p: (min(max(p[0] + step[0], 0.0), 1.0), min(max(p[1] + step[1], 0.0), 1.0)))
