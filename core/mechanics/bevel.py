"""Bevel geometry of a ring gear and pinion: what follows from tooth counts and the sizes on the drawing.

Zero offset; what can be said of a hypoid is in `hypoid`. Formulas: ISO 23509:2016, Bevel and hypoid gear geometry;
the sample's input and results were read in a reproduction of the standard, the rest is from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.mechanics.checks import above, at_least, between, within

SHAFT_ANGLE_DEG = 90.0
"""Shaft angle of a final drive."""

DEPTH_FACTOR = 2.0
CLEARANCE_FACTOR = 0.125
"""Standard tooth depth: working depth and bottom clearance factors (ISO 23509, data type II; from memory)."""


@dataclass(frozen=True)
class PitchAngles:
    """Pitch angles of a pair [°]."""

    pinion_deg: float
    gear_deg: float


@dataclass(frozen=True)
class BevelGeometry:
    """The pitch cones of a pair without offset; lengths [mm], angles [°]."""

    pinion_teeth: int
    ring_gear_teeth: int
    shaft_angle_deg: float
    face_width_mm: float
    spiral_angle_deg: float
    pinion_pitch_angle_deg: float
    gear_pitch_angle_deg: float
    outer_cone_distance_mm: float
    gear_outer_diameter_mm: float

    @property
    def ratio(self) -> float:
        """Ring-gear teeth over pinion teeth."""
        return self.ring_gear_teeth / self.pinion_teeth

    @property
    def mean_cone_distance_mm(self) -> float:
        """Cone distance at the middle of the face width [mm]: R_m = R_e − b/2."""
        return self.outer_cone_distance_mm - 0.5 * self.face_width_mm

    @property
    def inner_cone_distance_mm(self) -> float:
        """Cone distance at the toe [mm]: R_i = R_e − b."""
        return self.outer_cone_distance_mm - self.face_width_mm

    @property
    def gear_mean_diameter_mm(self) -> float:
        """Ring-gear mean pitch diameter [mm]: d_m2 = 2 R_m sin δ2."""
        return 2.0 * self.mean_cone_distance_mm * math.sin(math.radians(self.gear_pitch_angle_deg))

    @property
    def pinion_mean_diameter_mm(self) -> float:
        """Pinion mean pitch diameter [mm]: d_m1 = 2 R_m sin δ1."""
        return 2.0 * self.mean_cone_distance_mm * math.sin(math.radians(self.pinion_pitch_angle_deg))

    @property
    def pinion_outer_diameter_mm(self) -> float:
        """Pinion outer pitch diameter [mm]: d_e1 = d_e2/u."""
        return self.gear_outer_diameter_mm / self.ratio

    @property
    def outer_transverse_module_mm(self) -> float:
        """Outer transverse module [mm]: m_et = d_e2/z2."""
        return self.gear_outer_diameter_mm / self.ring_gear_teeth

    @property
    def mean_transverse_module_mm(self) -> float:
        """Mean transverse module [mm]: m_mt = d_m2/z2."""
        return self.gear_mean_diameter_mm / self.ring_gear_teeth

    @property
    def mean_normal_module_mm(self) -> float:
        """Mean normal module [mm]: m_mn = m_mt cos β_m."""
        return self.mean_transverse_module_mm * math.cos(math.radians(self.spiral_angle_deg))


@dataclass(frozen=True)
class ToothDepth:
    """Depth of one member's teeth; lengths at the mean point [mm], angles of its blank [°]."""

    addendum_mm: float
    dedendum_mm: float
    addendum_angle_deg: float
    dedendum_angle_deg: float
    face_angle_deg: float
    root_angle_deg: float


def gear_ratio(pinion_teeth: int, ring_gear_teeth: int) -> float:
    """Return the final-drive ratio.

    u = z2/z1.

    Parameters
    ----------
    pinion_teeth, ring_gear_teeth : int
        Teeth as counted, 3 or more each.

    Returns
    -------
    float
        Ratio [-].

    Raises
    ------
    RangeError
        For fewer than 3 teeth.

    Examples
    --------
    >>> round(gear_ratio(11, 43), 3)
    3.909
    """
    at_least("pinion_teeth", pinion_teeth, 3)
    at_least("ring_gear_teeth", ring_gear_teeth, 3)
    return ring_gear_teeth / pinion_teeth


def is_hunting(pinion_teeth: int, ring_gear_teeth: int) -> bool:
    """Tell whether every pinion tooth comes to meet every ring-gear tooth.

    The pair hunts when the tooth counts have no common factor. A pair that does not hunt must keep its timing marks.

    Parameters
    ----------
    pinion_teeth, ring_gear_teeth : int
        Teeth as counted, 3 or more each.

    Returns
    -------
    bool
        True when the greatest common divisor is 1.

    Raises
    ------
    RangeError
        For fewer than 3 teeth.

    Examples
    --------
    >>> is_hunting(11, 43), is_hunting(10, 40)
    (True, False)
    """
    at_least("pinion_teeth", pinion_teeth, 3)
    at_least("ring_gear_teeth", ring_gear_teeth, 3)
    return math.gcd(ring_gear_teeth, pinion_teeth) == 1


def pitch_angles(ratio: float, shaft_angle_deg: float = SHAFT_ANGLE_DEG) -> PitchAngles:
    """Return the pitch angles of a pair without offset, at any shaft angle.

    tan δ1 = sin Σ/(u + cos Σ), δ2 = Σ − δ1; it follows that sin δ2/sin δ1 = u.

    Parameters
    ----------
    ratio : float
        Ratio u [-], 1 or more.
    shaft_angle_deg : float
        Angle Σ between the axes [°], between 0 and 180. A gear pitch angle above 90° is an internal bevel gear.

    Returns
    -------
    PitchAngles
        Pinion and gear pitch angle [°].

    Raises
    ------
    RangeError
        For a ratio below 1 or a shaft angle outside 0–180°.

    Notes
    -----
    Source: ISO 23509:2016, sample spiral bevel pair 14/39 at 90°: 19.7468° and 70.2532°.

    Examples
    --------
    >>> angles = pitch_angles(39 / 14)
    >>> round(angles.pinion_deg, 4), round(angles.gear_deg, 4)
    (19.7468, 70.2532)
    """
    at_least("ratio", ratio, 1.0)
    shaft = math.radians(between("shaft_angle_deg", shaft_angle_deg, 0.0, 180.0, "°"))
    # atan2 keeps the branch where u + cos Σ is small; a plain quotient would not.
    pinion_deg = math.degrees(math.atan2(math.sin(shaft), ratio + math.cos(shaft)))
    return PitchAngles(pinion_deg, shaft_angle_deg - pinion_deg)


def bevel_geometry(
    pinion_teeth: int,
    ring_gear_teeth: int,
    gear_outer_diameter_mm: float,
    face_width_mm: float,
    spiral_angle_deg: float,
    shaft_angle_deg: float = SHAFT_ANGLE_DEG,
) -> BevelGeometry:
    """Return the pitch cones of a pair without offset.

    R_e = d_e2/(2 sin δ2), R_m = R_e − b/2, d_m = 2 R_m sin δ, m_mn = d_m2 cos β_m/z2.

    Parameters
    ----------
    pinion_teeth, ring_gear_teeth : int
        Teeth as counted; the ring gear has at least as many as the pinion.
    gear_outer_diameter_mm : float
        Outer pitch diameter d_e2 of the ring gear [mm].
    face_width_mm : float
        Face width b along the cone [mm], shorter than the outer cone distance.
    spiral_angle_deg : float
        Mean spiral angle β_m [°], 0 to 60.
    shaft_angle_deg : float
        Angle Σ between the axes [°].

    Returns
    -------
    BevelGeometry
        Angles, cone distances, diameters and modules.

    Raises
    ------
    RangeError
        For tooth counts, sizes or angles outside what is stated above.

    Notes
    -----
    Valid for zero offset: with a hypoid offset d2/d1 ≠ u and δ1 + δ2 ≠ Σ.
    Source: ISO 23509:2016, sample spiral bevel pair, printed to the digits shown.

    Examples
    --------
    >>> pair = bevel_geometry(14, 39, 176.893, 25.40, 35.0)
    >>> round(pair.mean_cone_distance_mm, 3), round(pair.gear_mean_diameter_mm, 3)
    (81.273, 152.987)
    >>> round(pair.mean_transverse_module_mm, 4), round(pair.mean_normal_module_mm, 4)
    (3.9227, 3.2133)
    """
    ratio = gear_ratio(pinion_teeth, ring_gear_teeth)
    at_least("ring_gear_teeth", ring_gear_teeth, pinion_teeth)
    angles = pitch_angles(ratio, shaft_angle_deg)
    above("gear_outer_diameter_mm", gear_outer_diameter_mm, 0.0, "mm")
    outer_mm = gear_outer_diameter_mm / (2.0 * math.sin(math.radians(angles.gear_deg)))
    between("face_width_mm", face_width_mm, 0.0, outer_mm, "mm")
    within("spiral_angle_deg", spiral_angle_deg, 0.0, 60.0, "°")
    return BevelGeometry(
        pinion_teeth,
        ring_gear_teeth,
        shaft_angle_deg,
        face_width_mm,
        spiral_angle_deg,
        angles.pinion_deg,
        angles.gear_deg,
        outer_mm,
        gear_outer_diameter_mm,
    )


def spiral_angle_at_deg(
    cone_distance_mm: float, mean_cone_distance_mm: float, cutter_radius_mm: float, spiral_angle_deg: float
) -> float:
    """Return the spiral angle of a face-milled tooth at a cone distance.

    sin β(R) = (2 R_m r_c sin β_m − R_m² + R²)/(2 R r_c): the tooth trace is an arc of the cutter's circle.

    Parameters
    ----------
    cone_distance_mm : float
        Where along the tooth [mm].
    mean_cone_distance_mm : float
        Cone distance R_m of the mean point [mm].
    cutter_radius_mm : float
        Cutter radius r_c [mm].
    spiral_angle_deg : float
        Spiral angle β_m at the mean point [°], 0 to 60.

    Returns
    -------
    float
        Spiral angle [°].

    Raises
    ------
    RangeError
        For sizes not above 0, an angle outside 0–60°, or a place the cutter's circle does not reach.

    Notes
    -----
    Source: ISO 23509, spiral angle of face-milled gears; formula from memory.

    Examples
    --------
    >>> round(spiral_angle_at_deg(81.273, 81.273, 114.3, 35.0), 6)
    35.0
    """
    above("cone_distance_mm", cone_distance_mm, 0.0, "mm")
    above("mean_cone_distance_mm", mean_cone_distance_mm, 0.0, "mm")
    above("cutter_radius_mm", cutter_radius_mm, 0.0, "mm")
    mean_sine = math.sin(math.radians(within("spiral_angle_deg", spiral_angle_deg, 0.0, 60.0, "°")))
    sine = (2.0 * mean_cone_distance_mm * cutter_radius_mm * mean_sine - mean_cone_distance_mm**2) / (
        2.0 * cone_distance_mm * cutter_radius_mm
    ) + cone_distance_mm / (2.0 * cutter_radius_mm)
    return math.degrees(math.asin(within("sine of the spiral angle there", sine, -1.0, 1.0)))


def gear_addendum_share(ratio: float) -> float:
    """Return how much of the working depth lies above the ring gear's pitch cone for a standard depth.

    h_am2/h_mw = 0.21 + 0.29/u_a².

    Parameters
    ----------
    ratio : float
        Equivalent ratio u_a [-], above 0: the ratio itself at a shaft angle of 90°.

    Returns
    -------
    float
        Gear addendum over working depth [-].

    Raises
    ------
    RangeError
        For a ratio not above 0.

    Notes
    -----
    Source: ISO 23509:2016, mean addendum factor; from memory.

    Examples
    --------
    >>> round(gear_addendum_share(4.0), 4)
    0.2281
    """
    return 0.21 + 0.29 / above("ratio", ratio, 0.0) ** 2


def tooth_depths(geometry: BevelGeometry) -> tuple[ToothDepth, ToothDepth]:
    """Return addendum, dedendum, face and root angles of pinion and ring gear for a standard depth.

    Working depth h_mw = 2 m_mn, gear addendum h_am2 = (0.21 + 0.29/u_a²) h_mw with u_a² = tan δ2/tan δ1 (u² at 90°),
    clearance c = 0.125 h_mw. With standard depth the root cones meet in the pitch apex: tan θ_f = h_fm/R_m, and each
    face cone runs parallel to the other member's root cone: θ_a1 = θ_f2, θ_a2 = θ_f1.

    Parameters
    ----------
    geometry : BevelGeometry
        The pair's pitch cones; the gear pitch angle must be below 90°.

    Returns
    -------
    tuple of ToothDepth
        Pinion and ring gear; lengths at the mean point [mm], angles [°].

    Raises
    ------
    RangeError
        For an internal ring gear (pitch angle 90° or more).

    Notes
    -----
    Source: ISO 23509:2016, data type II and standard depth; factors from memory. Other depth-wise tapers (duplex,
    tilted root line, uniform depth) give other angles: a drawing comes first.

    Examples
    --------
    >>> pinion, gear = tooth_depths(bevel_geometry(14, 39, 176.893, 25.40, 35.0))
    >>> round(pinion.addendum_mm, 3), round(gear.addendum_mm, 3)
    (4.837, 1.59)
    """
    between("gear_pitch_angle_deg", geometry.gear_pitch_angle_deg, 0.0, 90.0, "°")
    pinion_cone = math.radians(geometry.pinion_pitch_angle_deg)
    gear_cone = math.radians(geometry.gear_pitch_angle_deg)
    working_mm = DEPTH_FACTOR * geometry.mean_normal_module_mm
    gear_addendum_mm = gear_addendum_share(math.sqrt(math.tan(gear_cone) / math.tan(pinion_cone))) * working_mm
    pinion_addendum_mm = working_mm - gear_addendum_mm
    clearance_mm = CLEARANCE_FACTOR * working_mm
    pinion_root_deg = _root_angle_deg(gear_addendum_mm + clearance_mm, geometry)
    gear_root_deg = _root_angle_deg(pinion_addendum_mm + clearance_mm, geometry)
    pinion = ToothDepth(
        pinion_addendum_mm,
        gear_addendum_mm + clearance_mm,
        gear_root_deg,
        pinion_root_deg,
        geometry.pinion_pitch_angle_deg + gear_root_deg,
        geometry.pinion_pitch_angle_deg - pinion_root_deg,
    )
    gear = ToothDepth(
        gear_addendum_mm,
        pinion_addendum_mm + clearance_mm,
        pinion_root_deg,
        gear_root_deg,
        geometry.gear_pitch_angle_deg + pinion_root_deg,
        geometry.gear_pitch_angle_deg - gear_root_deg,
    )
    return pinion, gear


def _root_angle_deg(dedendum_mm: float, geometry: BevelGeometry) -> float:
    return math.degrees(math.atan2(dedendum_mm, geometry.mean_cone_distance_mm))
