"""The ring gear's flanks: what a straight-sided cutter cone leaves, found at places of the tooth."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.errors import RangeError
from core.language import tr
from core.mechanics.checks import above, between
from core.mechanics.contact.geometry import Cut, Flank, Floats, PitchCones

MOST_STEPS = 40
CLOSE_MM = 1e-9
NUDGE = 1e-6
"""Newton's search for a place: so many steps, until it is that close [mm], slopes by so small a difference."""


@dataclass(frozen=True, eq=False)
class GearFlank:
    """One flank of a ring-gear tooth in its reference position, where the mean point meets the pinion.

    The cutter is a cone: `centre_mm` (2,) its centre in the plane in which it has the cutter's radius, `pressure_rad`
    its flank angle. `axes` (3, 3) are, as rows, that plane's directions along and across the tooth's generator and the
    direction into the gear's body; `origin_mm` (3,) is the plane's origin. Of a generated gear the plane is its pitch
    plane and the origin the apex: cutter and gear then roll on each other.
    """

    cones: PitchCones
    flank: Flank
    centre_mm: Floats
    pressure_rad: float
    axes: Floats
    origin_mm: Floats

    @property
    def is_rolled(self) -> bool:
        """Whether cutter and gear roll on each other."""
        return self.cones.gear_set.cut is Cut.GENERATED

    def surface(self, theta: Floats, height: Floats) -> tuple[Floats, Floats]:
        """Return points and normals of the flank at the cutter's own coordinates.

        Parameters
        ----------
        theta, height : ndarray
            Angle around the cutter [rad] and height above its plane toward the tooth's tip [mm], one shape (...).

        Returns
        -------
        tuple of ndarray
            Points [mm] and unit normals out of the tooth, both (..., 3), in the gear's frame.

        Notes
        -----
        Generated: the cutter has turned with the crown gear by ψ when it touches the gear, which is when its normal
        meets the pitch line: M_1 cos ψ = M_2 sin ψ with M = p × n. The gear has then turned by ψ/sin δ2.
        """
        side = self.flank.sign
        spoke = np.stack([np.cos(theta), np.sin(theta)], -1)
        radius = self.cones.cutter_radius_mm - side * height * math.tan(self.pressure_rad)
        flat = self.centre_mm + radius[..., None] * spoke
        inward = np.full_like(height, -math.sin(self.pressure_rad))[..., None]
        point = np.concatenate([flat, -height[..., None]], -1)
        normal = np.concatenate([side * math.cos(self.pressure_rad) * spoke, inward], -1)
        if not self.is_rolled:
            return point @ self.axes + self.origin_mm, normal @ self.axes
        moment = np.cross(point, normal)
        turn = np.arctan(moment[..., 0] / moment[..., 1])
        back = -turn / math.sin(math.radians(self.cones.gear_pitch_angle_deg))
        return (
            about_axis(about_axis(point, turn) @ self.axes, back),
            about_axis(about_axis(normal, turn) @ self.axes, back),
        )

    def locate(self, along: Floats, depth: Floats) -> tuple[Floats, Floats]:
        """Return the cutter's coordinates of places on the tooth.

        Parameters
        ----------
        along, depth : ndarray
            u from −1 at the toe to +1 at the heel, and v from −1 at the root side to +1 at the tip of the working
            depth, one shape (...); a little beyond is allowed.

        Returns
        -------
        tuple of ndarray
            Angle around the cutter [rad] and height above its plane [mm], both (...).

        Raises
        ------
        RangeError
            For a cutter that does not reach all of the places.

        Notes
        -----
        Newton's method on (cone distance, height above the pitch cone); the depth tapers with the cone distance.
        """
        cones = self.cones
        wanted_cone = cones.mean_cone_distance_mm + 0.5 * cones.gear_set.face_width_mm * along
        mean_height = -cones.dedendum_mm + 0.5 * (depth + 1.0) * cones.working_depth_mm
        wanted_height = mean_height * wanted_cone / cones.mean_cone_distance_mm
        theta = np.full_like(wanted_cone, self._mean_theta)
        height = wanted_height.copy()
        for _ in range(MOST_STEPS):
            at_cone, at_height = self._place(theta, height)
            off_cone, off_height = wanted_cone - at_cone, wanted_height - at_height
            if max(np.abs(off_cone).max(), np.abs(off_height).max()) < CLOSE_MM:
                return theta, height
            cone_t, height_t = np.subtract(self._place(theta + NUDGE, height), (at_cone, at_height))
            cone_h, height_h = np.subtract(self._place(theta, height + NUDGE), (at_cone, at_height))
            scale = NUDGE / (cone_t * height_h - cone_h * height_t)
            # Far from the place a straight step may overshoot the cutter's circle.
            theta = theta + np.clip((height_h * off_cone - cone_h * off_height) * scale, -0.1, 0.1)
            height = height + np.clip((cone_t * off_height - height_t * off_cone) * scale, -2.0, 2.0)
        raise RangeError("cutter_radius_mm", cones.cutter_radius_mm, tr("larger, so that the cutter reaches the face"))

    def at(self, along: Floats, depth: Floats) -> tuple[Floats, Floats]:
        """Return points and normals at places on the tooth: `surface` of `locate`."""
        return self.surface(*self.locate(along, depth))

    def at_mean_point(self) -> tuple[Floats, Floats]:
        """Return point and normal at the mean point, both (3,)."""
        return self.surface(np.array(self._mean_theta), np.array(0.0))

    @property
    def _mean_theta(self) -> float:
        """Where around the cutter the mean point lies [rad]."""
        mean_mm = self.cones.mean_cone_distance_mm if self.is_rolled else 0.0
        return math.atan2(-self.centre_mm[1], mean_mm - self.centre_mm[0])

    def _place(self, theta: Floats, height: Floats) -> tuple[Floats, Floats]:
        """Return cone distance and height above the gear's pitch cone [mm]."""
        point, _ = self.surface(theta, height)
        angle = math.radians(self.cones.gear_pitch_angle_deg)
        radius = np.hypot(point[..., 0], point[..., 1])
        return (
            radius * math.sin(angle) + point[..., 2] * math.cos(angle),
            radius * math.cos(angle) - point[..., 2] * math.sin(angle),
        )


def gear_flank(cones: PitchCones, flank: Flank) -> GearFlank:
    """Return a flank of the ring gear.

    The cutter touches the mean point with the flank's pressure angle and the gear's spiral angle. Of a generated gear,
    and of a formed one without tilt, its axis is square to the pitch cone; tilted, it leans toward being square to the
    root cone, and both angles are carried into the leaning frame.

    Parameters
    ----------
    cones : PitchCones
        The set's pitch cones.
    flank : Flank
        Which flank.

    Returns
    -------
    GearFlank
        The flank as a surface.

    Raises
    ------
    RangeError
        For a cutter too small to cut the face in one arc, or an offset that leaves a flank no pressure angle.

    Notes
    -----
    Textbook (Litvin, from memory). The tooth's trace is an arc of the cutter's circle: at heel and toe the sine of the
    spiral angle must stay below 1, which gives the smallest cutter.
    """
    _check_cutter(cones)
    pressure_deg = between(f"{flank} pressure angle", cones.pressure_angle_deg(flank), 0.0, 45.0, "°")
    spiral, pressure = math.radians(cones.gear_set.spiral_angle_deg), math.radians(pressure_deg)
    axes = np.array([cones.along, cones.around, -cones.outward])
    toward_centre = np.array([-math.sin(spiral), math.cos(spiral)])
    if cones.gear_set.cut is Cut.GENERATED:
        centre = np.array([cones.mean_cone_distance_mm, 0.0]) + cones.cutter_radius_mm * toward_centre
        return GearFlank(cones, flank, centre, pressure, axes, np.zeros(3))
    lean = cones.gear_set.tilt_ratio * math.atan2(cones.dedendum_mm, cones.mean_cone_distance_mm)
    normal = np.append(-flank.sign * math.cos(pressure) * toward_centre, -math.sin(pressure)) @ axes
    leaning = np.array([
        math.cos(lean) * cones.along - math.sin(lean) * cones.outward,
        cones.around,
        -math.cos(lean) * cones.outward - math.sin(lean) * cones.along,
    ])  # fmt: skip
    in_plane = leaning[:2] @ normal
    centre = -flank.sign * cones.cutter_radius_mm * in_plane / np.linalg.norm(in_plane)
    return GearFlank(cones, flank, centre, -math.asin(leaning[2] @ normal), leaning, cones.mean_point)


def about_axis(vectors: Floats, angle: Floats) -> Floats:
    """Return vectors (..., 3) turned about their third axis by angles (...) [rad]."""
    cosine, sine = np.cos(angle), np.sin(angle)
    first, second = vectors[..., 0], vectors[..., 1]
    return np.stack([first * cosine - second * sine, first * sine + second * cosine, vectors[..., 2]], -1)


def _check_cutter(cones: PitchCones) -> None:
    mean, sine = cones.mean_cone_distance_mm, math.sin(math.radians(cones.gear_set.spiral_angle_deg))
    heel = cones.outer_cone_distance_mm
    toe = 2.0 * mean - heel
    smallest = max((heel**2 - mean**2) / (heel - mean * sine), (mean**2 - toe**2) / (toe + mean * sine)) / 2.0
    above("cutter_radius_mm", cones.cutter_radius_mm, smallest, "mm")
