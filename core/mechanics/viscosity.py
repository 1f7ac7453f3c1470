"""How thick an oil is at a temperature, and its viscosity index."""

from __future__ import annotations

import math
from bisect import bisect_right

from core.mechanics.checks import above, at_least, within

KELVIN = 273.15
_LEAST_VISCOSITY = 2.0  # below it the short form of the ASTM equation and the viscosity index both end

# From, then L = a Y² + b Y + c and H = d Y² + e Y + f, Y the viscosity at 100 °C: the standard's fit to its table.
_INDEX_FIT: tuple[tuple[float, float, float, float, float, float, float], ...] = (
    (2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (4.4, 2.5, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (5.0, 0.101, 16.635, -45.469, 0.04985, 9.1613, -18.557),
    (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.0, 0.01191, 21.475, -72.87, 0.79762, -0.7321, 14.61),
    (7.7, 0.41858, 16.1558, -56.04, 0.05794, 10.5156, -28.24),
    (9.0, 0.88779, 7.5527, -16.6, 0.26665, 6.7015, -10.81),
    (12.0, 0.7672, 10.7972, -38.18, 0.20073, 8.4658, -22.49),
    (15.0, 0.97305, 5.3135, -2.2, 0.28889, 5.9741, -4.93),
    (18.0, 0.97256, 5.25, -0.98, 0.24504, 7.416, -16.73),
    (22.0, 0.91413, 7.4759, -21.82, 0.20323, 9.1267, -34.23),
    (28.0, 0.87031, 9.7157, -50.77, 0.18411, 10.1015, -46.75),
    (40.0, 0.84703, 12.6752, -133.31, 0.17029, 11.4866, -80.62),
    (55.0, 0.85921, 11.1009, -83.19, 0.1713, 11.368, -76.94),
    (70.0, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)


def viscosity_at_mm2_s(viscosity_40_mm2_s: float, viscosity_100_mm2_s: float, temp_c: float) -> float:
    """Return the kinematic viscosity of an oil at a temperature from its values at 40 and 100 °C.

    log log (ν + 0.7) = A − B log T, T in kelvin.

    Parameters
    ----------
    viscosity_40_mm2_s, viscosity_100_mm2_s : float
        Kinematic viscosity at 40 and at 100 °C [mm²/s], the first the larger, both 2 or more.
    temp_c : float
        Temperature [°C], −40 to 160.

    Returns
    -------
    float
        Kinematic viscosity [mm²/s].

    Raises
    ------
    RangeError
        For values outside what is stated above, or where the result would fall below 2 mm²/s.

    Notes
    -----
    Source: ASTM D341, valid while the oil is a plain liquid: not below its pour or cloud point. 32 at 40 °C and 5.4 at
    100 °C → 8.5 at 80 °C.

    Examples
    --------
    >>> round(viscosity_at_mm2_s(32.0, 5.4, 80.0), 1)
    8.5
    """
    at_least("viscosity_100_mm2_s", viscosity_100_mm2_s, _LEAST_VISCOSITY, "mm²/s")
    above("viscosity_40_mm2_s", viscosity_40_mm2_s, viscosity_100_mm2_s, "mm²/s")
    within("temp_c", temp_c, -40.0, 160.0, "°C")
    warm, hot = (math.log10(KELVIN + temp) for temp in (40.0, 100.0))
    at_warm, at_hot = (math.log10(math.log10(v + 0.7)) for v in (viscosity_40_mm2_s, viscosity_100_mm2_s))
    slope = (at_warm - at_hot) / (hot - warm)
    doubled_log = at_warm - slope * (math.log10(KELVIN + temp_c) - warm)
    found = math.pow(10.0, math.pow(10.0, doubled_log)) - 0.7
    return at_least("viscosity at that temperature", found, _LEAST_VISCOSITY, "mm²/s")


def viscosity_index(viscosity_40_mm2_s: float, viscosity_100_mm2_s: float) -> float:
    """Return the viscosity index of an oil, not rounded.

    Up to 100: VI = 100 (L − U)/(L − H). Above: VI = 100 + (10^N − 1)/0.00715, N = (log H − log U)/log Y, with U and Y
    the viscosities at 40 and 100 °C.

    Parameters
    ----------
    viscosity_40_mm2_s, viscosity_100_mm2_s : float
        Kinematic viscosity at 40 and at 100 °C [mm²/s]; the second 2 or more, the first the larger.

    Returns
    -------
    float
        Viscosity index [-]; the standard reports it as a whole number.

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Source: ASTM D2270, examples 5.1.4 and 6.1.4: 73.30 and 8.86 → 92; 22.83 and 5.05 → 156. L and H follow the
    standard's fitted equations (appendix, from memory), which meet its table within 0.1 %.

    Examples
    --------
    >>> round(viscosity_index(73.30, 8.86)), round(viscosity_index(22.83, 5.05))
    (92, 156)
    """
    at_least("viscosity_100_mm2_s", viscosity_100_mm2_s, _LEAST_VISCOSITY, "mm²/s")
    above("viscosity_40_mm2_s", viscosity_40_mm2_s, viscosity_100_mm2_s, "mm²/s")
    hot = viscosity_100_mm2_s
    _, a, b, c, d, e, f = _INDEX_FIT[bisect_right(_INDEX_FIT, hot, key=lambda row: row[0]) - 1]
    low, high = a * hot**2 + b * hot + c, d * hot**2 + e * hot + f
    if viscosity_40_mm2_s >= high:
        return 100.0 * (low - viscosity_40_mm2_s) / (low - high)
    power = math.log10(high / viscosity_40_mm2_s) / math.log10(hot)
    return 100.0 + (math.pow(10.0, power) - 1.0) / 0.00715
