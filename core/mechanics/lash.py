"""Backlash: what a move does to it, and what a gauge shows of it.

Derived geometry (checked against TM 9-2320-289-34, Table 6-1), no offset; see `bevel` for the pitch cones. Per mm of
pinion move a set reads mostly 15–75 % more than these formulas say, with or without offset, for its teeth touch below
the pitch cone of the pinion (`contact.backlash`): there the first real move teaches the rate.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.language import mark
from core.mechanics.bevel import BevelGeometry, spiral_angle_at_deg
from core.mechanics.checks import above, at_least, between, finite, within

ASSUMED_CUTTER_RATIO = 0.92
"""Cutter radius over mean cone distance where the cutter is not known: an assumption, about 5 % on the heel's rate."""

TOOTH_NORMAL_AT_HEEL = "tooth_normal_at_heel"
TANGENTIAL_AT_RADIUS = "tangential_at_radius"
ANGLE_AT_SHAFT = "angle_at_shaft"

WAYS_OF_MEASURING: dict[str, str] = {
    TOOTH_NORMAL_AT_HEEL: mark("Stem square to the tooth at the heel: the reading is the normal backlash there."),
    TANGENTIAL_AT_RADIUS: mark(
        "Stem along the tangent at a radius: the reading is the circumferential backlash there."
    ),
    ANGLE_AT_SHAFT: mark("Angle turned at a flange or at the pinion: radius times angle is the backlash."),
}
"""The three ways of measuring backlash; a value without its way of measuring says little."""


@dataclass(frozen=True)
class LashRates:
    """Backlash gained per mm of ring gear (or pinion) withdrawn, by place and way of measuring [mm per mm]."""

    normal_mean_ratio: float
    circumferential_mean_ratio: float
    circumferential_heel_ratio: float
    normal_heel_ratio: float


def normal_change_mm(move_mm: float, pitch_angle_deg: float, pressure_angle_deg: float) -> float:
    """Return the change of normal backlash at the mean point when a member moves along its own axis.

    Δj_n = 2 ΔA sin δ sin α_n; the spiral angle cancels.

    Parameters
    ----------
    move_mm : float
        Move ΔA [mm]; positive withdraws the member and adds backlash.
    pitch_angle_deg : float
        Pitch angle δ [°] of the **moved** member (the ring gear's for the ring gear, the pinion's for the pinion),
        0 to 90.
    pressure_angle_deg : float
        Normal pressure angle α_n [°], above 0 and below 45.

    Returns
    -------
    float
        Change of normal backlash [mm].

    Raises
    ------
    RangeError
        For angles outside what is stated above.

    Notes
    -----
    Derived; ISO 23509 sample pair 14/39 with α_n 20° → 0.643815 per mm.

    Examples
    --------
    >>> round(normal_change_mm(1.0, 70.2532, 20.0), 6)
    0.643815
    """
    return finite("move_mm", move_mm) * _normal_rate(pitch_angle_deg, pressure_angle_deg)


def circumferential_change_mm(
    move_mm: float, pitch_angle_deg: float, pressure_angle_deg: float, spiral_angle_deg: float
) -> float:
    """Return the change of circumferential backlash at the mean point when a member moves along its own axis.

    Δj_t = 2 ΔA sin δ tan α_n/cos β_m. At the outer radius it is R_e/R_m times as much.

    Parameters
    ----------
    move_mm : float
        Move ΔA [mm]; positive withdraws the member and adds backlash.
    pitch_angle_deg, pressure_angle_deg : float
        As for `normal_change_mm` [°].
    spiral_angle_deg : float
        Mean spiral angle β_m [°], 0 to 60.

    Returns
    -------
    float
        Change of circumferential backlash [mm].

    Raises
    ------
    RangeError
        For angles outside what is stated above.

    Notes
    -----
    Derived; ISO 23509 sample pair 14/39 with α_n 20°, β_m 35° → 0.836394 per mm.

    Examples
    --------
    >>> round(circumferential_change_mm(1.0, 70.2532, 20.0, 35.0), 6)
    0.836394
    """
    return tangential_from_normal_mm(
        normal_change_mm(move_mm, pitch_angle_deg, pressure_angle_deg), pressure_angle_deg, spiral_angle_deg
    )


def normal_from_tangential_mm(tangential_mm: float, pressure_angle_deg: float, spiral_angle_deg: float) -> float:
    """Return the normal backlash that goes with a circumferential one at the same radius.

    j_n = j_t cos β cos α_n, with β the spiral angle at that radius.

    Parameters
    ----------
    tangential_mm : float
        Circumferential backlash [mm].
    pressure_angle_deg, spiral_angle_deg : float
        Normal pressure angle and the spiral angle there [°].

    Returns
    -------
    float
        Normal backlash [mm].

    Raises
    ------
    RangeError
        For angles outside what `circumferential_change_mm` accepts.

    Examples
    --------
    >>> round(normal_from_tangential_mm(0.836394, 20.0, 35.0), 6)
    0.643815
    """
    return finite("tangential_mm", tangential_mm) * _normal_share(pressure_angle_deg, spiral_angle_deg)


def tangential_from_normal_mm(normal_mm: float, pressure_angle_deg: float, spiral_angle_deg: float) -> float:
    """Return the circumferential backlash that goes with a normal one: the inverse of `normal_from_tangential_mm`.

    j_t = j_n/(cos β cos α_n).

    Parameters
    ----------
    normal_mm : float
        Normal backlash [mm].
    pressure_angle_deg, spiral_angle_deg : float
        Normal pressure angle and the spiral angle there [°].

    Returns
    -------
    float
        Circumferential backlash [mm].

    Raises
    ------
    RangeError
        For angles outside what `circumferential_change_mm` accepts.

    Examples
    --------
    >>> round(tangential_from_normal_mm(0.643815, 20.0, 35.0), 6)
    0.836394
    """
    return finite("normal_mm", normal_mm) / _normal_share(pressure_angle_deg, spiral_angle_deg)


def lash_rates(
    geometry: BevelGeometry,
    pressure_angle_deg: float,
    cutter_radius_mm: float | None = None,
    *,
    is_pinion: bool = False,
) -> LashRates:
    """Return what one mm of ring gear (or pinion) is worth in backlash, in each way of measuring.

    Mean: `normal_change_mm`, `circumferential_change_mm`. At the heel R_e/R_m times the circumferential rate; a stem
    square to the tooth there reads cos α_n cos β_e of that, β_e from the cutter's circle.

    Parameters
    ----------
    geometry : BevelGeometry
        The pair's pitch cones.
    pressure_angle_deg : float
        Normal pressure angle [°].
    cutter_radius_mm : float or None
        Cutter radius of face-milled teeth [mm]; None assumes `ASSUMED_CUTTER_RATIO` times the mean cone distance.
    is_pinion : bool
        True when the pinion moves instead of the ring gear.

    Returns
    -------
    LashRates
        Backlash per withdrawal [mm per mm].

    Raises
    ------
    RangeError
        For angles or a cutter outside what the formulas are valid for.

    Notes
    -----
    Derived; ISO 23509 sample pair 14/39 (β_m 35°, cutter radius 114.3 mm, α_n 20°) → 0.643815, 0.836394, 0.967092 and
    0.727245 mm per mm.

    Examples
    --------
    >>> from core.mechanics.bevel import bevel_geometry
    >>> rates = lash_rates(bevel_geometry(14, 39, 176.893, 25.4, 35.0), 20.0, 114.3)
    >>> round(rates.circumferential_heel_ratio, 6), round(rates.normal_heel_ratio, 6)
    (0.967092, 0.727245)
    """
    if cutter_radius_mm is None:
        cutter_radius_mm = ASSUMED_CUTTER_RATIO * geometry.mean_cone_distance_mm
    pitch_angle_deg = geometry.pinion_pitch_angle_deg if is_pinion else geometry.gear_pitch_angle_deg
    heel_spiral_deg = spiral_angle_at_deg(
        geometry.outer_cone_distance_mm, geometry.mean_cone_distance_mm, cutter_radius_mm, geometry.spiral_angle_deg
    )
    circumferential = circumferential_change_mm(1.0, pitch_angle_deg, pressure_angle_deg, geometry.spiral_angle_deg)
    at_heel = circumferential * geometry.outer_cone_distance_mm / geometry.mean_cone_distance_mm
    return LashRates(
        normal_change_mm(1.0, pitch_angle_deg, pressure_angle_deg),
        circumferential,
        at_heel,
        normal_from_tangential_mm(at_heel, pressure_angle_deg, heel_spiral_deg),
    )


def move_for_change_mm(change_mm: float, rate_ratio: float) -> float:
    """Return the move that changes backlash by an amount: the way back from any rate of `LashRates`.

    Parameters
    ----------
    change_mm : float
        Change of backlash wanted [mm], in the way of measuring of the rate; positive for more.
    rate_ratio : float
        Backlash per move [mm per mm], above 0; computed, or learned from a move already made.

    Returns
    -------
    float
        Move [mm]; positive withdraws the member.

    Raises
    ------
    RangeError
        For a rate not above 0 or a change that is not a number.

    Examples
    --------
    >>> round(move_for_change_mm(-0.055, 0.709), 3)
    -0.078
    """
    return finite("change_mm", change_mm) / above("rate_ratio", rate_ratio)


def tangential_backlash_mm(
    reading_mm: float, gauge_radius_mm: float, reference_radius_mm: float, stem_angle_deg: float = 0.0
) -> float:
    """Return the circumferential backlash at a reference radius from a dial reading at another.

    j = reading/cos ψ x r/r_gauge, with ψ between stem and tangent.

    Parameters
    ----------
    reading_mm : float
        What the dial showed [mm], not negative.
    gauge_radius_mm : float
        Radius at which the stem touches, from the ring gear's axis [mm].
    reference_radius_mm : float
        Radius the value is wanted at [mm].
    stem_angle_deg : float
        Angle ψ of the stem off the tangent [°], within ± 75.

    Returns
    -------
    float
        Circumferential backlash at the reference radius [mm].

    Raises
    ------
    RangeError
        For a negative reading, radii not above 0, or a stem angle beyond ± 75°, where the reading says little.

    Notes
    -----
    Derived. Not for a stem square to the tooth (TM 10-3930-671-24: at the extreme heel, at least three places): that
    reads the normal backlash and takes no further cosine.

    Examples
    --------
    >>> round(tangential_backlash_mm(0.10, 100.0, 80.0), 3)
    0.08
    >>> round(tangential_backlash_mm(0.10, 100.0, 100.0, 60.0), 3)
    0.2
    """
    at_least("reading_mm", reading_mm, 0.0, "mm")
    above("gauge_radius_mm", gauge_radius_mm, 0.0, "mm")
    above("reference_radius_mm", reference_radius_mm, 0.0, "mm")
    stem = math.radians(within("stem_angle_deg", stem_angle_deg, -75.0, 75.0, "°"))
    return reading_mm / math.cos(stem) * reference_radius_mm / gauge_radius_mm


def backlash_from_angle_mm(angle_deg: float, reference_radius_mm: float, ratio: float = 1.0) -> float:
    """Return the circumferential backlash of the ring gear from an angle of play.

    j = r x angle in radians; an angle turned at the pinion with the ring gear held is u times as large as the ring
    gear's own.

    Parameters
    ----------
    angle_deg : float
        Angle of play [°], 0 to 45.
    reference_radius_mm : float
        Radius on the ring gear the value is wanted at [mm].
    ratio : float
        1 for an angle at the ring gear or at a flange that turns with it; the final-drive ratio for one at the pinion.

    Returns
    -------
    float
        Circumferential backlash [mm].

    Raises
    ------
    RangeError
        For an angle outside 0–45°, a radius not above 0 or a ratio below 1.

    Notes
    -----
    Derived. Play of splines and differential gears between flange and ring gear adds to the angle.

    Examples
    --------
    >>> round(backlash_from_angle_mm(0.5, 100.0, 4.0), 3)
    0.218
    """
    within("angle_deg", angle_deg, 0.0, 45.0, "°")
    above("reference_radius_mm", reference_radius_mm, 0.0, "mm")
    return math.radians(angle_deg) / at_least("ratio", ratio, 1.0) * reference_radius_mm


def _normal_rate(pitch_angle_deg: float, pressure_angle_deg: float) -> float:
    """Return the normal backlash per move along the axis [mm per mm]."""
    pitch = math.radians(within("pitch_angle_deg", pitch_angle_deg, 0.0, 90.0, "°"))
    pressure = math.radians(between("pressure_angle_deg", pressure_angle_deg, 0.0, 45.0, "°"))
    return 2.0 * math.sin(pitch) * math.sin(pressure)


def _normal_share(pressure_angle_deg: float, spiral_angle_deg: float) -> float:
    """Return normal over circumferential backlash at one radius [-]."""
    pressure = math.radians(between("pressure_angle_deg", pressure_angle_deg, 0.0, 45.0, "°"))
    spiral = math.radians(within("spiral_angle_deg", spiral_angle_deg, 0.0, 75.0, "°"))
    return math.cos(pressure) * math.cos(spiral)
