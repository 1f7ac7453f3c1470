"""A retaining-ring groove in an output flange stub, under torsion.

Concentration factors refer to the shear stress on the **net** section. Three respected methods are set side by side:
they differ by up to 10 %, and that is what is known of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.errors import RangeError
from core.language import tr
from core.mechanics.checks import above, at_least, between

SQUARE_CUT_CONCENTRATION = 3.0
"""First estimate for a square-cut retaining-ring groove in torsion (Shigley, from memory)."""

LEAST_DEPTH_TO_RADIUS = 0.25
MOST_DEPTH_TO_RADIUS = 50.0

# Each row: constant, factor of √(t/r), factor of t/r; four rows make the cubic in 2t/D.
_Coefficients = tuple[tuple[float, float, float], ...]
_PILKEY_SHALLOW: _Coefficients = (
    (0.966, 1.056, -0.022),
    (-0.192, -4.037, 0.674),
    (0.808, 5.321, -1.231),
    (-0.567, -2.364, 0.566),
)
_PILKEY_DEEP: _Coefficients = (
    (1.089, 0.924, 0.018),
    (-1.504, -2.141, -0.047),
    (2.486, 2.289, 0.091),
    (-1.056, -1.104, -0.059),
)
_ROARK_SHALLOW: _Coefficients = (
    (1.245, 0.264, 0.491),
    (-3.030, 3.269, -3.633),
    (7.199, -11.286, 8.318),
    (-4.414, 7.753, -5.176),
)
_ROARK_DEEP: _Coefficients = (
    (1.651, 0.614, 0.040),
    (-4.794, -0.314, -0.217),
    (8.457, -0.962, 0.389),
    (-4.314, 0.662, -0.212),
)


@dataclass(frozen=True)
class Concentration:
    """Stress concentration in torsion by three methods [-], on the net section."""

    pilkey: float
    roark: float
    neuber: float

    @property
    def highest(self) -> float:
        """The least favourable of the three."""
        return max(self.pilkey, self.roark, self.neuber)


def _check_groove(outer_diameter_mm: float, groove_diameter_mm: float, root_radius_mm: float) -> float:
    """Return depth over root radius, or refuse sizes the charts do not cover."""
    above("outer_diameter_mm", outer_diameter_mm, 0.0, "mm")
    between("groove_diameter_mm", groove_diameter_mm, 0.0, outer_diameter_mm, "mm")
    depth_mm = 0.5 * (outer_diameter_mm - groove_diameter_mm)
    least_mm, most_mm = depth_mm / MOST_DEPTH_TO_RADIUS, depth_mm / LEAST_DEPTH_TO_RADIUS
    # A radius given exactly at the end of the range must not fall out of it by rounding.
    if not least_mm * (1.0 - 1e-9) <= root_radius_mm <= most_mm * (1.0 + 1e-9):
        raise RangeError(
            "root_radius_mm", root_radius_mm, tr("from {low:.3g} to {high:.3g} mm", low=least_mm, high=most_mm)
        )
    return depth_mm / root_radius_mm


def _cubic(coefficients: _Coefficients, depth_to_radius: float, depth_share: float) -> float:
    root = math.sqrt(depth_to_radius)
    return sum(
        (constant + by_root * root + linear * depth_to_radius) * depth_share**power
        for power, (constant, by_root, linear) in enumerate(coefficients)
    )


def groove_concentration(outer_diameter_mm: float, groove_diameter_mm: float, root_radius_mm: float) -> Concentration:
    """Return the stress concentration of a groove with a root radius, in torsion, by three methods.

    Peterson/Pilkey and Roark: cubic in 2t/D, t = (D − d)/2, with coefficients in √(t/r) and t/r. Neuber: shallow
    1 + √(t/r) and deep 3 (1 + √(d/2r + 1))²/(4 (1 + 2 √(d/2r + 1))) combined by his ellipse.

    Parameters
    ----------
    outer_diameter_mm : float
        Diameter D beside the groove [mm].
    groove_diameter_mm : float
        Diameter d at the root of the groove [mm], smaller than D.
    root_radius_mm : float
        Radius r at the root [mm], from a fiftieth of the depth to four times the depth.

    Returns
    -------
    Concentration
        Factors on the net section [-].

    Raises
    ------
    RangeError
        For a groove that is none, or a radius outside what the charts cover.

    Notes
    -----
    Source: Pilkey, Peterson's Stress Concentration Factors, U-shaped groove in torsion; Roark's Formulas, table 17.1,
    U-notch in a circular shaft in torsion; Neuber's formula. D/d/r 30/28/1 → 1.784, 1.792, 1.720.

    Examples
    --------
    >>> factors = groove_concentration(30.0, 28.0, 1.0)
    >>> round(factors.pilkey, 3), round(factors.roark, 3), round(factors.neuber, 3)
    (1.784, 1.792, 1.72)
    """
    ratio = _check_groove(outer_diameter_mm, groove_diameter_mm, root_radius_mm)
    share = (outer_diameter_mm - groove_diameter_mm) / outer_diameter_mm
    is_shallow = ratio <= 2.0
    above_one_shallow = math.sqrt(ratio)
    bend = math.sqrt(0.5 * groove_diameter_mm / root_radius_mm + 1.0)
    above_one_deep = 3.0 * (1.0 + bend) ** 2 / (4.0 * (1.0 + 2.0 * bend)) - 1.0
    return Concentration(
        _cubic(_PILKEY_SHALLOW if is_shallow else _PILKEY_DEEP, ratio, share),
        _cubic(_ROARK_SHALLOW if is_shallow else _ROARK_DEEP, ratio, share),
        1.0 + above_one_shallow * above_one_deep / math.hypot(above_one_shallow, above_one_deep),
    )


def shear_stress_mpa(torque_nm: float, diameter_mm: float) -> float:
    """Return the shear stress of a solid round section under torque, without any concentration.

    τ = 16 T/(π d³), on the **net** diameter where there is a groove.

    Parameters
    ----------
    torque_nm : float
        Torque [N·m], not negative.
    diameter_mm : float
        Diameter of the section [mm], above 0.

    Returns
    -------
    float
        Shear stress at the surface [MPa].

    Raises
    ------
    RangeError
        For a negative torque or a diameter not above 0.

    Examples
    --------
    >>> round(shear_stress_mpa(1000.0, 28.0), 1)
    232.0
    """
    at_least("torque_nm", torque_nm, 0.0, "N·m")
    return 16.0 * torque_nm * 1000.0 / (math.pi * above("diameter_mm", diameter_mm, 0.0, "mm") ** 3)


def yield_torque_nm(diameter_mm: float, yield_mpa: float, concentration: float = 1.0) -> float:
    """Return the torque at which a section begins to yield.

    T = τ_y π d³/(16 K), τ_y = R_p0.2/√3 (von Mises).

    Parameters
    ----------
    diameter_mm : float
        Net diameter [mm], above 0.
    yield_mpa : float
        Yield strength R_p0.2 of the flange's material [MPa], above 0.
    concentration : float
        Stress concentration K [-], 1 or more; 1 asks for the whole section, a groove's factor for its root.

    Returns
    -------
    float
        Torque [N·m].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Textbook strength of materials. First yield at the root is not yet failure under one load, but it is where cracks
    start under many.

    Examples
    --------
    >>> round(yield_torque_nm(28.0, 900.0))
    2240
    """
    above("yield_mpa", yield_mpa, 0.0, "MPa")
    at_least("concentration", concentration, 1.0)
    shear_yield_mpa = yield_mpa / math.sqrt(3.0)
    return (
        shear_yield_mpa * math.pi * above("diameter_mm", diameter_mm, 0.0, "mm") ** 3 / (16.0 * concentration) / 1000.0
    )


def smallest_root_radius_mm(
    outer_diameter_mm: float, groove_diameter_mm: float, yield_mpa: float, peak_nm: float, wanted_safety: float = 1.0
) -> float:
    """Return the smallest root radius at which the groove carries the peak torque with a safety.

    The radius at which K(r) = yield torque of the net section/(safety x peak), by Peterson/Pilkey.

    Parameters
    ----------
    outer_diameter_mm, groove_diameter_mm : float
        Diameters beside and at the root of the groove [mm].
    yield_mpa : float
        Yield strength of the material [MPa].
    peak_nm : float
        The axle's peak torque [N·m], above 0.
    wanted_safety : float
        Safety against first yield at the root [-], above 0.

    Returns
    -------
    float
        Radius [mm]; never smaller than a fiftieth of the groove's depth, where the charts end.

    Raises
    ------
    RangeError
        For a groove that is none, or a peak torque no radius can carry.

    Notes
    -----
    Common practice: a groove turned with a radius; a square-cut groove snaps under load.

    Examples
    --------
    >>> radius = smallest_root_radius_mm(30.0, 28.0, 900.0, 1200.0)
    >>> round(radius, 2), round(groove_concentration(30.0, 28.0, radius).pilkey, 3)
    (0.83, 1.866)
    """
    above("peak_nm", peak_nm, 0.0, "N·m")
    above("wanted_safety", wanted_safety)
    between("groove_diameter_mm", groove_diameter_mm, 0.0, outer_diameter_mm, "mm")
    allowed = yield_torque_nm(groove_diameter_mm, yield_mpa) / (wanted_safety * peak_nm)
    depth_mm = 0.5 * (outer_diameter_mm - groove_diameter_mm)
    low_mm, high_mm = depth_mm / MOST_DEPTH_TO_RADIUS, depth_mm / LEAST_DEPTH_TO_RADIUS

    def conforms(radius_mm: float) -> bool:
        return groove_concentration(outer_diameter_mm, groove_diameter_mm, radius_mm).pilkey <= allowed

    if not conforms(high_mm):
        gentlest = groove_concentration(outer_diameter_mm, groove_diameter_mm, high_mm).pilkey
        most_nm = yield_torque_nm(groove_diameter_mm, yield_mpa, max(gentlest, 1.0)) / wanted_safety
        raise RangeError(
            "peak_nm", peak_nm, tr("{most:.4g} N·m or less for this groove, whatever its radius", most=most_nm)
        )
    if conforms(low_mm):
        return low_mm
    while high_mm - low_mm > 1e-6 * depth_mm:
        middle_mm = 0.5 * (low_mm + high_mm)
        if conforms(middle_mm):
            high_mm = middle_mm
        else:
            low_mm = middle_mm
    return high_mm
