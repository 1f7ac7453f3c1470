"""Prints as they commonly look, and a hand-drawn stroke made into an outline."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import copysign, cos, hypot, pi, sin

from core.language import mark
from core.mechanics.outline import LEAST_AREA, LEAST_POINTS, Point, Ring, is_crossed, signed_area, turn_of

SQUARENESS = 2.6
"""A print is rounder than a box and fuller than an ellipse."""
STEPS = 24
"""Points of a shape that is put down: enough to look round, few enough to be written out."""
SLACK = 0.006
"""How far a stroke may be straightened [share of the tooth]: less than a hand can draw."""
MOST_KEPT = 48
"""Points kept of a stroke."""
MOST_DRAWN = 400
"""Points of a stroke that are looked at; a hand that lingers leaves thousands."""


@dataclass(frozen=True)
class Shape:
    """A common look of a print; `label` is a marked word."""

    key: str
    label: str
    rings: tuple[Ring, ...]


def rounded(along: float, depth: float, length: float, height: float, steps: int = STEPS) -> Ring:
    """Return the outline of a plain print from its centre and reach [shares of the tooth], cut off at no edge.

    Examples
    --------
    >>> rounded(0.5, 0.5, 0.4, 0.6, 4)
    ((0.7, 0.5), (0.5, 0.8), (0.3, 0.5), (0.5, 0.2))
    """
    points = []
    for step in range(steps):
        turn = 2 * pi * step / steps
        points.append(
            (round(along + length / 2 * _power(cos(turn)), 6), round(depth + height / 2 * _power(sin(turn)), 6))
        )
    return tuple(points)


def _power(value: float) -> float:
    return copysign(abs(value) ** (2 / SQUARENESS), value)


SHAPES: tuple[Shape, ...] = (
    Shape("centred", mark("centred"), (rounded(0.50, 0.50, 0.50, 0.60),)),
    Shape("toe", mark("at the toe"), (rounded(0.25, 0.50, 0.42, 0.58),)),
    Shape("heel", mark("at the heel"), (rounded(0.75, 0.50, 0.42, 0.58),)),
    Shape("face", mark("high, at the face"), (rounded(0.50, 0.78, 0.60, 0.38),)),
    Shape("flank", mark("low, at the flank"), (rounded(0.50, 0.22, 0.60, 0.38),)),
    Shape("bridged", mark("bridged along"), (rounded(0.50, 0.50, 0.94, 0.46),)),
    Shape("two", mark("two patches"), (rounded(0.23, 0.50, 0.32, 0.50), rounded(0.77, 0.50, 0.32, 0.50))),
    Shape("edge", mark("along the edge"), (rounded(0.50, 0.93, 0.70, 0.14),)),
)
"""The common looks, in the order the keys 1 to 8 put them down."""


def tidied(stroke: Sequence[Point]) -> Ring | None:
    """Return the outline a hand meant by a stroke, or None where it encloses nothing.

    Parameters
    ----------
    stroke : sequence of Point
        Points as they were drawn [shares of the tooth]; what lies beside the tooth is brought to its edge.

    Returns
    -------
    Ring or None
        At most `MOST_KEPT` points; closed, uncrossed: of a loop that was drawn over itself the larger part.

    Examples
    --------
    >>> tidied([(0.2, 0.2), (0.4, 0.2), (0.6, 0.2), (0.6, 0.6), (0.2, 0.6), (0.2, 0.21)])
    ((0.2, 0.2), (0.6, 0.2), (0.6, 0.6), (0.2, 0.6))
    >>> tidied([(0.2, 0.2), (0.6, 0.6), (0.2, 0.2)]) is None
    True
    """
    seen = stroke[:: max(1, -(-len(stroke) // MOST_DRAWN))]
    points = [(min(max(a, 0.0), 1.0), min(max(d, 0.0), 1.0)) for a, d in seen]
    slack = SLACK
    ring = _straightened(points, slack)
    while len(ring) > MOST_KEPT:
        slack *= 1.5
        ring = _straightened(points, slack)
    ring = _uncrossed([(round(a, 3), round(d, 3)) for a, d in ring])
    if is_crossed(tuple(ring)):
        # Rounding may close a gap as narrow as a hair; the hull of a stroke never crosses itself.
        ring = _hull(ring)
    if len(ring) < LEAST_POINTS or abs(signed_area(ring)) < LEAST_AREA:
        return None
    return tuple(ring)


def _straightened(points: Sequence[Point], slack: float) -> list[Point]:
    """Return a closed line with the points left out that lie within `slack` of it (Ramer, Douglas and Peucker)."""
    if len(points) < LEAST_POINTS:
        return list(points)
    far = max(range(len(points)), key=lambda i: _apart(points[0], points[i]))
    kept = [*_thinned(points[: far + 1], slack)[:-1], *_thinned([*points[far:], points[0]], slack)[:-1]]
    return [p for p, before in zip(kept, [kept[-1], *kept[:-1]], strict=True) if _apart(p, before) > slack]


def _thinned(points: Sequence[Point], slack: float) -> list[Point]:
    if len(points) < LEAST_POINTS:
        return list(points)
    first, last = points[0], points[-1]
    base = _apart(first, last)
    off = [abs(turn_of(first, last, p)) / base if base else _apart(first, p) for p in points]
    worst = max(range(len(points)), key=off.__getitem__)
    if off[worst] <= slack:
        return [first, last]
    return [*_thinned(points[: worst + 1], slack)[:-1], *_thinned(points[worst:], slack)]


def _apart(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


def _uncrossed(ring: list[Point]) -> list[Point]:
    """Return a closed line with its smaller loops cut off, one crossing after the other."""
    while (found := _first_crossing(ring)) is not None:
        i, j, at = found
        inner, outer = [at, *ring[i + 1 : j + 1]], [*ring[: i + 1], at, *ring[j + 1 :]]
        ring = max(inner, outer, key=lambda loop: abs(signed_area(loop)))
    return ring


def _first_crossing(ring: Sequence[Point]) -> tuple[int, int, Point] | None:
    count = len(ring)
    for i in range(count):
        for j in range(i + 2, count - (i == 0)):
            a, b, c, d = ring[i], ring[i + 1], ring[j], ring[(j + 1) % count]
            one, other = turn_of(a, b, c), turn_of(a, b, d)
            if one * other < 0 and turn_of(c, d, a) * turn_of(c, d, b) < 0:
                share = one / (one - other)
                at = round(c[0] + (d[0] - c[0]) * share, 3), round(c[1] + (d[1] - c[1]) * share, 3)
                return i, j, at
    return None


def _hull(points: Sequence[Point]) -> list[Point]:
    """Return the convex hull of points, in order."""
    ordered = sorted(set(points))
    halves = []
    for run in (ordered, ordered[::-1]):
        half: list[Point] = []
        for point in run:
            while len(half) > 1 and turn_of(half[-2], half[-1], point) <= 0:
                half.pop()
            half.append(point)
        halves.append(half[:-1])
    return [*halves[0], *halves[1]]
