"""What holds an interference fit together, and the heat that lets it be put together."""

from __future__ import annotations

import math

from core.mechanics.checks import above, at_least, between, within

STEEL_EXPANSION_PER_K = 12.0e-6
"""Thermal expansion of bearing and carrier steel [1/K] (textbook value, from memory)."""

OPEN_BEARING_LIMIT_C = 120.0
SEALED_BEARING_LIMIT_C = 80.0
"""Highest temperatures a bearing may be heated to: open, and greased or sealed (a bearing maker's instruction)."""

STEEL_YOUNG_MPA = 207000.0
STEEL_POISSON = 0.3


def bore_growth_mm(
    bore_mm: float, temp_c: float, ambient_c: float = 20.0, expansion_per_k: float = STEEL_EXPANSION_PER_K
) -> float:
    """Return how much a bore grows when its ring is heated.

    Δd = α d (t − t0); a bore grows like the ring around it.

    Parameters
    ----------
    bore_mm : float
        Bore [mm], above 0.
    temp_c, ambient_c : float
        Temperature of the ring, and temperature at which it was measured [°C].
    expansion_per_k : float
        Thermal expansion [1/K], above 0.

    Returns
    -------
    float
        Growth [mm]; negative when cooled.

    Raises
    ------
    RangeError
        For a bore or expansion not above 0, or temperatures outside −200 to 400 °C.

    Notes
    -----
    Source: a bearing maker's chart of cone-bore growth, ambient 20 °C: bore 100 mm at 100 °C → 0.0873 mm, which is an
    expansion of 10.91e-6/K.

    Examples
    --------
    >>> round(bore_growth_mm(100.0, 100.0, 20.0, 10.91e-6), 4)
    0.0873
    """
    above("bore_mm", bore_mm, 0.0, "mm")
    above("expansion_per_k", expansion_per_k, 0.0, "1/K")
    within("temp_c", temp_c, -200.0, 400.0, "°C")
    within("ambient_c", ambient_c, -200.0, 400.0, "°C")
    return expansion_per_k * bore_mm * (temp_c - ambient_c)


def heating_temperature_c(
    bore_mm: float,
    interference_mm: float,
    clearance_mm: float,
    ambient_c: float = 20.0,
    expansion_per_k: float = STEEL_EXPANSION_PER_K,
    highest_c: float = OPEN_BEARING_LIMIT_C,
) -> float:
    """Return the temperature at which a ring slips over its seat.

    t = t0 + (interference + clearance)/(α d).

    Parameters
    ----------
    bore_mm : float
        Bore [mm], above 0.
    interference_mm : float
        Largest interference [mm], not negative: largest seat − smallest bore (a bearing's bore tolerance is minus).
    clearance_mm : float
        Clearance wanted while it goes on [mm], not negative.
    ambient_c : float
        Temperature of the seat [°C].
    expansion_per_k : float
        Thermal expansion of the ring [1/K].
    highest_c : float
        Highest temperature allowed [°C]: `OPEN_BEARING_LIMIT_C` or `SEALED_BEARING_LIMIT_C`.

    Returns
    -------
    float
        Temperature of the ring [°C].

    Raises
    ------
    RangeError
        For values out of range, or where more than `highest_c` would be needed: then cool the seat, press, or look at
        the fit again, but do not heat further.

    Notes
    -----
    Source of the limits: a bearing maker's mounting instruction. Caution: hot parts.

    Examples
    --------
    >>> round(heating_temperature_c(45.0, 0.018 + 0.012, 0.010), 1)
    94.1
    """
    at_least("interference_mm", interference_mm, 0.0, "mm")
    at_least("clearance_mm", clearance_mm, 0.0, "mm")
    per_kelvin_mm = bore_growth_mm(bore_mm, ambient_c + 1.0, ambient_c, expansion_per_k)
    needed_c = ambient_c + (interference_mm + clearance_mm) / per_kelvin_mm
    return within("temperature_c", needed_c, ambient_c, highest_c, "°C")


def press_pressure_mpa(
    diameter_mm: float,
    hub_diameter_mm: float,
    interference_mm: float,
    bore_diameter_mm: float = 0.0,
    young_hub_mpa: float = STEEL_YOUNG_MPA,
    poisson_hub: float = STEEL_POISSON,
    young_shaft_mpa: float = STEEL_YOUNG_MPA,
    poisson_shaft: float = STEEL_POISSON,
) -> float:
    """Return the pressure in the joint of an interference fit.

    Lamé: p = δ/(d [((D² + d²)/(D² − d²) + ν_h)/E_h + ((d² + d_i²)/(d² − d_i²) − ν_s)/E_s]), δ on the **diameter**.

    Parameters
    ----------
    diameter_mm : float
        Joint diameter d [mm].
    hub_diameter_mm : float
        Outer diameter D of the ring or hub [mm], larger than d.
    interference_mm : float
        Interference δ on the diameter [mm], not negative.
    bore_diameter_mm : float
        Bore d_i of the shaft or carrier [mm], smaller than d; 0 for a solid one.
    young_hub_mpa, young_shaft_mpa : float
        Young's moduli [MPa], above 0.
    poisson_hub, poisson_shaft : float
        Poisson's ratios [-], 0 to 0.5.

    Returns
    -------
    float
        Pressure [MPa].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Source: Lamé's thick cylinders as in any machine-design text; d 50, D 100, solid steel shaft, δ 0.050 mm, E 207 GPa
    → 77.625 MPa. Valid for open ends, elastic behaviour and a hub as long as the joint.

    Examples
    --------
    >>> round(press_pressure_mpa(50.0, 100.0, 0.050), 3)
    77.625
    """
    above("diameter_mm", diameter_mm, 0.0, "mm")
    above("hub_diameter_mm", hub_diameter_mm, diameter_mm, "mm")
    at_least("interference_mm", interference_mm, 0.0, "mm")
    between("bore_diameter_mm", bore_diameter_mm, -1e-12, diameter_mm, "mm")
    above("young_hub_mpa", young_hub_mpa, 0.0, "MPa")
    above("young_shaft_mpa", young_shaft_mpa, 0.0, "MPa")
    within("poisson_hub", poisson_hub, 0.0, 0.5)
    within("poisson_shaft", poisson_shaft, 0.0, 0.5)
    hub = (hub_diameter_mm**2 + diameter_mm**2) / (hub_diameter_mm**2 - diameter_mm**2) + poisson_hub
    shaft = (diameter_mm**2 + bore_diameter_mm**2) / (diameter_mm**2 - bore_diameter_mm**2) - poisson_shaft
    return interference_mm / (diameter_mm * (hub / young_hub_mpa + shaft / young_shaft_mpa))


def hub_hoop_stress_mpa(pressure_mpa: float, diameter_mm: float, hub_diameter_mm: float) -> float:
    """Return the largest stress of the ring or hub: the hoop stress at its bore.

    σ = p (D² + d²)/(D² − d²).

    Parameters
    ----------
    pressure_mpa : float
        Pressure in the joint [MPa], not negative.
    diameter_mm, hub_diameter_mm : float
        Joint and outer diameter [mm].

    Returns
    -------
    float
        Hoop stress [MPa].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Examples
    --------
    >>> round(hub_hoop_stress_mpa(77.625, 50.0, 100.0), 3)
    129.375
    """
    at_least("pressure_mpa", pressure_mpa, 0.0, "MPa")
    above("diameter_mm", diameter_mm, 0.0, "mm")
    above("hub_diameter_mm", hub_diameter_mm, diameter_mm, "mm")
    return pressure_mpa * (hub_diameter_mm**2 + diameter_mm**2) / (hub_diameter_mm**2 - diameter_mm**2)


def fit_slip_torque_nm(pressure_mpa: float, diameter_mm: float, length_mm: float, friction: float) -> float:
    """Return the torque an interference fit carries before it slips.

    T = μ p π d² l/2.

    Parameters
    ----------
    pressure_mpa : float
        Pressure in the joint [MPa], not negative.
    diameter_mm, length_mm : float
        Joint diameter and length [mm], above 0.
    friction : float
        Coefficient of friction [-], above 0 and up to 0.6.

    Returns
    -------
    float
        Slip torque [N·m].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Examples
    --------
    >>> round(fit_slip_torque_nm(77.625, 50.0, 40.0, 0.12))
    1463
    """
    at_least("pressure_mpa", pressure_mpa, 0.0, "MPa")
    above("diameter_mm", diameter_mm, 0.0, "mm")
    above("length_mm", length_mm, 0.0, "mm")
    within("friction", above("friction", friction), 0.0, 0.6)
    return friction * pressure_mpa * math.pi * diameter_mm**2 * length_mm / 2000.0
