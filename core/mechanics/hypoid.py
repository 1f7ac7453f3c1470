"""What tooth counts and spiral angles alone say about a pair with offset: identities, and no more.

The pitch angles of a hypoid need more: the iteration of ISO 23509, methods 1 to 3, with cutter data a workshop does not
have, is not offered; the pitch cones that follow from the offset are found in `contact.geometry`.
"""

from __future__ import annotations

import math

from core.mechanics.checks import above, at_least, within


def hypoid_enlargement(pinion_spiral_angle_deg: float, gear_spiral_angle_deg: float) -> float:
    """Return how much larger a hypoid pinion is than the bevel pinion of the same ratio.

    K = cos β_m2/cos β_m1; with an offset d_m1 = K d_m2/u, because both members share one normal pitch.

    Parameters
    ----------
    pinion_spiral_angle_deg, gear_spiral_angle_deg : float
        Mean spiral angles [°], 0 up to but not 90; the pinion's is the larger one.

    Returns
    -------
    float
        Enlargement factor [-], 1 for zero offset.

    Raises
    ------
    RangeError
        For angles outside what is stated above.

    Notes
    -----
    Identity of ISO 23509 (from memory): both members have the same mean normal module.

    Examples
    --------
    >>> hypoid_enlargement(35.0, 35.0)
    1.0
    """
    pinion = within("pinion_spiral_angle_deg", pinion_spiral_angle_deg, 0.0, 80.0, "°")
    gear = within("gear_spiral_angle_deg", gear_spiral_angle_deg, 0.0, pinion_spiral_angle_deg, "°")
    return math.cos(math.radians(gear)) / math.cos(math.radians(pinion))


def hypoid_pinion_mean_diameter_mm(
    gear_mean_diameter_mm: float, ratio: float, pinion_spiral_angle_deg: float, gear_spiral_angle_deg: float
) -> float:
    """Return the mean pitch diameter of a hypoid pinion.

    d_m1 = d_m2 cos β_m2/(u cos β_m1).

    Parameters
    ----------
    gear_mean_diameter_mm : float
        Mean pitch diameter of the ring gear [mm].
    ratio : float
        Ratio u from the tooth counts [-], 1 or more.
    pinion_spiral_angle_deg, gear_spiral_angle_deg : float
        Mean spiral angles [°].

    Returns
    -------
    float
        Pinion mean pitch diameter [mm].

    Raises
    ------
    RangeError
        For sizes or angles outside what is stated above.

    Examples
    --------
    >>> round(hypoid_pinion_mean_diameter_mm(180.0, 4.0, 50.0, 35.0), 2)
    57.35
    """
    above("gear_mean_diameter_mm", gear_mean_diameter_mm, 0.0, "mm")
    at_least("ratio", ratio, 1.0)
    return gear_mean_diameter_mm / ratio * hypoid_enlargement(pinion_spiral_angle_deg, gear_spiral_angle_deg)


def hypoid_offset_angle_deg(pinion_spiral_angle_deg: float, gear_spiral_angle_deg: float) -> float:
    """Return the offset angle in the pitch plane.

    ζ_mp = β_m1 − β_m2: the two tooth traces are one line in the common pitch plane.

    Parameters
    ----------
    pinion_spiral_angle_deg, gear_spiral_angle_deg : float
        Mean spiral angles [°]; the pinion's is the larger one.

    Returns
    -------
    float
        Offset angle in the pitch plane [°], 0 for zero offset.

    Raises
    ------
    RangeError
        For angles outside 0–80° or a pinion spiral angle below the gear's.

    Examples
    --------
    >>> hypoid_offset_angle_deg(50.0, 35.0)
    15.0
    """
    hypoid_enlargement(pinion_spiral_angle_deg, gear_spiral_angle_deg)
    return pinion_spiral_angle_deg - gear_spiral_angle_deg
