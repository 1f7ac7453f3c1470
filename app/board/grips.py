"""What a hand takes hold of on a print that lies there, and what becomes of the print when it is pulled."""

from __future__ import annotations

from math import atan2, degrees, hypot

from app.board.draft import Draft
from core.mechanics.outline import Point, Ring, extents, is_inside, measure
from core.mechanics.tooth_view import ToothView

MOVE, TILT = "move", "tilt"


def handles(view: ToothView, rings: tuple[Ring, ...]) -> dict[str, Point]:
    """Return where the handles stand: at the four ends of the print, and at a corner above it to tilt it by."""
    low, high = extents(rings)
    along, depth = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2
    return {
        "toe": view.at(low[0], depth),
        "heel": view.at(high[0], depth),
        "root": view.at(along, low[1]),
        "tip": view.at(along, high[1]),
        TILT: view.at(high[0], high[1]),
    }


def grip_at(view: ToothView, rings: tuple[Ring, ...], x: float, y: float, reach: float) -> str:
    """Return what a press takes hold of: a handle, the print, or nothing, which begins a stroke.

    Parameters
    ----------
    view : ToothView
        Where the tooth stands.
    rings : tuple of Ring
        The print; empty where nothing is drawn.
    x, y : float
        Where the press is [px].
    reach : float
        How near it must come to a handle [px].
    """
    if not rings:
        return ""
    inside = any(is_inside(view.shares(x, y), ring) for ring in rings)
    places = handles(view, rings)
    nearest, name = min((hypot(x - there[0], y - there[1]), name) for name, there in places.items())
    # Within a small print the handles must leave room to take hold of the print itself.
    smallest = min(abs(places["heel"][0] - places["toe"][0]), abs(places["tip"][1] - places["root"][1]))
    if nearest <= (min(reach, smallest / 3) if inside else reach):
        return name
    return MOVE if inside else ""


def pulled(grip: str, rings: tuple[Ring, ...], proportion: float, start: Point, here: Point) -> Draft:
    """Return a draft with the print as it is when a hand that took hold at `start` is `here`, and what is said of it.

    Both places are shares of the tooth, `proportion` is its face width over its working depth.
    """
    trying = Draft()
    trying.rings, trying.proportion = rings, proportion
    along, depth = here[0] - start[0], here[1] - start[1]
    if grip == MOVE:
        trying.move(along, depth)
    elif grip == TILT:
        centre = measure(rings, proportion)
        trying.tilt(_turned(start, here, (centre.along, centre.depth), proportion))
    else:
        trying.stretch(
            {"heel": 2 * along, "toe": -2 * along}.get(grip, 0.0),
            {"tip": 2 * depth, "root": -2 * depth}.get(grip, 0.0),
        )
    return trying


def _turned(one: Point, other: Point, centre: Point, proportion: float) -> float:
    """Return by how many degrees a hand went round a centre, at the true shape of the tooth."""
    angles = [atan2(p[1] - centre[1], (p[0] - centre[0]) * proportion) for p in (one, other)]
    return (degrees(angles[1] - angles[0]) + 180) % 360 - 180
