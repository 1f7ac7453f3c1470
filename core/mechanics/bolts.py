"""Bolted joints: preload and torque, how far preload scatters, thread engagement, and the ring-gear bolt group.

Formulas: VDI 2230 Part 1:2001 (tables A1, 5.5/01 onward, tightening factors table A8); scatter values from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.language import mark
from core.mechanics.checks import above, at_least, between, within
from core.mechanics.threads import PropertyClass, Thread

YIELD_SHARE = 0.9
"""Share of the yield strength used up in tightening (VDI 2230, ν = 0.9)."""

HIGHEST_FRICTION = 0.4
YIELD_STRETCH_RATIO = 0.002


@dataclass(frozen=True)
class TighteningMethod:
    """A way of tightening and the range of its tightening factor α_A = F_max/F_min."""

    label: str
    low: float
    high: float


METHODS: dict[str, TighteningMethod] = {
    "yield_controlled": TighteningMethod(mark("Yield- or angle-controlled"), 1.2, 1.4),
    "torque_friction_measured": TighteningMethod(mark("Torque wrench, friction measured on the joint"), 1.4, 1.6),
    "torque_friction_estimated": TighteningMethod(mark("Torque wrench, friction estimated"), 1.6, 2.0),
    "impact_adjusted": TighteningMethod(mark("Impact wrench, adjusted on the joint"), 2.5, 4.0),
}
"""Tightening factors (VDI 2230:2001, table A8; from memory). VDI 2230:1986 gave 1.6–1.8 for an estimated friction."""


def _thread_friction(bolt: Thread, friction: float) -> float:
    """Return P/(π d2) + 1.155 μ_G, the slope and friction of the thread."""
    slope = bolt.pitch_mm / (math.pi * bolt.pitch_diameter_mm)
    return slope + 1.155 * between("friction", friction, 0.0, HIGHEST_FRICTION)


def assembly_preload_n(bolt: Thread, grade: PropertyClass, friction: float) -> float:
    """Return the preload at which tension and torsion together reach 90 % of the yield strength.

    F_M = 0.9 R_p0.2 A_s/√(1 + 3 [1.5 d2/d0 (P/(π d2) + 1.155 μ_G)]²).

    Parameters
    ----------
    bolt : Thread
        The bolt's thread.
    grade : PropertyClass
        The bolt's property class.
    friction : float
        Coefficient of friction in the thread μ_G [-], above 0 and below 0.4.

    Returns
    -------
    float
        Preload [N].

    Raises
    ------
    RangeError
        For a friction outside what is stated above.

    Notes
    -----
    Source: VDI 2230:2001, table of preloads for fine threads: M12×1.25 10.9 at μ 0.10 → 72.1 kN, M8×1 8.8 at μ 0.12 →
    20.2 kN; agrees within 0.7 %.

    Examples
    --------
    >>> from core.mechanics.threads import property_class, thread
    >>> round(assembly_preload_n(thread("M12x1.25"), property_class("10.9"), 0.10) / 1000.0, 1)
    72.2
    """
    twist = 1.5 * bolt.pitch_diameter_mm / bolt.stress_diameter_mm * _thread_friction(bolt, friction)
    return YIELD_SHARE * grade.yield_mpa * bolt.stress_area_mm2 / math.sqrt(1.0 + 3.0 * twist**2)


def _lever_mm(bolt: Thread, thread_friction: float, head_friction: float) -> float:
    """Return torque over preload [mm]: 0.16 P + 0.58 d2 μ_G + D_Km/2 μ_K."""
    between("thread_friction", thread_friction, 0.0, HIGHEST_FRICTION)
    between("head_friction", head_friction, 0.0, HIGHEST_FRICTION)
    return (
        0.16 * bolt.pitch_mm
        + 0.58 * bolt.pitch_diameter_mm * thread_friction
        + 0.5 * bolt.friction_diameter_mm * head_friction
    )


def tightening_torque_nm(bolt: Thread, preload_n: float, thread_friction: float, head_friction: float) -> float:
    """Return the torque that gives a preload.

    M_A = F (0.16 P + 0.58 d2 μ_G + D_Km/2 μ_K).

    Parameters
    ----------
    bolt : Thread
        The bolt's thread and head.
    preload_n : float
        Preload F [N], not negative.
    thread_friction, head_friction : float
        Coefficients of friction μ_G in the thread and μ_K under the head [-], above 0 and below 0.4.

    Returns
    -------
    float
        Torque [N·m].

    Raises
    ------
    RangeError
        For a negative preload or a friction outside what is stated above.

    Notes
    -----
    Source: VDI 2230:2001, table of torques for fine threads: M12×1.25 10.9 at μ 0.10 → 116 N·m, M8×1 8.8 at μ 0.12 →
    26.1 N·m; agrees within 0.7 %. The factor K of "T = K d F" is no constant: it follows the friction.

    Examples
    --------
    >>> from core.mechanics.threads import thread
    >>> round(tightening_torque_nm(thread("M12x1.25"), 72100.0, 0.10, 0.10))
    115
    """
    at_least("preload_n", preload_n, 0.0, "N")
    return preload_n * _lever_mm(bolt, thread_friction, head_friction) / 1000.0


def preload_from_torque_n(bolt: Thread, torque_nm: float, thread_friction: float, head_friction: float) -> float:
    """Return the preload a torque gives: the inverse of `tightening_torque_nm`.

    Parameters
    ----------
    bolt : Thread
        The bolt's thread and head.
    torque_nm : float
        Torque at the bolt [N·m], not negative.
    thread_friction, head_friction : float
        Coefficients of friction [-].

    Returns
    -------
    float
        Preload [N].

    Raises
    ------
    RangeError
        For a negative torque or a friction out of range.

    Examples
    --------
    >>> from core.mechanics.threads import thread
    >>> round(preload_from_torque_n(thread("M12x1.25"), 150.0, 0.14, 0.14) / 1000.0, 1)
    69.4
    """
    at_least("torque_nm", torque_nm, 0.0, "N·m")
    return torque_nm * 1000.0 / _lever_mm(bolt, thread_friction, head_friction)


def scatter_factor(spread_ratio: float) -> float:
    """Return the tightening factor of a preload that scatters by ± a share of its mean.

    α_A = (1 + p)/(1 − p).

    Parameters
    ----------
    spread_ratio : float
        p [-], 0 up to but not 1.

    Returns
    -------
    float
        Tightening factor F_max/F_min [-].

    Raises
    ------
    RangeError
        For a spread outside 0–1.

    Examples
    --------
    >>> round(scatter_factor(0.25), 3)
    1.667
    """
    between("spread_ratio", spread_ratio, -1e-12, 1.0)
    return (1.0 + spread_ratio) / (1.0 - spread_ratio)


def least_preload_n(highest_preload_n: float, tightening_factor: float) -> float:
    """Return the preload that is left on the unluckiest bolt.

    F_min = F_max/α_A.

    Parameters
    ----------
    highest_preload_n : float
        Preload the method may reach [N], not negative.
    tightening_factor : float
        α_A of the method [-], 1 or more (`METHODS`, `scatter_factor`).

    Returns
    -------
    float
        Least preload [N].

    Raises
    ------
    RangeError
        For a negative preload or a factor below 1.

    Examples
    --------
    >>> least_preload_n(72000.0, 1.6)
    45000.0
    """
    return at_least("highest_preload_n", highest_preload_n, 0.0, "N") / at_least(
        "tightening_factor", tightening_factor, 1.0
    )


def engagement_length_mm(bolt: Thread, grade: PropertyClass, shear_strength_mpa: float) -> float:
    """Return the thread engagement in a tapped hole at which the bolt breaks before the thread strips.

    L = R_m A_s P/(C3 τ_B (P/2 + (d − d2) tan 30°) π d) + 2 P, with C3 = 0.897 for the softer internal thread; the 2 P
    are for the run-in and run-out.

    Parameters
    ----------
    bolt : Thread
        The bolt's thread.
    grade : PropertyClass
        The bolt's property class.
    shear_strength_mpa : float
        Shear strength τ_B of the tapped material [MPa], above 0; about 0.6 of its tensile strength for steel, 0.7 for
        aluminium, 1.1 for grey cast iron (VDI 2230, from memory).

    Returns
    -------
    float
        Least length of engagement [mm].

    Raises
    ------
    RangeError
        For a strength not above 0.

    Notes
    -----
    Source: VDI 2230:2001, 5.5.5 (from memory), without the tolerances of the thread and without the widening of a thin
    wall.

    Examples
    --------
    >>> from core.mechanics.threads import property_class, thread
    >>> round(engagement_length_mm(thread("M12"), property_class("10.9"), 400.0), 1)
    10.9
    """
    above("shear_strength_mpa", shear_strength_mpa, 0.0, "MPa")
    width_mm = 0.5 * bolt.pitch_mm + (bolt.diameter_mm - bolt.pitch_diameter_mm) * math.tan(math.radians(30.0))
    strip_n_per_mm = 0.897 * shear_strength_mpa * width_mm * math.pi * bolt.diameter_mm / bolt.pitch_mm
    return grade.tensile_mpa * bolt.stress_area_mm2 / strip_n_per_mm + 2.0 * bolt.pitch_mm


def slip_torque_nm(bolts: int, least_preload_n: float, joint_friction: float, bolt_circle_mm: float) -> float:
    """Return the torque a bolt group carries by friction in the joint alone.

    T = n μ_T F_min D/2: the bolts only clamp; they are not meant to shear.

    Parameters
    ----------
    bolts : int
        Bolts in the group, 1 or more.
    least_preload_n : float
        Preload left on the unluckiest bolt [N], not negative.
    joint_friction : float
        Coefficient of friction between ring gear and carrier [-], above 0 and up to 0.6; dry clean steel about 0.15.
    bolt_circle_mm : float
        Diameter of the bolt circle [mm].

    Returns
    -------
    float
        Slip torque [N·m].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Plain mechanics; no published case.

    Examples
    --------
    >>> round(slip_torque_nm(12, 40000.0, 0.15, 140.0))
    5040
    """
    at_least("bolts", bolts, 1)
    at_least("least_preload_n", least_preload_n, 0.0, "N")
    within("joint_friction", above("joint_friction", joint_friction), 0.0, 0.6)
    above("bolt_circle_mm", bolt_circle_mm, 0.0, "mm")
    return bolts * joint_friction * least_preload_n * bolt_circle_mm / 2000.0


def has_yielded(new_length_mm: float, length_now_mm: float, stressed_length_mm: float) -> bool:
    """Tell whether a used bolt has stayed longer than the yield strength allows.

    A lasting stretch beyond 0.2 % of the stressed length is what R_p0.2 means.

    Parameters
    ----------
    new_length_mm, length_now_mm : float
        Length of a new bolt and of this one, unloaded [mm].
    stressed_length_mm : float
        Length between head and first engaged thread [mm], above 0.

    Returns
    -------
    bool
        True when the bolt has yielded and must not be used again.

    Raises
    ------
    RangeError
        For lengths not above 0.

    Notes
    -----
    Source: the definition of R_p0.2 in ISO 898-1 (ISO 6892-1).

    Examples
    --------
    >>> has_yielded(45.00, 45.10, 30.0), has_yielded(45.00, 45.02, 30.0)
    (True, False)
    """
    above("new_length_mm", new_length_mm, 0.0, "mm")
    above("length_now_mm", length_now_mm, 0.0, "mm")
    above("stressed_length_mm", stressed_length_mm, 0.0, "mm")
    return length_now_mm - new_length_mm > YIELD_STRETCH_RATIO * stressed_length_mm


def may_reuse(
    bolt: Thread, grade: PropertyClass, torque_nm: float, *, least_friction: float, is_stretched: bool
) -> bool:
    """Tell whether using a ring-gear bolt again is sensible, as far as strength can tell.

    It is when the bolt has not stayed longer and when its torque, at the least friction that may have been there, kept
    it below 90 % of the yield strength.

    Parameters
    ----------
    bolt : Thread
        The bolt's thread.
    grade : PropertyClass
        The bolt's property class.
    torque_nm : float
        Torque it was tightened to [N·m].
    least_friction : float
        Least coefficient of friction, thread and head alike [-].
    is_stretched : bool
        What `has_yielded` says.

    Returns
    -------
    bool
        False where new bolts are the only sensible answer.

    Raises
    ------
    RangeError
        For a negative torque or a friction out of range.

    Notes
    -----
    Common practice. A maker's manual that asks for new bolts comes first, and so do corrosion, damage and bolts that
    were tightened by angle.

    Examples
    --------
    >>> from core.mechanics.threads import property_class, thread
    >>> may_reuse(thread("M12x1.25"), property_class("10.9"), 110.0, least_friction=0.10, is_stretched=False)
    True
    """
    reached_n = preload_from_torque_n(bolt, torque_nm, least_friction, least_friction)
    return not is_stretched and reached_n <= assembly_preload_n(bolt, grade, least_friction)
