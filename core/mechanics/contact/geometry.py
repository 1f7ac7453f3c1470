"""The set as it is drawn, and its pitch cones, with or without offset."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from core.errors import RangeError
from core.language import tr
from core.mechanics.bevel import DEPTH_FACTOR, gear_addendum_share, pitch_angles
from core.mechanics.checks import above, at_least, between, within
from core.mechanics.lash import ASSUMED_CUTTER_RATIO

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


class Flank(StrEnum):
    """The two flanks of a ring-gear tooth; drive is the gear's convex one, as in the usual forward mesh."""

    DRIVE = "drive"
    COAST = "coast"

    @property
    def sign(self) -> int:
        """+1 for the convex flank, −1 for the concave one."""
        return 1 if self is Flank.DRIVE else -1


class Hand(StrEnum):
    """Hand of the ring gear's spiral; the pinion has the other one."""

    RIGHT = "right"
    LEFT = "left"

    @property
    def sign(self) -> int:
        """+1 for a right-hand ring gear, −1 for its mirror image."""
        return 1 if self is Hand.RIGHT else -1


class Cut(StrEnum):
    """How the ring gear was cut: rolled with an imaginary crown gear, or the cutter's own cone pressed in."""

    GENERATED = "generated"
    FORMED = "formed"


@dataclass(frozen=True, kw_only=True)
class GearSet:
    """A ring gear and pinion with axes at 90°, as drawn; lengths [mm], angles [°].

    `spiral_angle_deg` is the ring gear's at the mean point, `pressure_angle_deg` the mean of both flanks in the normal
    section. `offset_mm` is not negative: the offset of final drives, which makes the pinion larger. Without a
    `cutter_radius_mm` a typical one is taken. `tilt_ratio` says how far the cutter of a formed gear leans from the
    pitch cone (0) to the root cone (1); a generated gear has none.

    Raises
    ------
    RangeError
        For tooth counts below 5 or a pinion with more teeth than its gear, sizes not above 0, a spiral angle outside
        10–50° (below it the contact lines run along the tooth), a pressure angle outside 10–30°, a tilt outside 0–1.
    """

    pinion_teeth: int
    ring_gear_teeth: int
    outer_diameter_mm: float
    face_width_mm: float
    spiral_angle_deg: float
    pressure_angle_deg: float
    offset_mm: float = 0.0
    hand: Hand = Hand.RIGHT
    cutter_radius_mm: float | None = None
    cut: Cut = Cut.GENERATED
    tilt_ratio: float = 1.0

    def __post_init__(self) -> None:
        at_least("pinion_teeth", self.pinion_teeth, 5)
        at_least("ring_gear_teeth", self.ring_gear_teeth, self.pinion_teeth)
        above("outer_diameter_mm", self.outer_diameter_mm, 0.0, "mm")
        between("face_width_mm", self.face_width_mm, 0.0, 0.5 * self.outer_diameter_mm, "mm")
        within("spiral_angle_deg", self.spiral_angle_deg, 10.0, 50.0, "°")
        within("pressure_angle_deg", self.pressure_angle_deg, 10.0, 30.0, "°")
        within("offset_mm", self.offset_mm, 0.0, 0.5 * self.outer_diameter_mm, "mm")
        within("tilt_ratio", self.tilt_ratio, 0.0, 1.0)
        if self.cutter_radius_mm is not None:
            above("cutter_radius_mm", self.cutter_radius_mm, 0.0, "mm")

    @property
    def ratio(self) -> float:
        """Ring-gear teeth over pinion teeth."""
        return self.ring_gear_teeth / self.pinion_teeth

    @property
    def pitch_rad(self) -> float:
        """Angle of the ring gear from one tooth to the next [rad]."""
        return 2.0 * math.pi / self.ring_gear_teeth


@dataclass(frozen=True, eq=False)
class PitchCones:
    """The pitch cones of a set and the frame at its mean point; lengths [mm], angles [°], vectors of shape (3,).

    `mean_point` lies in the middle of the face on the gear's pitch cone. `along` points along that cone's generator
    from toe to heel, `around` about the gear's axis, `outward` out of the cone, where the teeth point.
    """

    gear_set: GearSet
    gear_pitch_angle_deg: float
    pinion_pitch_angle_deg: float
    pinion_spiral_angle_deg: float
    offset_angle_deg: float
    limit_pressure_angle_deg: float
    mean_cone_distance_mm: float
    mean_radius_mm: float
    mean_point: Floats
    along: Floats
    around: Floats
    outward: Floats

    @property
    def outer_cone_distance_mm(self) -> float:
        """Cone distance of the ring gear at the heel [mm]."""
        return self.mean_cone_distance_mm + 0.5 * self.gear_set.face_width_mm

    @property
    def working_depth_mm(self) -> float:
        """Depth in which the teeth can touch, at the mean point [mm]: twice the mean normal module."""
        module = 2.0 * self.mean_radius_mm * math.cos(math.radians(self.gear_set.spiral_angle_deg))
        return DEPTH_FACTOR * module / self.gear_set.ring_gear_teeth

    @property
    def addendum_mm(self) -> float:
        """What of the working depth lies above the ring gear's pitch cone, at the mean point [mm]."""
        return gear_addendum_share(self.gear_set.ratio) * self.working_depth_mm

    @property
    def dedendum_mm(self) -> float:
        """What of the working depth lies below the ring gear's pitch cone, at the mean point [mm]."""
        return self.working_depth_mm - self.addendum_mm

    @property
    def is_cutter_typical(self) -> bool:
        """Whether the cutter's radius is a typical one instead of the drawing's."""
        return self.gear_set.cutter_radius_mm is None

    @property
    def cutter_radius_mm(self) -> float:
        """Radius of the cutter [mm]; typical, 0.92 of the mean cone distance, where the drawing's is not known."""
        known = self.gear_set.cutter_radius_mm
        return ASSUMED_CUTTER_RATIO * self.mean_cone_distance_mm if known is None else known

    def pressure_angle_deg(self, flank: Flank) -> float:
        """Return the normal pressure angle of a flank at the mean point [°]: α_n ± the limit pressure angle."""
        return self.gear_set.pressure_angle_deg + flank.sign * self.limit_pressure_angle_deg


@dataclass(frozen=True, eq=False)
class _Place:
    """A mean point that is tried, with its frame and the sliding there per unit of gear speed."""

    radius: float
    point: Floats
    along: Floats
    around: Floats
    outward: Floats
    sliding: Floats


def pitch_cones(gear_set: GearSet) -> PitchCones:
    """Return the pitch cones of a set.

    Without offset tan δ2 = u. With one, δ2 is the root nearest to it at which the sliding at the mean point is along
    the tooth: that point lies at sin η = E sin²δ2/r_m around the gear's axis, and there both cones have one tangent
    plane.

    Parameters
    ----------
    gear_set : GearSet
        The set as drawn.

    Returns
    -------
    PitchCones
        Angles, mean sizes and the frame at the mean point.

    Raises
    ------
    RangeError
        For an offset larger than the gear allows.

    Notes
    -----
    Derived. The limit pressure angle is that of ISO 23509 (formula from memory), 0 without offset. Check values of
    an invented set 9/41: 77.62° and 89.44 mm without offset; 74.13°, pinion spiral 50.9°, limit −3.51° at 25 mm.

    Examples
    --------
    >>> drawn = dict(pinion_teeth=9, ring_gear_teeth=41, outer_diameter_mm=205.0, face_width_mm=31.0,
    ...              spiral_angle_deg=35.0, pressure_angle_deg=20.0)
    >>> bevel, hypoid = pitch_cones(GearSet(**drawn)), pitch_cones(GearSet(**drawn, offset_mm=25.0))
    >>> round(bevel.gear_pitch_angle_deg, 2), round(bevel.mean_cone_distance_mm, 2)
    (77.62, 89.44)
    >>> round(hypoid.gear_pitch_angle_deg, 2), round(hypoid.pinion_spiral_angle_deg, 1)
    (74.13, 50.9)
    """
    angle = _gear_pitch_angle(gear_set)
    place = _place(gear_set, angle)
    cone_mm = place.radius / math.sin(angle)
    spiral = math.radians(gear_set.spiral_angle_deg)
    offset = np.array([0.0, gear_set.offset_mm, 0.0])
    # The pinion's apex is where its axis meets the common tangent plane.
    apex = np.array([(place.outward @ (place.point - offset)) / place.outward[0], 0.0, 0.0]) + offset
    pinion_cone_mm = float(np.linalg.norm(place.point - apex))
    pinion_along = (place.point - apex) / pinion_cone_mm
    pinion_angle = math.acos(pinion_along[0])
    pinion_spiral = math.acos(pinion_along @ _tooth(place, spiral))
    turn = math.atan2(float(np.linalg.norm(np.cross(pinion_along, place.along))), float(pinion_along @ place.along))
    limit = -math.atan(
        (math.tan(pinion_angle) * math.tan(angle) / math.cos(turn))
        * (pinion_cone_mm * math.sin(pinion_spiral) - cone_mm * math.sin(spiral))
        / (pinion_cone_mm * math.tan(pinion_angle) + cone_mm * math.tan(angle))
    )
    return PitchCones(
        gear_set,
        math.degrees(angle),
        math.degrees(pinion_angle),
        math.degrees(pinion_spiral),
        math.degrees(turn),
        math.degrees(limit),
        cone_mm,
        place.radius,
        place.point,
        place.along,
        place.around,
        place.outward,
    )


def _gear_pitch_angle(gear_set: GearSet) -> float:
    """Return the gear's pitch angle δ2 [rad]: of a set with offset the first root below the one without."""
    high = math.radians(pitch_angles(gear_set.ratio).gear_deg)
    if gear_set.offset_mm == 0.0:
        return high
    step = math.radians(0.25)
    while _across(gear_set, high - step) > 0.0:
        high -= step
    low = high - step
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _across(gear_set, middle) <= 0.0 else (low, middle)
    return 0.5 * (low + high)


def _across(gear_set: GearSet, angle: float) -> float:
    """Return the sliding across the tooth at a mean point that is tried [mm per rad of the gear]; 0 at the root."""
    place = _place(gear_set, angle)
    return float(np.cross(place.sliding, _tooth(place, math.radians(gear_set.spiral_angle_deg))) @ place.outward)


def _place(gear_set: GearSet, angle: float) -> _Place:
    radius = 0.5 * (gear_set.outer_diameter_mm - gear_set.face_width_mm * math.sin(angle))
    sine = gear_set.offset_mm * math.sin(angle) ** 2 / radius
    if sine >= 1.0 or angle <= 0.0:
        raise RangeError("offset_mm", gear_set.offset_mm, tr("smaller for a ring gear of this size and ratio"))
    around_angle = math.asin(sine)
    radial = np.array([math.cos(around_angle), math.sin(around_angle), 0.0])
    axial = np.array([0.0, 0.0, 1.0])
    point = radius * radial + radius / math.tan(angle) * axial
    along = math.sin(angle) * radial + math.cos(angle) * axial
    outward = math.cos(angle) * radial - math.sin(angle) * axial
    from_pinion = point - np.array([0.0, gear_set.offset_mm, 0.0])
    sliding = np.cross(axial, point) + gear_set.ratio * np.cross(np.array([1.0, 0.0, 0.0]), from_pinion)
    return _Place(radius, point, along, np.cross(axial, radial), outward, sliding)


def _tooth(place: _Place, spiral: float) -> Floats:
    """Return the direction of the tooth at the mean point, from toe to heel."""
    return math.cos(spiral) * place.along + math.sin(spiral) * place.around
