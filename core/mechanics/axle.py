"""The most torque an axle shaft or ring gear can see: what the engine can send, or what the tyres can hold."""

from __future__ import annotations

from core.mechanics.checks import above, at_least, within


def engine_peak_torque_nm(
    engine_torque_nm: float, lowest_gear_ratio: float, final_ratio: float, split_ratio: float = 1.0
) -> float:
    """Return the torque the engine can send to an output flange or to the ring gear.

    T = T_engine x lowest gear x final ratio x split. Losses are left out: they only make it less.

    Parameters
    ----------
    engine_torque_nm : float
        Largest torque of the engine [N·m]; with a torque converter multiplied by its stall ratio.
    lowest_gear_ratio : float
        Ratio of the lowest gear, with the transfer case's low range where there is one [-], above 0.
    final_ratio : float
        Ring-gear over pinion teeth [-], 1 or more.
    split_ratio : float
        Share of the ring gear's torque that reaches this shaft [-], above 0 and up to 1: 1 for the ring gear itself,
        0.5 for one flange of an open unit, up to 1 for one flange of a locked one.

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
    Plain mechanics; no published case.

    Examples
    --------
    >>> engine_peak_torque_nm(200.0, 3.5, 4.0, 0.75)
    2100.0
    """
    at_least("engine_torque_nm", engine_torque_nm, 0.0, "N·m")
    above("lowest_gear_ratio", lowest_gear_ratio)
    at_least("final_ratio", final_ratio, 1.0)
    within("split_ratio", above("split_ratio", split_ratio), 0.0, 1.0)
    return engine_torque_nm * lowest_gear_ratio * final_ratio * split_ratio


def wheel_slip_torque_nm(wheel_load_n: float, tyre_friction: float, tyre_radius_m: float) -> float:
    """Return the torque at which a tyre slips.

    T = μ F r. More than this a shaft to one wheel does not see for long, whatever the engine sends.

    Parameters
    ----------
    wheel_load_n : float
        Load on the wheel [N].
    tyre_friction : float
        Coefficient of friction between tyre and ground [-], above 0 and up to 2.
    tyre_radius_m : float
        Rolling radius [m], above 0.

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
    Plain mechanics; no published case.

    Examples
    --------
    >>> round(wheel_slip_torque_nm(4000.0, 1.0, 0.3))
    1200
    """
    at_least("wheel_load_n", wheel_load_n, 0.0, "N")
    within("tyre_friction", above("tyre_friction", tyre_friction), 0.0, 2.0)
    return wheel_load_n * tyre_friction * above("tyre_radius_m", tyre_radius_m, 0.0, "m")


def safety(capacity_nm: float, peak_nm: float) -> float:
    """Return the safety of a part against the axle's peak torque.

    S = capacity/peak.

    Parameters
    ----------
    capacity_nm : float
        Torque the part carries [N·m].
    peak_nm : float
        Peak torque: the smaller of what the engine sends and what the tyre holds [N·m], above 0.

    Returns
    -------
    float
        Safety [-]; below 1 the part slips or yields.

    Raises
    ------
    RangeError
        For a negative capacity or a peak not above 0.

    Examples
    --------
    >>> safety(3000.0, 2000.0)
    1.5
    """
    return at_least("capacity_nm", capacity_nm, 0.0, "N·m") / above("peak_nm", peak_nm, 0.0, "N·m")
