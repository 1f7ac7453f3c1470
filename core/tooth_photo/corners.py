"""The four corners a person clicks, and the way from the flank to the picture they give."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from core.errors import InputError
from core.language import tr
from core.mechanics.outline import Point

Floats = NDArray[np.float64]

LEAST_LENGTH_PX = 120.0
LEAST_DEPTH_PX = 28.0
"""A flank of fewer pixels than this along or in depth shows too little."""
_FLATTEST_TURN = 0.02
"""Sine of the turn at a corner below which the corners lie on a line."""


def checked_corners(corners: Sequence[Point], size: tuple[int, int]) -> Floats:
    """Return the corners as an array once they can be those of a flank.

    Parameters
    ----------
    corners : sequence of (float, float)
        Toe-root, heel-root, heel-tip and toe-tip, x and y in the picture [px].
    size : tuple of int
        Width and height of the picture [px].

    Returns
    -------
    ndarray
        The same corners, (4, 2).

    Raises
    ------
    InputError
        There are not four, one is outside the picture, they cross or make a dent, or the flank is too small.
    """
    places = np.asarray(corners, dtype=float)
    if places.shape != (4, 2) or not np.isfinite(places).all():
        raise InputError(
            tr("A flank has four corners."),
            tr("Click toe at the root, heel at the root, heel at the tip, toe at the tip."),
        )
    if (places < 0).any() or (places > np.asarray(size, dtype=float)).any():
        raise InputError(
            tr("A corner lies outside the picture."),
            tr("Click all four inside it, or take a photo of the whole tooth."),
        )
    sides = np.roll(places, -1, axis=0) - places
    long = np.hypot(sides[:, 0], sides[:, 1])
    length, depth = float(long[[0, 2]].min()), float(long[[1, 3]].min())
    if length < LEAST_LENGTH_PX or depth < LEAST_DEPTH_PX:
        raise InputError(
            tr(
                "The flank is too small in this picture: {length} × {depth} pixels.",
                length=int(length),
                depth=int(depth),
            ),
            tr("Go closer, so that one tooth fills most of the picture."),
        )
    onward = np.roll(sides, -1, axis=0)
    turns = (sides[:, 0] * onward[:, 1] - sides[:, 1] * onward[:, 0]) / (long * np.roll(long, -1))
    if not ((turns > _FLATTEST_TURN).all() or (turns < -_FLATTEST_TURN).all()):
        raise InputError(
            tr("The corners cross or make a dent."),
            tr("Click them in turn: toe at the root, heel at the root, heel at the tip, toe at the tip."),
        )
    return places


def to_picture(corners: Floats, toe_to_heel_depth: float) -> Floats:
    """Return the homography (3, 3) that takes the flank, laid flat, to the picture.

    Flat, the flank is as long as 1; at the heel it reaches from −0.5 to 0.5, at the toe it is lower by the given
    ratio. Four points fix the eight numbers of a homography but for its scale.
    """
    toe = 0.5 * toe_to_heel_depth
    rows, wanted = [], []
    for (x, y), (to_x, to_y) in zip(((0.0, -toe), (1.0, -0.5), (1.0, 0.5), (0.0, toe)), corners, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -to_x * x, -to_x * y], [0, 0, 0, x, y, 1, -to_y * x, -to_y * y]]
        wanted += [to_x, to_y]
    return np.append(np.linalg.solve(np.array(rows), np.array(wanted)), 1.0).reshape(3, 3)


def in_picture(along: Floats, depth: Floats, homography: Floats, toe_to_heel_depth: float) -> tuple[Floats, Floats]:
    """Return where in the picture [px] places on the flank lie, given as ratios along and in depth."""
    height = toe_to_heel_depth + (1.0 - toe_to_heel_depth) * along
    flat = np.stack([along, (depth - 0.5) * height, np.ones_like(along)])
    x, y, scale = np.tensordot(homography, flat, 1)
    return x / scale, y / scale


def arc(bow: float, along: Floats) -> Floats:
    """Return how far toward the tip a bowed flank's places are seen, as a share of the depth; nothing at its ends."""
    return 4.0 * bow * along * (1.0 - along)
