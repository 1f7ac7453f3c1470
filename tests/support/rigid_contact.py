"""An independent judge of the contact model: two rigid bodies turned through and searched for where they touch.

From the model it takes the gear's flank as a surface and nothing else. The pinion's flank is the envelope of that
surface, its crown is laid on the pinion itself, and both bodies are moved as bodies. At each roll and for each point of
the gear's flank three equations are solved: by what turn of the gear, and where on the pinion, do the two touch? The
gear then turns until the first point of any tooth touches; what is left at a point, at its closest over all rolls, is
its gap.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

X, Y, Z = np.eye(3)


def turned(vectors, angle, axis):
    """Turn vectors (..., 3) about a unit axis by angles (...), right-handed (Rodrigues)."""
    cosine, sine = np.cos(angle)[..., None], np.sin(angle)[..., None]
    return cosine * vectors + sine * np.cross(axis, vectors) + (1.0 - cosine) * (vectors @ axis)[..., None] * axis


@dataclass(frozen=True)
class Move:
    """Pinion withdrawn, gear withdrawn, pinion's axis along y [mm]."""

    pinion: float = 0.0
    gear: float = 0.0
    offset: float = 0.0


@dataclass
class RigidPair:
    """A gear flank and the pinion it envelops; a left-hand set is built as what it is, a mirrored body."""

    flank: object
    length_crown: float
    profile_crown: float
    mirror: int = 1

    def __post_init__(self):
        self.cones = self.flank.cones
        self.ratio = self.cones.gear_set.ratio
        self.axis_y = self.mirror * self.cones.gear_set.offset_mm * Y

    def gear(self, theta, height):
        point, normal = self.flank.surface(theta, height)
        hand = np.array([1.0, self.mirror, 1.0])
        return point * hand, normal * hand

    def place(self, point):
        """Where on the tooth a point of the gear lies, as u and v."""
        angle = math.radians(self.cones.gear_pitch_angle_deg)
        radius = np.hypot(point[..., 0], point[..., 1])
        cone = radius * math.sin(angle) + point[..., 2] * math.cos(angle)
        height = radius * math.cos(angle) - point[..., 2] * math.sin(angle)
        share = height * self.cones.mean_cone_distance_mm / cone
        return (
            (cone - self.cones.mean_cone_distance_mm) / (0.5 * self.cones.gear_set.face_width_mm),
            2.0 * (share + self.cones.dedendum_mm) / self.cones.working_depth_mm - 1.0,
        )

    def sliding(self, point, normal, roll):
        """The part of the sliding along the normal when the gear has turned by `roll`; 0 at contact."""
        at, out = turned(point, roll, Z), turned(normal, roll, Z)
        return (out * (np.cross(Z, at) + self.ratio * np.cross(X, at - self.axis_y))).sum(-1)

    def instant(self, point, normal, guess):
        """Roll of the gear at which its point meets the pinion."""
        roll, nudge = guess, 1e-5
        for _ in range(30):
            here = self.sliding(point, normal, roll)
            after = self.sliding(point, normal, roll + nudge)
            before = self.sliding(point, normal, roll - nudge)
            step = here * 2.0 * nudge / (after - before)
            roll = roll - step
            if np.abs(step).max() < 1e-13:
                break
        return roll

    def pinion(self, theta, height, guess):
        """The pinion's flank, crowned, in its own body as it stands when the gear has not turned."""
        point, normal = self.gear(theta, height)
        roll = self.instant(point, normal, guess)
        along, depth = self.place(point)
        crown = self.length_crown * along**2 + self.profile_crown * depth**2
        met, out = turned(point, roll, Z) - self.axis_y, turned(normal, roll, Z)
        return turned(met + crown[..., None] * out, self.ratio * roll, X), roll

    def touching(self, gear_point, roll, move, start):
        """Where on the pinion a gear's points (...) come to lie, after what turn of the gear from `roll`, and whether.

        `start` and what is returned are (angle around the cutter, height above its plane, turn [rad], instant [rad]).
        """
        t, h, turn, met = start
        nudge = 1e-6
        seat = self.axis_y + np.array([move.pinion, move.offset, -move.gear])

        def pinion(t, h):
            found, at = self.pinion(t, h, met)
            return turned(found, -self.ratio * roll, X) + seat, at

        for _ in range(12):
            here, met = pinion(t, h)
            gear = turned(gear_point, roll + turn, Z)
            by_t, by_h = (pinion(t + nudge, h)[0] - here) / nudge, (pinion(t, h + nudge)[0] - here) / nudge
            matrix = np.stack([by_t, by_h, -np.cross(Z, gear)], -1)
            step = np.linalg.solve(matrix, (gear - here)[..., None])[..., 0]
            t, h, turn = t + step[..., 0], h + step[..., 1], turn + step[..., 2]
            if np.abs(step[..., 2]).max() < 1e-12:
                break
        # A turn of half a millimetre and more is another branch of the pinion's surface, not its flank.
        is_met = (np.abs(step[..., 2]) < 1e-10) & (np.abs(turn) * self.cones.mean_radius_mm < 0.5)
        return tuple(
            np.where(is_met, now, before) for now, before in zip((t, h, turn, met), start, strict=True)
        ), is_met

    def gap(self, move, places=(40, 20), steps=24, window=4):
        """Smallest gap over all rolls at places (n, m) of the flank [mm]; `steps` rolls in a pitch."""
        along, depth = np.meshgrid(*(np.linspace(-1.0, 1.0, n) for n in places), indexing="ij")
        theta, height = self.flank.locate(along, depth)
        point, normal = self.gear(theta, height)
        lever = np.cross(point, normal)[..., 2]
        own = self.instant(point, normal, np.zeros_like(theta))
        step = self.cones.gear_set.pitch_rad / steps
        nearest = np.rint(own / step).astype(int)
        first = nearest.min() - window
        opening = np.full((nearest.max() + window - first + 1, *places), np.inf)
        i, j = np.indices(places)
        for outward in (1, -1):
            # Each roll starts from where the one before it, nearer to the point's own instant, was found.
            found = (theta, height, np.zeros_like(theta), own)
            for k in range(window + 1):
                roll = nearest + outward * k
                found, is_met = self.touching(point, roll * step, move, found)
                # Away from its instant a point at the gear's tip may meet nothing: the pinion's flank ends there.
                assert is_met.all() or k > 1
                opening[roll - first, i, j] = np.where(is_met, found[2] * np.sign(lever), np.inf)
        # The first to touch at each roll: lowest along every row, then over rows and over the neighbouring teeth.
        lowest = vertex(np.moveaxis(opening, 1, 0)).min(-1)
        level = np.full(steps, np.inf)
        np.minimum.at(level, (np.arange(len(lowest)) + first) % steps, lowest)
        left = opening - level[(np.arange(len(opening)) + first) % steps][:, None, None]
        return vertex(left) * np.abs(lever)


def vertex(values):
    """Least value along the first axis, by a parabola through the lowest and both beside it where there are such."""
    lowest = np.clip(values.argmin(0), 1, len(values) - 2)[None]
    before, middle, after = (np.take_along_axis(values, lowest + k, 0)[0] for k in (-1, 0, 1))
    least = values.min(0)
    is_inside = (middle == least) & np.isfinite(before + middle + after)
    before, middle, after = (np.where(is_inside, value, 0.0) for value in (before, middle, after))
    bend = before - 2.0 * middle + after
    drop = np.divide((after - before) ** 2, 8.0 * bend, out=np.zeros_like(bend), where=bend > 0.0)
    return least - drop


def centre(gap, film):
    """Centre of the print [%] from toe and root side: the gap drawn finely and counted."""
    fine = (np.linspace(0.0, 1.0, 601), np.linspace(0.0, 1.0, 301))
    coarse = [np.linspace(0.0, 1.0, n) for n in gap.shape]
    rows = np.stack([np.interp(fine[0], coarse[0], column) for column in gap.T], 1)
    drawn = np.stack([np.interp(fine[1], coarse[1], row) for row in rows])
    is_marked = drawn < film
    x, y = np.meshgrid(*fine, indexing="ij")
    return 100.0 * x[is_marked].mean(), 100.0 * y[is_marked].mean()
