"""ISO metric threads M6 to M16 and the bolts that carry them: sizes, property classes, proof loads.

Thread form: ISO 68-1, ISO 724. Strengths: ISO 898-1. Head and hole sizes: ISO 4014 (bearing face, least) and ISO 273
(medium), from memory.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from core.errors import InputError
from core.language import tr

PITCHES_MM: dict[int, tuple[float, ...]] = {
    6: (1.0,),
    8: (1.25, 1.0),
    10: (1.5, 1.25, 1.0),
    12: (1.75, 1.5, 1.25),
    14: (2.0, 1.5),
    16: (2.0, 1.5),
}
"""Pitches of each nominal diameter, the coarse one first (ISO 262 and ISO 8765 sizes)."""

_HEADS_MM: dict[int, tuple[float, float]] = {
    6: (8.9, 6.6),
    8: (11.6, 9.0),
    10: (14.6, 11.0),
    12: (16.6, 13.5),
    14: (19.6, 15.5),
    16: (22.5, 17.5),
}
"""Bearing-face diameter of a hexagon head and medium clearance hole."""

_THREAD = re.compile(r"[Mm] ?(\d{1,2})(?: ?[x×*] ?(\d(?:[.,]\d{1,2})?))?")


@dataclass(frozen=True)
class Thread:
    """A thread with the hexagon head usual for it; lengths [mm]."""

    diameter_mm: float
    pitch_mm: float
    head_face_mm: float
    hole_mm: float

    @property
    def pitch_diameter_mm(self) -> float:
        """Pitch diameter d2 = d − 0.6495 P [mm]."""
        return self.diameter_mm - 0.375 * math.sqrt(3.0) * self.pitch_mm

    @property
    def root_diameter_mm(self) -> float:
        """Root diameter of the external thread d3 = d − 1.2269 P [mm]."""
        return self.diameter_mm - 17.0 / 24.0 * math.sqrt(3.0) * self.pitch_mm

    @property
    def minor_diameter_mm(self) -> float:
        """Minor diameter of the internal thread D1 = d − 1.0825 P [mm]."""
        return self.diameter_mm - 0.625 * math.sqrt(3.0) * self.pitch_mm

    @property
    def stress_diameter_mm(self) -> float:
        """Diameter of the stress area d0 = (d2 + d3)/2 [mm]."""
        return 0.5 * (self.pitch_diameter_mm + self.root_diameter_mm)

    @property
    def stress_area_mm2(self) -> float:
        """Stress area A_s = π/4 ((d2 + d3)/2)² [mm²]."""
        return 0.25 * math.pi * self.stress_diameter_mm**2

    @property
    def friction_diameter_mm(self) -> float:
        """Mean friction diameter under the head D_Km = (d_w + d_h)/2 [mm]."""
        return 0.5 * (self.head_face_mm + self.hole_mm)


@dataclass(frozen=True)
class PropertyClass:
    """Strength of a bolt [MPa]: stress under proof load, 0.2 % yield and tensile strength, all least values."""

    name: str
    proof_mpa: float
    yield_mpa: float
    tensile_mpa: float


PROPERTY_CLASSES: dict[str, PropertyClass] = {
    "8.8": PropertyClass("8.8", 580.0, 640.0, 800.0),
    "10.9": PropertyClass("10.9", 830.0, 940.0, 1040.0),
    "12.9": PropertyClass("12.9", 970.0, 1100.0, 1220.0),
}
"""ISO 898-1; 8.8 is for d up to 16 mm, the largest thread here."""


def thread(name: str) -> Thread:
    """Return a thread by its name.

    Parameters
    ----------
    name : str
        As it is written: ``M12`` (coarse), ``M12x1.25`` or ``M12×1,25``.

    Returns
    -------
    Thread
        Its sizes.

    Raises
    ------
    InputError
        For a thread that is not among `PITCHES_MM`.

    Notes
    -----
    Source: ISO 898-1, stress areas printed to three digits.

    Examples
    --------
    >>> [round(thread(name).stress_area_mm2, 1) for name in ("M8", "M12", "M12x1.25", "M10x1")]
    [36.6, 84.3, 92.1, 64.5]
    """
    match = _THREAD.fullmatch(name.strip())
    pitches_mm = PITCHES_MM.get(int(match[1]), ()) if match else ()
    if match and pitches_mm:
        pitch_mm = float(match[2].replace(",", ".")) if match[2] else pitches_mm[0]
        if pitch_mm in pitches_mm:
            return Thread(float(match[1]), pitch_mm, *_HEADS_MM[int(match[1])])
    raise InputError(
        tr("{name} is not a thread this calculation knows.", name=name[:40]),
        tr("Give one of: {names}.", names=", ".join(thread_names())),
    )


def thread_names() -> tuple[str, ...]:
    """Return the names of all threads, coarse ones without their pitch.

    Returns
    -------
    tuple of str
        Names that `thread` takes.

    Examples
    --------
    >>> thread_names()[:3]
    ('M6', 'M8', 'M8x1')
    """
    return tuple(
        f"M{diameter}" if pitch == pitches[0] else f"M{diameter}x{pitch:g}"
        for diameter, pitches in PITCHES_MM.items()
        for pitch in pitches
    )


def property_class(name: str) -> PropertyClass:
    """Return a property class by its name.

    Parameters
    ----------
    name : str
        ``8.8``, ``10.9`` or ``12.9``.

    Returns
    -------
    PropertyClass
        Its strengths.

    Raises
    ------
    InputError
        For any other name.

    Examples
    --------
    >>> property_class("10.9").proof_mpa
    830.0
    """
    found = PROPERTY_CLASSES.get(name.strip().replace(",", "."))
    if found is None:
        raise InputError(
            tr("{name} is not a property class this calculation knows.", name=name[:40]),
            tr("Give one of: {names}.", names=", ".join(PROPERTY_CLASSES)),
        )
    return found


def proof_load_n(bolt: Thread, grade: PropertyClass) -> float:
    """Return the proof load: the pull a bolt must take without staying longer.

    F_p = S_p A_s.

    Parameters
    ----------
    bolt : Thread
        The bolt's thread.
    grade : PropertyClass
        The bolt's property class.

    Returns
    -------
    float
        Proof load [N].

    Notes
    -----
    Source: ISO 898-1, proof loads. The table multiplies the stress area as printed (three digits), so it differs from
    this by up to 0.7 %.

    Examples
    --------
    >>> round(proof_load_n(thread("M12"), property_class("10.9")), -2)
    69900.0
    """
    return grade.proof_mpa * bolt.stress_area_mm2
