"""Side-bearing preload: interference, axial load and turning torque, and what else turns with it.

Two bearings are squeezed between the carrier and a casing that gives way. The interference is how much the parts are
too long for each other; it is taken up by both bearings and by the casing under one and the same load.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.mechanics.checks import above, at_least, between, within

ROLLER_EXPONENT = 0.9
ALUMINIUM_EXPANSION_PER_K = 23.0e-6
STEEL_EXPANSION_PER_K = 12.0e-6
"""Thermal expansion of a casing of aluminium and a carrier of steel [1/K] (textbook values, from memory)."""

HIGHEST_LOAD_N = 1.0e6


@dataclass(frozen=True)
class TaperedRollerBearing:
    """What the axial stiffness of a tapered roller bearing follows from."""

    rollers: int
    contact_angle_deg: float
    roller_length_mm: float


@dataclass(frozen=True)
class AngularContactBearing:
    """What the axial stiffness of an angular-contact ball bearing follows from."""

    balls: int
    contact_angle_deg: float
    ball_diameter_mm: float


Bearing = TaperedRollerBearing | AngularContactBearing


def approach_mm(bearing: Bearing, axial_load_n: float) -> float:
    """Return how far cup and cone approach each other under an axial load.

    Rollers: δ = 0.000077/sin α · Q^0.9/l^0.8. Balls: δ = 0.00044/sin α · (Q²/D_w)^(1/3). Q = F/(Z sin α) is the load on
    one rolling element [N], lengths in mm.

    Parameters
    ----------
    bearing : TaperedRollerBearing or AngularContactBearing
        Number of rolling elements 3 or more, contact angle between 0 and 90°, roller length or ball diameter above 0.
    axial_load_n : float
        Axial load F [N], not negative.

    Returns
    -------
    float
        Approach [mm].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Source: rollers, a bearing maker's handbook cited in Int. J. Comp. Meth. and Exp. Meas. 5(5), 733–740, eq. 4:
    Z 17, α 15°, l 12 mm, 1 kN → 0.005383 mm, 5 kN → 0.022915 mm. Balls: the same family of formulas, from memory.
    Empirical: valid for steel and for loads that seat all rolling elements.

    Examples
    --------
    >>> cone = TaperedRollerBearing(17, 15.0, 12.0)
    >>> round(approach_mm(cone, 1000.0), 6), round(approach_mm(cone, 5000.0), 6)
    (0.005383, 0.022915)
    """
    sine = math.sin(math.radians(between("contact_angle_deg", bearing.contact_angle_deg, 0.0, 90.0, "°")))
    at_least("axial_load_n", axial_load_n, 0.0, "N")
    if isinstance(bearing, TaperedRollerBearing):
        element_n = axial_load_n / (at_least("rollers", bearing.rollers, 3) * sine)
        length_mm = above("roller_length_mm", bearing.roller_length_mm, 0.0, "mm")
        return 0.000077 / sine * math.pow(element_n, ROLLER_EXPONENT) / math.pow(length_mm, 0.8)
    element_n = axial_load_n / (at_least("balls", bearing.balls, 3) * sine)
    return 0.00044 / sine * math.cbrt(element_n**2 / above("ball_diameter_mm", bearing.ball_diameter_mm, 0.0, "mm"))


def interference_mm(bearings: tuple[Bearing, Bearing], axial_load_n: float, casing_n_per_mm: float) -> float:
    """Return the interference that a preload needs: both bearings' approach and what the casing gives way.

    i = δ_1(F) + δ_2(F) + F/k.

    Parameters
    ----------
    bearings : tuple of two bearings
        Side bearings.
    axial_load_n : float
        Preload F [N], not negative.
    casing_n_per_mm : float
        Stiffness k of the casing between the bearings [N/mm], above 0.

    Returns
    -------
    float
        Interference [mm].

    Raises
    ------
    RangeError
        As `approach_mm`, and for a stiffness not above 0.

    Examples
    --------
    >>> cone = TaperedRollerBearing(17, 15.0, 12.0)
    >>> round(interference_mm((cone, cone), 3000.0, 100000.0), 4)
    0.0589
    """
    squeeze_mm = sum(approach_mm(bearing, axial_load_n) for bearing in bearings)
    return squeeze_mm + axial_load_n / above("casing_n_per_mm", casing_n_per_mm, 0.0, "N/mm")


def preload_n(bearings: tuple[Bearing, Bearing], interference: float, casing_n_per_mm: float) -> float:
    """Return the preload an interference gives: the inverse of `interference_mm`, found by halving.

    Parameters
    ----------
    bearings : tuple of two bearings
        Side bearings.
    interference : float
        Interference [mm]; zero or less is clearance and gives no preload.
    casing_n_per_mm : float
        Stiffness of the casing between the bearings [N/mm], above 0.

    Returns
    -------
    float
        Preload [N].

    Raises
    ------
    RangeError
        As `interference_mm`, and for an interference that needs more than 1 MN.

    Examples
    --------
    >>> cone = TaperedRollerBearing(17, 15.0, 12.0)
    >>> round(preload_n((cone, cone), interference_mm((cone, cone), 3000.0, 1.0e5), 1.0e5), 3)
    3000.0
    """
    most_mm = interference_mm(bearings, HIGHEST_LOAD_N, casing_n_per_mm)
    within("interference", interference, -most_mm, most_mm, "mm")
    if interference <= 0.0:
        return 0.0
    # The casing alone bounds the load from above: bearings can only make the stack softer.
    low_n, high_n = 0.0, min(HIGHEST_LOAD_N, interference * casing_n_per_mm)
    while high_n - low_n > 1e-9 * high_n:
        middle_n = 0.5 * (low_n + high_n)
        if interference_mm(bearings, middle_n, casing_n_per_mm) < interference:
            low_n = middle_n
        else:
            high_n = middle_n
    return high_n


def turning_torque_nm(axial_load_n: float, friction_arm_mm: float, own_drag_nm: float = 0.0) -> float:
    """Return the running torque of a carrier on two preloaded bearings, turned slowly by hand.

    T = T_own + 2 a F: in slow turning the drag is boundary friction and grows **with** the load.

    Parameters
    ----------
    axial_load_n : float
        Preload F [N], not negative.
    friction_arm_mm : float
        Friction arm a of one bearing: coefficient of friction times its radius [mm], above 0; best taken from this
        shop's own readings (`friction_arm_mm`).
    own_drag_nm : float
        What turns without preload: churning, rubbing [N·m], not negative.

    Returns
    -------
    float
        Turning torque [N·m].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Common practice: 0.5–1.0 N·m at the carrier, without mesh and without seals.

    Examples
    --------
    >>> round(turning_torque_nm(3000.0, 0.1, 0.05), 3)
    0.65
    """
    at_least("axial_load_n", axial_load_n, 0.0, "N")
    above("friction_arm_mm", friction_arm_mm, 0.0, "mm")
    return at_least("own_drag_nm", own_drag_nm, 0.0, "N·m") + 2.0 * friction_arm_mm * axial_load_n / 1000.0


def friction_arm_mm(torque_nm: float, axial_load_n: float, own_drag_nm: float = 0.0) -> float:
    """Return the friction arm of one bearing from a turning torque read at a known preload.

    a = (T − T_own)/(2 F).

    Parameters
    ----------
    torque_nm : float
        Turning torque [N·m], more than the own drag.
    axial_load_n : float
        Preload [N], above 0.
    own_drag_nm : float
        What turns without preload [N·m], not negative.

    Returns
    -------
    float
        Friction arm [mm].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Examples
    --------
    >>> round(friction_arm_mm(0.65, 3000.0, 0.05), 6)
    0.1
    """
    at_least("own_drag_nm", own_drag_nm, 0.0, "N·m")
    above("torque_nm", torque_nm, own_drag_nm, "N·m")
    return (torque_nm - own_drag_nm) * 1000.0 / (2.0 * above("axial_load_n", axial_load_n, 0.0, "N"))


def pull_torque_nm(force_n: float, diameter_mm: float) -> float:
    """Return the turning torque from a spring scale pulling a cord wrapped around a part.

    T = F d/2: the **radius** of the wrapped surface is the lever, not its diameter.

    Parameters
    ----------
    force_n : float
        Pull while it turns, not while it starts [N], not negative.
    diameter_mm : float
        Diameter of the wrapped surface [mm], above 0.

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
    Source: TM 5-3895-359-14&P: 6 in cage, 5 lb → 15 lbf·in = 1.6948 N·m. Running, not breakaway: TM 10-3930-660-34.

    Examples
    --------
    >>> round(pull_torque_nm(5 * 4.4482216152605, 6 * 25.4), 4)
    1.6948
    """
    at_least("force_n", force_n, 0.0, "N")
    return force_n * above("diameter_mm", diameter_mm, 0.0, "mm") / 2000.0


def whole_unit_torque_nm(pinion_nm: float, carrier_nm: float, ratio: float, seals_nm: float = 0.0) -> float:
    """Return the turning torque of the whole unit at the pinion.

    T = T_pinion + T_carrier/u + T_seals, without the mesh.

    Parameters
    ----------
    pinion_nm : float
        Turning torque of the pinion alone [N·m], not negative.
    carrier_nm : float
        Turning torque of the carrier alone, at the carrier [N·m], not negative.
    ratio : float
        Final-drive ratio u [-], 1 or more.
    seals_nm : float
        Drag of seals not yet in those readings, at the pinion [N·m], not negative.

    Returns
    -------
    float
        Turning torque at the pinion [N·m].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Derived: the carrier turns u times slower, so its drag is felt u times smaller.

    Examples
    --------
    >>> whole_unit_torque_nm(1.0, 0.8, 4.0, 0.1)
    1.3
    """
    at_least("pinion_nm", pinion_nm, 0.0, "N·m")
    at_least("carrier_nm", carrier_nm, 0.0, "N·m")
    at_least("seals_nm", seals_nm, 0.0, "N·m")
    return pinion_nm + carrier_nm / at_least("ratio", ratio, 1.0) + seals_nm


def carrier_torque_nm(whole_nm: float, pinion_nm: float, ratio: float, seals_nm: float = 0.0) -> float:
    """Return the carrier's own turning torque from readings at the pinion: the inverse of `whole_unit_torque_nm`.

    T_carrier = u (T − T_pinion − T_seals).

    Parameters
    ----------
    whole_nm : float
        Turning torque of the whole unit at the pinion [N·m], at least pinion and seals together.
    pinion_nm, ratio, seals_nm
        As for `whole_unit_torque_nm`.

    Returns
    -------
    float
        Turning torque at the carrier [N·m].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Examples
    --------
    >>> round(carrier_torque_nm(1.3, 1.0, 4.0, 0.1), 6)
    0.8
    """
    at_least("pinion_nm", pinion_nm, 0.0, "N·m")
    at_least("seals_nm", seals_nm, 0.0, "N·m")
    at_least("whole_nm", whole_nm, pinion_nm + seals_nm, "N·m")
    return (whole_nm - pinion_nm - seals_nm) * at_least("ratio", ratio, 1.0)


def warm_interference_mm(
    interference: float,
    span_mm: float,
    temp_c: float,
    ambient_c: float = 20.0,
    casing_expansion_per_k: float = ALUMINIUM_EXPANSION_PER_K,
    carrier_expansion_per_k: float = STEEL_EXPANSION_PER_K,
) -> float:
    """Return what is left of an interference when casing and carrier are warm.

    i(t) = i − (α_casing − α_carrier) l (t − t0): an aluminium casing outgrows a steel carrier and preload falls.

    Parameters
    ----------
    interference : float
        Interference as set [mm].
    span_mm : float
        Distance between the cup shoulders [mm], above 0.
    temp_c, ambient_c : float
        Temperature of the unit, and temperature at which it was set [°C], −60 to 200.
    casing_expansion_per_k, carrier_expansion_per_k : float
        Thermal expansion [1/K], not negative.

    Returns
    -------
    float
        Interference at that temperature [mm]; negative is clearance.

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Derived, with both parts at one temperature; the cup's fit in the bore, which also loosens, is another matter.

    Examples
    --------
    >>> round(warm_interference_mm(0.06, 180.0, 80.0), 4)
    -0.0588
    """
    above("span_mm", span_mm, 0.0, "mm")
    within("temp_c", temp_c, -60.0, 200.0, "°C")
    within("ambient_c", ambient_c, -60.0, 200.0, "°C")
    at_least("casing_expansion_per_k", casing_expansion_per_k, 0.0, "1/K")
    at_least("carrier_expansion_per_k", carrier_expansion_per_k, 0.0, "1/K")
    return interference - (casing_expansion_per_k - carrier_expansion_per_k) * span_mm * (temp_c - ambient_c)
