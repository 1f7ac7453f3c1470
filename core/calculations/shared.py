"""Inputs that several calculations ask for in the same words."""

from __future__ import annotations

from core.calculations.declare import Input
from core.language import mark
from core.mechanics.checks import within
from core.mechanics.threads import PROPERTY_CLASSES, property_class, thread, thread_names

YES_NO = (("yes", mark("yes")), ("no", mark("no")))

PINION_TEETH = Input("pinion_teeth", mark("Pinion teeth"), "count")
GEAR_TEETH = Input("gear_teeth", mark("Ring-gear teeth"), "count", rule_names=("ring_gear_teeth",))
SHAFT_ANGLE = Input(
    "shaft_angle", mark("Shaft angle (90° in nearly every axle)"), "angle", default="90", rule_names=("ratio",)
)
PRESSURE_ANGLE = Input("pressure_angle", mark("Normal pressure angle (20° is the standard's)"), "angle", default="20")
MEAN_SPIRAL_ANGLE = Input(
    "mean_spiral_angle",
    mark("Mean spiral angle (35° is common practice)"),
    "angle",
    default="35",
    measured=mark("Between the tooth and a line to the pitch apex, in the middle of the face."),
    rule_names=("spiral_angle_deg",),
)
RATIO = Input("ratio", mark("Final-drive ratio, ring-gear teeth over pinion teeth"), "ratio")

THREAD = Input(
    "thread",
    mark("Thread, such as M12 (coarse) or M12x1.25"),
    "text",
    choices=tuple((name, name) for name in thread_names()),
    read=thread,
)
PROPERTY_CLASS = Input(
    "property_class",
    mark("Property class on the bolt's head"),
    "text",
    choices=tuple((name, name) for name in PROPERTY_CLASSES),
    read=property_class,
)
FRICTION = Input(
    "friction",
    mark("Friction in the thread and under the head"),
    "ratio",
    measured=mark("Oiled about 0.10 to 0.14, dry 0.14 to 0.20 (from memory): the least there may be pulls hardest."),
    rule_names=("thread_friction", "head_friction", "least_friction"),
)

AMBIENT = Input(
    "ambient",
    mark("Temperature of the shop (20 °C is the standard's for measuring)"),
    "temperature",
    default="20",
    rule_names=("ambient_c",),
)

RESOLUTION = Input("resolution", mark("Smallest step of the gauge"), "length")
STATED_ERROR = Input(
    "stated_error",
    mark("Stated error of the gauge, ±"),
    "length",
    measured=mark("From its calibration or its maker's data sheet."),
    rule_names=("half_width",),
)
STANDARD_DEVIATION = Input(
    "standard_deviation",
    mark("Standard deviation of one reading"),
    "length",
    measured=mark("From repeating one reading, the gauge taken off each time; 0 where nothing scatters."),
    rule_names=("deviation",),
)
READINGS = Input("readings", mark("Readings in the mean"), "count")

# What any solid material lies within; a bare 12 meant as millionths is refused by it instead of melting the bench.
LEAST_EXPANSION_PER_K = 1e-7
MOST_EXPANSION_PER_K = 1e-3
LEAST_YOUNG_MPA = 1e3
MOST_YOUNG_MPA = 1e6


def checked_expansion(key: str, per_k: float) -> float:
    """Return a thermal expansion [1/K] that a material can have; RangeError for any other."""
    return within(key, per_k, LEAST_EXPANSION_PER_K, MOST_EXPANSION_PER_K, "1/K")


def checked_young(key: str, mpa: float) -> float:
    """Return a Young's modulus [MPa] that a metal or plastic can have; RangeError for any other."""
    return within(key, mpa, LEAST_YOUNG_MPA, MOST_YOUNG_MPA, "MPa")
