"""When each point of a ring-gear flank meets the pinion, and what a move of either gear does there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.errors import RangeError
from core.language import tr
from core.mechanics.contact.flank import GearFlank, about_axis
from core.mechanics.contact.geometry import Floats


@dataclass(frozen=True, eq=False)
class Mesh:
    """A flank's points at their own instants of contact with the conjugate pinion; arrays over the points (...).

    `roll_rad` is how far the gear has turned since the mean point was in contact. `normals` (..., 3) point out of the
    gear's tooth then, `lever_mm` is how far a turn of the gear by 1 rad moves the point along its normal. `rates`
    (3, ...) are the angles by which a mm of pinion withdrawn, of gear withdrawn and of offset opens the mesh [rad/mm]:
    F_P = n_x/|a|, F_G = −n_z/|a|, F_E = n_y/|a|.
    """

    roll_rad: Floats
    points_mm: Floats
    normals: Floats
    lever_mm: Floats
    rates: Floats


def mesh(flank: GearFlank, along: Floats, depth: Floats) -> Mesh:
    """Return the instants of contact of places on a flank with the pinion that is its envelope.

    With M = p × n of the tooth in its reference position, contact is where M_x cos φ − M_y sin φ = E n_z − M_z/u: the
    normal then has no part in the sliding of one gear on the other.

    Parameters
    ----------
    flank : GearFlank
        The gear's flank.
    along, depth : ndarray
        Places u and v on the tooth, as for `GearFlank.locate`, one shape (...).

    Returns
    -------
    Mesh
        Instants, points, normals and what moves do there.

    Raises
    ------
    RangeError
        Where some place of the flank meets no pinion at any instant: no conjugate pinion.

    Notes
    -----
    Equation of meshing: textbook (Litvin, from memory), solved in closed form; no approximation. Of its two solutions
    the one continuous with φ = 0 at the mean point is taken on the whole flank.
    """
    gear_set = flank.cones.gear_set
    points, normals = flank.at(along, depth)
    moment = np.cross(points, normals)
    sideways = np.hypot(moment[..., 0], moment[..., 1])
    cosine = (gear_set.offset_mm * normals[..., 2] - moment[..., 2] / gear_set.ratio) / sideways
    worst = float(np.abs(cosine).max())
    if worst >= 1.0:
        raise RangeError(
            "cosine of the instant of contact",
            worst,
            tr("less than 1: no pinion meets all of this flank"),
        )
    # One of both solutions is 0 at the mean point; the other never touches it while |cosine| stays below 1.
    side = np.sign(np.cross(*flank.at_mean_point())[1])
    roll = side * np.arccos(cosine) - np.arctan2(moment[..., 1], moment[..., 0])
    roll = (roll + np.pi) % (2.0 * np.pi) - np.pi
    normals = about_axis(normals, roll)
    lever = np.abs(moment[..., 2])
    rates = np.stack([normals[..., 0], -normals[..., 2], normals[..., 1]]) / lever
    return Mesh(roll, about_axis(points, roll), normals, lever, rates)
