"""The set of a job as its card gives it, and which of its sizes had to be taken as usual."""

from __future__ import annotations

from dataclasses import dataclass

from core.language import mark
from core.mechanics.contact import Cut, GearSet, Hand
from core.stages.context import Context

USUAL_OUTER_DIAMETER_MM = 200.0
USUAL_FACE_RATIO = 0.15
USUAL_SPIRAL_DEG = 35.0
USUAL_PRESSURE_DEG = 20.0
"""Sizes of a passenger-car axle's set (common practice); the face over the outer diameter."""


@dataclass(frozen=True)
class DrawnSet:
    """A set, and what of it was not on the card, in words not translated yet."""

    gear_set: GearSet
    usual: tuple[str, ...]


def drawn_set(context: Context) -> DrawnSet:
    """Return the set of a job; what its card does not give is taken as usual and named.

    Parameters
    ----------
    context : Context
        The job.

    Raises
    ------
    RangeError
        The card gives sizes that no set can have.
    """
    card, job = context.card, context.job
    usual: list[str] = []

    def size(key: str, otherwise: float, label: str) -> float:
        value = card.number(key)
        if value is None:
            usual.append(label)
            return otherwise
        return value

    diameter_mm = size("gear_outer_diameter", USUAL_OUTER_DIAMETER_MM, mark("outer diameter"))
    offset_mm = card.number("pinion_offset") or 0.0
    cutter_mm = card.number("cutter_radius")
    if cutter_mm is None:
        usual.append(mark("cutter radius"))
    cut = card.text("gear_cut")
    if not cut:
        usual.append(mark("how it was cut"))
        # Large hypoid ring gears are mostly formed, sets without offset mostly generated.
        cut = "formed" if offset_mm else "generated"
    # The hand is not named where it is not known: it changes nothing that shims and rings do.
    return DrawnSet(
        GearSet(
            pinion_teeth=job.pinion_teeth,
            ring_gear_teeth=job.ring_gear_teeth,
            outer_diameter_mm=diameter_mm,
            face_width_mm=size("face_width", USUAL_FACE_RATIO * diameter_mm, mark("face width")),
            spiral_angle_deg=size("spiral_angle", USUAL_SPIRAL_DEG, mark("spiral angle")),
            pressure_angle_deg=size("pressure_angle", USUAL_PRESSURE_DEG, mark("pressure angle")),
            offset_mm=offset_mm,
            hand=Hand.LEFT if card.text("gear_hand") == "left" else Hand.RIGHT,
            cutter_radius_mm=cutter_mm,
            cut=Cut.FORMED if cut == "formed" else Cut.GENERATED,
        ),
        tuple(usual),
    )
