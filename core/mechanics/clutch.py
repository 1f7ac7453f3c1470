"""The clutch pack of a limited-slip carrier: height, clearance, wear, torque and locking."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from core.errors import InputError
from core.language import tr
from core.mechanics.checks import above, at_least, between, within

UNIFORM_WEAR = "uniform_wear"
UNIFORM_PRESSURE = "uniform_pressure"
MODELS = (UNIFORM_WEAR, UNIFORM_PRESSURE)
"""How the pressure is spread over a face: run-in plates (wear) or new, flat ones (pressure)."""


def pack_height_mm(plates_mm: Sequence[float]) -> float:
    """Return the height of a pack from the thickness of its plates.

    Parameters
    ----------
    plates_mm : sequence of float
        Thickness of every plate, friction and steel [mm], above 0; one or more.

    Returns
    -------
    float
        Height [mm].

    Raises
    ------
    RangeError
        For no plate or a thickness not above 0.

    Examples
    --------
    >>> round(pack_height_mm([2.05, 2.04, 2.03, 2.02, 2.05, 2.04]), 2)
    12.23
    """
    at_least("number of plates", len(plates_mm), 1)
    return math.fsum(above("plate_mm", plate, 0.0, "mm") for plate in plates_mm)


def pack_clearance_mm(space_mm: float, plates_mm: Sequence[float]) -> float:
    """Return the clearance of a pack in its space; negative is preload.

    Parameters
    ----------
    space_mm : float
        Height of the space in the carrier, springs and rings in place [mm], above 0.
    plates_mm : sequence of float
        Thickness of every plate [mm].

    Returns
    -------
    float
        Clearance [mm].

    Raises
    ------
    RangeError
        As `pack_height_mm`, and for a space not above 0.

    Examples
    --------
    >>> round(pack_clearance_mm(12.40, [2.05, 2.04, 2.03, 2.02, 2.05, 2.04]), 2)
    0.17
    """
    return above("space_mm", space_mm, 0.0, "mm") - pack_height_mm(plates_mm)


def wear_left_ratio(thickness_mm: float, new_mm: float, smallest_mm: float) -> float:
    """Return the share of a plate's wear that is left.

    (measured − smallest allowed)/(new − smallest allowed).

    Parameters
    ----------
    thickness_mm : float
        Measured thickness [mm], above 0.
    new_mm, smallest_mm : float
        Thickness when new, and smallest allowed [mm], the first the larger.

    Returns
    -------
    float
        1 for a new plate, 0 at the limit, negative beyond it [-].

    Raises
    ------
    RangeError
        For sizes outside what is stated above.

    Examples
    --------
    >>> round(wear_left_ratio(2.02, 2.05, 1.95), 2)
    0.7
    """
    above("thickness_mm", thickness_mm, 0.0, "mm")
    above("smallest_mm", smallest_mm, 0.0, "mm")
    above("new_mm", new_mm, smallest_mm, "mm")
    return (thickness_mm - smallest_mm) / (new_mm - smallest_mm)


def friction_faces(turns_with: Sequence[str]) -> int:
    """Return the number of friction faces of a stack: where neighbours turn with different parts.

    Faces are counted, not plates: two neighbours that turn together do not rub.

    Parameters
    ----------
    turns_with : sequence of str
        From one end of the stack to the other, what each plate or wall turns with, in any words: ``carrier``, ``gear``.

    Returns
    -------
    int
        Friction faces.

    Examples
    --------
    >>> friction_faces(["carrier", "gear", "carrier", "gear", "carrier"])
    4
    """
    return sum(this != following for this, following in pairwise(turns_with))


def mean_radius_mm(inner_radius_mm: float, outer_radius_mm: float, model: str = UNIFORM_WEAR) -> float:
    """Return the radius at which the friction of a ring face acts.

    Uniform wear (r_o + r_i)/2; uniform pressure (2/3)(r_o³ − r_i³)/(r_o² − r_i²).

    Parameters
    ----------
    inner_radius_mm, outer_radius_mm : float
        Radii of the rubbing ring [mm].
    model : str
        ``uniform_wear`` or ``uniform_pressure``.

    Returns
    -------
    float
        Mean radius [mm].

    Raises
    ------
    RangeError
        For a negative inner radius or an outer one not above it.
    InputError
        For another model.

    Notes
    -----
    Textbook. Radii 45 and 75 mm: 60.000 and 61.250 mm.

    Examples
    --------
    >>> mean_radius_mm(45.0, 75.0), mean_radius_mm(45.0, 75.0, "uniform_pressure")
    (60.0, 61.25)
    """
    at_least("inner_radius_mm", inner_radius_mm, 0.0, "mm")
    above("outer_radius_mm", outer_radius_mm, inner_radius_mm, "mm")
    if model == UNIFORM_WEAR:
        return 0.5 * (outer_radius_mm + inner_radius_mm)
    if model == UNIFORM_PRESSURE:
        cubes, squares = outer_radius_mm**3 - inner_radius_mm**3, outer_radius_mm**2 - inner_radius_mm**2
        return 2.0 / 3.0 * cubes / squares
    raise InputError(
        tr("{model} is not a model of the pressure on a face.", model=model[:30]),
        tr("Give one of: {names}.", names=", ".join(MODELS)),
    )


def pack_torque_nm(
    faces: int,
    friction: float,
    axial_force_n: float,
    inner_radius_mm: float,
    outer_radius_mm: float,
    model: str = UNIFORM_WEAR,
) -> float:
    """Return the torque a pack holds before it slips.

    T = N μ F r_m, N counting friction **faces**.

    Parameters
    ----------
    faces : int
        Friction faces N, 1 or more (`friction_faces`).
    friction : float
        Coefficient of friction in oil [-], above 0 and up to 0.5.
    axial_force_n : float
        Force on the pack [N], not negative.
    inner_radius_mm, outer_radius_mm, model
        As for `mean_radius_mm`.

    Returns
    -------
    float
        Torque [N·m].

    Raises
    ------
    RangeError, InputError
        For values outside what is stated above.

    Notes
    -----
    Textbook. N 8, μ 0.1, F 5 kN, r_m 60 mm → 240 N·m.

    Examples
    --------
    >>> round(pack_torque_nm(8, 0.1, 5000.0, 45.0, 75.0), 6)
    240.0
    """
    at_least("faces", faces, 1)
    within("friction", above("friction", friction), 0.0, 0.5)
    at_least("axial_force_n", axial_force_n, 0.0, "N")
    return faces * friction * axial_force_n * mean_radius_mm(inner_radius_mm, outer_radius_mm, model) / 1000.0


def ramp_force_n(torque_nm: float, ramp_radius_mm: float, ramp_angle_deg: float, spring_force_n: float = 0.0) -> float:
    """Return the force on a pack from the torque through its pressure ring and from the preload springs.

    F = T/(r tan φ) + F_spring, φ counted **from the tangential direction**: a steeper ramp presses less.

    Parameters
    ----------
    torque_nm : float
        Torque through this pressure ring [N·m], not negative; half the carrier's where two rings share it.
    ramp_radius_mm : float
        Radius r at which the pins press on the ramps [mm], above 0.
    ramp_angle_deg : float
        Ramp angle φ [°], between 0 and 90. Some makers count from the axis: theirs is 90° − φ.
    spring_force_n : float
        Force of the preload springs [N], not negative.

    Returns
    -------
    float
        Axial force [N].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Plain mechanics without friction on the ramps; no published case.

    Examples
    --------
    >>> round(ramp_force_n(500.0, 40.0, 45.0, 800.0))
    13300
    """
    at_least("torque_nm", torque_nm, 0.0, "N·m")
    above("ramp_radius_mm", ramp_radius_mm, 0.0, "mm")
    angle = math.radians(between("ramp_angle_deg", ramp_angle_deg, 0.0, 90.0, "°"))
    at_least("spring_force_n", spring_force_n, 0.0, "N")
    return torque_nm * 1000.0 / (ramp_radius_mm * math.tan(angle)) + spring_force_n


def locking_value(high_torque_nm: float, low_torque_nm: float) -> float:
    """Return the locking value from the torques at both output flanges while one slips.

    S = (T1 − T2)/(T1 + T2). It is not "1 − weak/strong".

    Parameters
    ----------
    high_torque_nm, low_torque_nm : float
        Larger and smaller torque [N·m], the smaller not negative.

    Returns
    -------
    float
        Locking value [-], 0 open to 1 locked.

    Raises
    ------
    RangeError
        For torques outside what is stated above.

    Examples
    --------
    >>> locking_value(700.0, 300.0)
    0.4
    """
    at_least("low_torque_nm", low_torque_nm, 0.0, "N·m")
    above("high_torque_nm", at_least("high_torque_nm", high_torque_nm, low_torque_nm, "N·m"), 0.0, "N·m")
    return (high_torque_nm - low_torque_nm) / (high_torque_nm + low_torque_nm)


def bias_ratio(locking: float) -> float:
    """Return the torque bias ratio of a locking value.

    T1/T2 = (1 + S)/(1 − S).

    Parameters
    ----------
    locking : float
        Locking value S [-], 0 up to but not 1.

    Returns
    -------
    float
        Larger over smaller torque [-].

    Raises
    ------
    RangeError
        For a value outside 0–1.

    Examples
    --------
    >>> round(bias_ratio(0.40), 3)
    2.333
    """
    between("locking", locking, -1e-12, 1.0)
    return (1.0 + locking) / (1.0 - locking)


def locking_from_bias(bias: float) -> float:
    """Return the locking value of a torque bias ratio: the inverse of `bias_ratio`.

    S = (B − 1)/(B + 1).

    Parameters
    ----------
    bias : float
        Larger over smaller torque [-], 1 or more.

    Returns
    -------
    float
        Locking value [-].

    Raises
    ------
    RangeError
        For a ratio below 1.

    Examples
    --------
    >>> round(locking_from_bias(7.0 / 3.0), 6)
    0.4
    """
    at_least("bias", bias, 1.0)
    return (bias - 1.0) / (bias + 1.0)


def ramp_locking_value(
    faces: int, friction: float, mean_radius_mm: float, ramp_radius_mm: float, ramp_angle_deg: float
) -> float:
    """Return the locking value that ramps alone give, once torque outweighs the preload springs.

    S = N μ r_m/(r tan φ), with N faces in **each** of two equal packs and both rings sharing the carrier's torque:
    each pack holds T_p = N μ r_m (T/2)/(r tan φ), and T1 − T2 = 2 T_p.

    Parameters
    ----------
    faces : int
        Friction faces of one pack, 1 or more.
    friction : float
        Coefficient of friction [-], above 0 and up to 0.5.
    mean_radius_mm, ramp_radius_mm : float
        Mean radius of the faces, and radius of the ramps [mm], above 0.
    ramp_angle_deg : float
        Ramp angle from the tangential direction [°], between 0 and 90.

    Returns
    -------
    float
        Locking value [-]; 1 or more where the ramps lock solid.

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Plain mechanics; no published case.

    Examples
    --------
    >>> round(ramp_locking_value(4, 0.1, 50.0, 40.0, 45.0), 3)
    0.5
    """
    at_least("faces", faces, 1)
    within("friction", above("friction", friction), 0.0, 0.5)
    above("mean_radius_mm", mean_radius_mm, 0.0, "mm")
    half = ramp_force_n(1.0, ramp_radius_mm, ramp_angle_deg) / 1000.0
    return faces * friction * mean_radius_mm * half


def breakaway_share_ratio(measured_nm: float, expected_nm: float) -> float:
    """Return measured over expected breakaway torque of a carrier on the bench.

    With one side held and the carrier free, the torque at the other side that just makes the packs slip is the torque
    of one pack under its springs, `pack_torque_nm` with the spring force.

    Parameters
    ----------
    measured_nm : float
        Breakaway torque as measured [N·m], not negative.
    expected_nm : float
        Torque of one pack under its springs [N·m], above 0.

    Returns
    -------
    float
        1 as expected; well below 1 worn plates or tired springs, above 1 a dry or wrong pack [-].

    Raises
    ------
    RangeError
        For torques outside what is stated above.

    Examples
    --------
    >>> breakaway_share_ratio(60.0, 80.0)
    0.75
    """
    return at_least("measured_nm", measured_nm, 0.0, "N·m") / above("expected_nm", expected_nm, 0.0, "N·m")
