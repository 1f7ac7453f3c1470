"""Tightening: what to set on a wrench with an adapter, in which steps, and in which order around the bolt circle."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from core.errors import RangeError
from core.language import tr
from core.mechanics.checks import above, at_least, within

STEP_RATIOS = (0.3, 0.6, 1.0)
"""Shares of the final torque, within the rounds of ASME PCC-1 (20–30 %, 50–70 %, 100 %; from memory)."""


def adapter_factor(wrench_length_mm: float, adapter_length_mm: float, adapter_angle_deg: float = 0.0) -> float:
    """Return the share of the bolt's torque that the wrench sees through an adapter.

    L/(L + A cos θ).

    Parameters
    ----------
    wrench_length_mm : float
        L, from the middle of the hand to the drive [mm].
    adapter_length_mm : float
        A, from the drive to the bolt [mm].
    adapter_angle_deg : float
        θ from the wrench line beyond the drive [°]: 0 straight out, 90 square, 180 folded back.

    Returns
    -------
    float
        Setting over torque at the bolt [-]; 1 for a square adapter.

    Raises
    ------
    RangeError
        For lengths not above 0, an angle outside ±180°, or an adapter folded back beyond the hand.

    Examples
    --------
    >>> adapter_factor(400.0, 100.0, 0.0)
    0.8
    """
    above("wrench_length_mm", wrench_length_mm, 0.0, "mm")
    at_least("adapter_length_mm", adapter_length_mm, 0.0, "mm")
    angle = math.radians(within("adapter_angle_deg", adapter_angle_deg, -180.0, 180.0, "°"))
    lever_mm = wrench_length_mm + adapter_length_mm * math.cos(angle)
    above("lever from the hand to the bolt", lever_mm, 0.0, "mm")
    return wrench_length_mm / lever_mm


def adapter_setting_nm(
    torque_nm: float, wrench_length_mm: float, adapter_length_mm: float, adapter_angle_deg: float = 0.0
) -> float:
    """Return what to set on the wrench so that the bolt gets the torque it should.

    T_set = T L/(L + A cos θ).

    Parameters
    ----------
    torque_nm : float
        Torque wanted at the bolt [N·m].
    wrench_length_mm, adapter_length_mm, adapter_angle_deg : float
        As for `adapter_factor` [mm, mm, °].

    Returns
    -------
    float
        Setting [N·m].

    Raises
    ------
    RangeError
        For a negative torque or lengths and angles outside what `adapter_factor` accepts.

    Notes
    -----
    Source: TM 9-2350-261-34: 40 lbf·ft with a 12 in wrench and a 4 in adapter straight out → 30 lbf·ft; the rule is
    linear, so it holds in any unit of torque.

    Examples
    --------
    >>> adapter_setting_nm(40.0, 12.0, 4.0)
    30.0
    >>> round(adapter_setting_nm(150.0, 400.0, 50.0), 1)
    133.3
    """
    at_least("torque_nm", torque_nm, 0.0, "N·m")
    return torque_nm * adapter_factor(wrench_length_mm, adapter_length_mm, adapter_angle_deg)


def adapter_torque_nm(
    setting_nm: float, wrench_length_mm: float, adapter_length_mm: float, adapter_angle_deg: float = 0.0
) -> float:
    """Return the torque the bolt got from a wrench set to a value: the inverse of `adapter_setting_nm`.

    T = T_set (L + A cos θ)/L.

    Parameters
    ----------
    setting_nm : float
        What the wrench was set to [N·m].
    wrench_length_mm, adapter_length_mm, adapter_angle_deg : float
        As for `adapter_factor` [mm, mm, °].

    Returns
    -------
    float
        Torque at the bolt [N·m].

    Raises
    ------
    RangeError
        For a negative setting or lengths and angles outside what `adapter_factor` accepts.

    Examples
    --------
    >>> adapter_torque_nm(30.0, 12.0, 4.0)
    40.0
    """
    at_least("setting_nm", setting_nm, 0.0, "N·m")
    return setting_nm / adapter_factor(wrench_length_mm, adapter_length_mm, adapter_angle_deg)


def tightening_steps_nm(final_nm: float, step_ratios: Sequence[float] = STEP_RATIOS) -> tuple[float, ...]:
    """Return the torques of the rounds in which a bolt circle is tightened.

    Parameters
    ----------
    final_nm : float
        Final torque [N·m].
    step_ratios : sequence of float
        Share of the final torque in each round [-], rising, the last one 1.

    Returns
    -------
    tuple of float
        Torque of each round [N·m].

    Raises
    ------
    RangeError
        For a torque not above 0, or shares that do not rise from above 0 to 1.

    Examples
    --------
    >>> [round(step) for step in tightening_steps_nm(150.0)]
    [45, 90, 150]
    """
    above("final_nm", final_nm, 0.0, "N·m")
    shares = (0.0, *step_ratios)
    if shares[-1] != 1.0 or any(before >= after for before, after in pairwise(shares)):
        raise RangeError("step_ratios", shares[-1], tr("rising from above 0 to 1 in the last round"))
    return tuple(final_nm * ratio for ratio in step_ratios)


def crosswise_order(bolts: int) -> tuple[int, ...]:
    """Return the order in which the bolts of a circle are tightened, numbered around it from 1.

    Each bolt is followed by the one opposite (or, with an odd number, nearly opposite), and each pair by one as far
    from what is already tight as the circle allows.

    Parameters
    ----------
    bolts : int
        Bolts around the circle, 3 or more.

    Returns
    -------
    tuple of int
        Bolt numbers, 1 to `bolts`, each once.

    Raises
    ------
    RangeError
        For fewer than 3 bolts.

    Notes
    -----
    Source: agrees with the cross pattern of ASME PCC-1 for 4, 8, 12, 16, 20 and 24 bolts (from memory).

    Examples
    --------
    >>> crosswise_order(12)
    (1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12)
    """
    at_least("bolts", bolts, 3)
    return tuple(place + 1 for place in _spread(bolts))


def _spread(places: int) -> list[int]:
    """Order places around a circle: opposite ones together, then as far apart as can be."""
    if places <= 2:
        return list(range(places))
    if places % 2:
        stride = (places - 1) // 2  # shares no factor with an odd number of places, so every place comes up once
        return [step * stride % places for step in range(places)]
    half = places // 2
    return [place for first in _spread(half) for place in (first, first + half)]
