"""Backlash recommended for a tooth size, as the AGMA table of bevel gears has it."""

from __future__ import annotations

from core.errors import RangeError
from core.language import tr
from core.mechanics.checks import above

_AGMA_INCH: tuple[tuple[float, float, float, float, float], ...] = (
    (1.00, 0.020, 0.030, 0.045, 0.065),
    (1.25, 0.018, 0.026, 0.035, 0.055),
    (1.50, 0.016, 0.022, 0.025, 0.045),
    (1.75, 0.014, 0.018, 0.020, 0.040),
    (2.00, 0.012, 0.016, 0.020, 0.030),
    (2.50, 0.010, 0.013, 0.015, 0.025),
    (3.00, 0.008, 0.011, 0.012, 0.022),
    (3.50, 0.007, 0.009, 0.010, 0.020),
    (4.00, 0.006, 0.008, 0.008, 0.016),
    (5.00, 0.005, 0.007, 0.006, 0.013),
    (6.00, 0.004, 0.006, 0.005, 0.010),
    (8.00, 0.003, 0.005, 0.004, 0.008),
    (10.0, 0.002, 0.004, 0.003, 0.005),
    (16.0, 0.001, 0.003, 0.002, 0.004),
    (20.0, 0.000, 0.002, 0.000, 0.002),
)
"""Diametral pitch from, then backlash from and to for quality 7–13 and for quality 3–6 [in]."""

_AGMA_FINEST_PITCH = 50.0


def recommended_backlash_inch(diametral_pitch: float, *, is_fine_quality: bool = True) -> tuple[float, float]:
    """Return the backlash AGMA recommends for bevel and hypoid gears of a diametral pitch.

    Parameters
    ----------
    diametral_pitch : float
        Teeth per inch of outer pitch diameter [1/in], 1 up to but not including 50.
    is_fine_quality : bool
        True for AGMA quality 7–13, False for 3–6.

    Returns
    -------
    tuple of float
        From and to [in].

    Raises
    ------
    RangeError
        For a pitch outside the table.

    Notes
    -----
    Source: AGMA recommended backlash for bevel and hypoid gears, as reproduced by handbooks; printed to 0.001 in. A
    pitch on the border of two rows takes the finer row.

    Examples
    --------
    >>> recommended_backlash_inch(4.5), recommended_backlash_inch(8.0)
    ((0.006, 0.008), (0.003, 0.005))
    """
    if not _AGMA_INCH[0][0] <= diametral_pitch < _AGMA_FINEST_PITCH:
        raise RangeError("diametral_pitch", diametral_pitch, tr("from 1 to below 50 per inch"))
    row = max(row for row in _AGMA_INCH if row[0] <= diametral_pitch)
    return (row[1], row[2]) if is_fine_quality else (row[3], row[4])


def recommended_backlash_mm(outer_module_mm: float, *, is_fine_quality: bool = True) -> tuple[float, float]:
    """Return the backlash AGMA recommends for bevel and hypoid gears of a module: `recommended_backlash_inch` in mm.

    Diametral pitch = 25.4/m_et.

    Parameters
    ----------
    outer_module_mm : float
        Outer transverse module m_et [mm], above 0.508 and up to 25.4.
    is_fine_quality : bool
        True for AGMA quality 7–13, False for 3–6.

    Returns
    -------
    tuple of float
        From and to [mm].

    Raises
    ------
    RangeError
        For a module outside the table.

    Examples
    --------
    >>> [round(limit, 3) for limit in recommended_backlash_mm(4.651)]
    [0.127, 0.178]
    """
    pitch = 25.4 / above("outer_module_mm", outer_module_mm, 0.0, "mm")
    low_inch, high_inch = recommended_backlash_inch(pitch, is_fine_quality=is_fine_quality)
    return low_inch * 25.4, high_inch * 25.4
