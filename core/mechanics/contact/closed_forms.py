"""Closed forms beside the model: what a move does at the mean point, and how it moves the print.

For a generated set without offset only, and for a print that runs off no edge. They say why the print moves as it does;
what it shows is computed by the model.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.errors import InputError
from core.language import tr
from core.mechanics.checks import above
from core.mechanics.contact.ease_off import Crown, Misalignment
from core.mechanics.contact.geometry import Cut, Flank, Floats, PitchCones


@dataclass(frozen=True, eq=False)
class MeanPoint:
    """What moves of pinion, gear and offset do at the mean point; arrays (3,) in that order.

    `rates` is the angle each mm opens the mesh by [rad/mm], `per_length` and `per_height` are its slopes along the
    pitch cone and square to it [rad/mm²].
    """

    rates: Floats
    per_length: Floats
    per_height: Floats


def mean_point(cones: PitchCones, flank: Flank) -> MeanPoint:
    """Return what moves do at the mean point of a generated set without offset.

    The contact normal leaves the pitch line at R under the spiral angle b, s = +1 drive, −1 coast:

    F_P = (s tan b sin δ2 + tan α cos δ2/cos b)/(R sin δ2), F_G = (tan α sin δ2/cos b − s tan b cos δ2)/(R sin δ2),
    F_E = −s/(R sin δ2).

    Along the tooth's trace db/dR = (1/r_c − sin b/R)/cos b; per height above the pitch cone the normal leaves at
    dR/dh = −s sin b cot α under db/dh = s (−cos b/(R sin α cos α) + (db/dR) sin b tan α).

    Parameters
    ----------
    cones : PitchCones
        The pitch cones of a generated set without offset.
    flank : Flank
        Which flank.

    Returns
    -------
    MeanPoint
        Rates and their slopes.

    Raises
    ------
    InputError
        For a set with offset or a formed gear.

    Notes
    -----
    Derived from the equation of meshing on the pitch cone; circular-arc trace.
    """
    gear_set = cones.gear_set
    if gear_set.cut is not Cut.GENERATED or gear_set.offset_mm != 0.0:
        raise InputError(tr("The closed forms hold for a generated set without offset."), tr("Use the model instead."))
    side, cone = flank.sign, cones.mean_cone_distance_mm
    spiral, pressure = math.radians(gear_set.spiral_angle_deg), math.radians(gear_set.pressure_angle_deg)
    sine, cosine = (f(math.radians(cones.gear_pitch_angle_deg)) for f in (math.sin, math.cos))
    sin_b, cos_b, tan_b, tan_a = math.sin(spiral), math.cos(spiral), math.tan(spiral), math.tan(pressure)
    lever = cone * sine
    # A left-hand set mirrors the offset's axis.
    mirror = np.array([1.0, 1.0, gear_set.hand.sign])
    rates = np.array(
        [side * tan_b * sine + tan_a * cosine / cos_b, tan_a * sine / cos_b - side * tan_b * cosine, -side]
    )
    by_spiral = np.array([side * sine + tan_a * cosine * sin_b, tan_a * sine * sin_b - side * cosine, 0.0]) / cos_b**2
    spiral_per_length = (1.0 / cones.cutter_radius_mm - sin_b / cone) / cos_b
    spiral_per_height = side * (
        -cos_b / (cone * math.sin(pressure) * math.cos(pressure)) + spiral_per_length * sin_b * tan_a
    )
    length_per_height = -side * sin_b / tan_a
    return MeanPoint(
        mirror * rates / lever,
        mirror * (by_spiral * spiral_per_length - rates / cone) / lever,
        mirror * (by_spiral * spiral_per_height - rates / cone * length_per_height) / lever,
    )


def print_motion(
    cones: PitchCones, flank: Flank, misalignment: Misalignment, crown: Crown | None = None
) -> tuple[float, float]:
    """Return how far a move takes a print that runs off no edge.

    du = s_u − K g_u D/(2 C_L), dv = s_v − K g_v D/(2 C_p) with g_u = (b/2) dF/dR, g_v = (h_w/2) dF/dh and
    K = r_m cos α cos β; (s_u, s_v) is the way of the crown's crest with the pinion.

    Parameters
    ----------
    cones : PitchCones
        The pitch cones of a generated set without offset.
    flank : Flank
        Which flank.
    misalignment : Misalignment
        Where the gears move to [mm].
    crown : Crown or None
        Relief of the pinion's flank [mm], both parts above 0; None: the usual one.

    Returns
    -------
    tuple of float
        Change of the centre along and in depth, as ratios of face width and working depth (half of du and dv).

    Raises
    ------
    InputError
        For a set with offset, a formed gear or a flank without crown.

    Notes
    -----
    Derived. It goes as 1/crown and does not depend on the film.
    """
    crown = crown or Crown()
    length_mm, profile_mm = (above(n, getattr(crown, n), 0.0, "mm") for n in ("length_mm", "profile_mm"))
    point = mean_point(cones, flank)
    gear_set = cones.gear_set
    moves = np.array([misalignment.pinion_mm, misalignment.gear_mm, misalignment.offset_mm])
    shift = moves[[0, 2, 1]] * np.array([1.0, gear_set.hand.sign, -1.0])
    angles = math.radians(gear_set.pressure_angle_deg), math.radians(gear_set.spiral_angle_deg)
    lever = cones.mean_radius_mm * math.cos(angles[0]) * math.cos(angles[1])
    half_face, half_depth = 0.5 * gear_set.face_width_mm, 0.5 * cones.working_depth_mm
    along = cones.along @ shift / half_face - lever * half_face * (point.per_length @ moves) / (2.0 * length_mm)
    depth = cones.outward @ shift / half_depth - lever * half_depth * (point.per_height @ moves) / (2.0 * profile_mm)
    return 0.5 * float(along), 0.5 * float(depth)
