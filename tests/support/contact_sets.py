"""Invented ring and pinion sets for the tests of the contact."""

from __future__ import annotations

import math

from core.mechanics.contact import Cut, GearSet

DRAWN = {
    "pinion_teeth": 9,
    "ring_gear_teeth": 41,
    "outer_diameter_mm": 205.0,
    "face_width_mm": 31.0,
    "spiral_angle_deg": 35.0,
    "pressure_angle_deg": 20.0,
    "cutter_radius_mm": 82.55,
}
SET_A = {
    "bevel": GearSet(**DRAWN),
    "hypoid": GearSet(**DRAWN, offset_mm=25.0, cut=Cut.FORMED),
}
"""Set A of the check values: without offset and generated, and with 25 mm and formed by a cutter tilted to the root."""


def random_set(rng, *, is_hypoid=False, cut=Cut.GENERATED):
    """A set as final drives are: 7–15 pinion teeth, ratio 2.8–5, face 24–32 % of the cone, spiral 27–40°."""
    ratio, pinion_teeth = rng.uniform(2.8, 5.0), int(rng.integers(7, 16))
    outer_mm = rng.uniform(150.0, 300.0)
    cone_mm = 0.5 * outer_mm / math.sin(math.atan(ratio))
    face_mm = cone_mm * rng.uniform(0.24, 0.32)
    return GearSet(
        pinion_teeth=pinion_teeth,
        ring_gear_teeth=round(ratio * pinion_teeth),
        outer_diameter_mm=outer_mm,
        face_width_mm=face_mm,
        spiral_angle_deg=rng.uniform(27.0, 40.0),
        pressure_angle_deg=rng.uniform(18.0, 22.5),
        cutter_radius_mm=(cone_mm - 0.5 * face_mm) * rng.uniform(0.75, 1.15),
        offset_mm=outer_mm * rng.uniform(0.08, 0.16) if is_hypoid else 0.0,
        cut=cut,
        tilt_ratio=rng.uniform(0.0, 1.0),
    )
