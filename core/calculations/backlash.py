"""Calculations on backlash: what a move does to it, what a gauge shows of it, how it runs around the gear."""

from __future__ import annotations

import math

from core.calculations.declare import Calculation, Input, Result, Results
from core.calculations.shared import GEAR_TEETH, MEAN_SPIRAL_ANGLE, PINION_TEETH, PRESSURE_ANGLE, SHAFT_ANGLE
from core.language import mark
from core.mechanics.bevel import bevel_geometry
from core.mechanics.checks import within
from core.mechanics.lash import (
    backlash_from_angle_mm,
    circumferential_change_mm,
    lash_rates,
    move_for_change_mm,
    normal_change_mm,
    tangential_backlash_mm,
    tangential_from_normal_mm,
)
from core.mechanics.wheel import backlash_wheel

SUBJECT = mark("Backlash")
NO_OFFSET = mark(
    "Pairs without pinion offset; a hypoid gains more from its pinion: learn the rate from the first move."
)
DERIVED = mark("Derived geometry; checked against TM 9-2320-289-34, Table 6-1")


def _backlash_move(gear_pitch_angle: float, pressure_angle: float, spiral_angle: float, move: float) -> Results:
    return {
        "normal_change": normal_change_mm(move, gear_pitch_angle, pressure_angle),
        "circumferential_change": circumferential_change_mm(move, gear_pitch_angle, pressure_angle, spiral_angle),
    }


def _backlash_rates(
    pinion_teeth: int,
    gear_teeth: int,
    shaft_angle: float,
    gear_outer_diameter: float,
    face_width: float,
    mean_spiral_angle: float,
    pressure_angle: float,
    moved: str,
) -> Results:
    pair = bevel_geometry(pinion_teeth, gear_teeth, gear_outer_diameter, face_width, mean_spiral_angle, shaft_angle)
    # Beyond half the cone distance, which no pair has, the cutter's circle would not reach the heel.
    within("face_width", face_width, 0.0, 0.5 * pair.outer_cone_distance_mm, "mm")
    # Beyond it one of the two is an internal gear: its pitch angle passes 90°.
    flattest = math.degrees(math.acos(-min(pair.ratio, 1.0 / pair.ratio)))
    within("shaft_angle", shaft_angle, 0.0, flattest, "°")
    rates = lash_rates(pair, pressure_angle, is_pinion=moved == "pinion")
    return {
        "normal_heel": rates.normal_heel_ratio,
        "circumferential_heel": rates.circumferential_heel_ratio,
        "normal_mean": rates.normal_mean_ratio,
        "circumferential_mean": rates.circumferential_mean_ratio,
    }


def _move_for_backlash(found: float, wanted: float, rate: float) -> Results:
    return {"move": move_for_change_mm(wanted - found, rate)}


def _gauge_correction(reading: float, gauge_radius: float, reference_radius: float, stem_angle: float) -> Results:
    return {"backlash": tangential_backlash_mm(reading, gauge_radius, reference_radius, stem_angle)}


def _backlash_from_angle(angle: float, reference_radius: float, ratio: float) -> Results:
    return {"backlash": backlash_from_angle_mm(angle, reference_radius, ratio)}


def _normal_backlash(normal: float, pressure_angle: float, spiral_angle: float) -> Results:
    return {"circumferential": tangential_from_normal_mm(normal, pressure_angle, spiral_angle)}


def _backlash_wheel(readings: tuple[float, ...]) -> Results:
    wheel = backlash_wheel(readings)
    return {
        "mean": wheel.mean_mm,
        "smallest": wheel.smallest_mm,
        "largest": wheel.largest_mm,
        "variation": wheel.range_mm,
        "amplitude": wheel.amplitude_mm,
        "high_spot_angle": wheel.high_spot_deg,
        "tightest": wheel.tightest_mm,
        "tightest_angle": wheel.tightest_deg,
    }


SPIRAL_ANGLE = Input("spiral_angle", mark("Mean spiral angle (35° is common practice)"), "angle", default="35")

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "backlash-move",
        mark("Backlash gained by a move"),
        SUBJECT,
        (
            Input(
                "gear_pitch_angle",
                mark("Pitch angle of the gear that moves"),
                "angle",
                measured=mark("The ring gear's for a move of the ring gear, the pinion's for a move of the pinion."),
                rule_names=("pitch_angle_deg",),
            ),
            PRESSURE_ANGLE,
            SPIRAL_ANGLE,
            Input(
                "move",
                mark("Move along its own axis"),
                "length",
                measured=mark("Positive takes the gear away from its mate."),
            ),
        ),
        (
            Result("normal_change", mark("Normal backlash gained"), "length", decimals=4),
            Result("circumferential_change", mark("Circumferential backlash gained"), "length", decimals=4),
        ),
        _backlash_move,
        mark("Δj_n = 2 ΔA sin δ sin α_n; Δj_t = 2 ΔA sin δ tan α_n/cos β, both at the mean radius"),
        DERIVED,
        NO_OFFSET,
        figure="backlash_move",
    ),
    Calculation(
        "backlash-rates",
        mark("What a move is worth at each place it can be read"),
        SUBJECT,
        (
            PINION_TEETH,
            GEAR_TEETH,
            SHAFT_ANGLE,
            Input("gear_outer_diameter", mark("Ring-gear outer pitch diameter"), "length"),
            Input("face_width", mark("Face width"), "length", measured=mark("Along the tooth, from toe to heel.")),
            MEAN_SPIRAL_ANGLE,
            PRESSURE_ANGLE,
            Input(
                "moved",
                mark("What moves"),
                "choice",
                choices=(("ring-gear", mark("the ring gear")), ("pinion", mark("the pinion"))),
            ),
        ),
        (
            Result("normal_heel", mark("Stem square to the tooth at the heel, per length moved"), "ratio"),
            Result("circumferential_heel", mark("Stem along the tangent at the heel, per length moved"), "ratio"),
            Result("normal_mean", mark("Normal backlash at the mean radius, per length moved"), "ratio"),
            Result("circumferential_mean", mark("Circumferential at the mean radius, per length moved"), "ratio"),
        ),
        _backlash_rates,
        mark("mean: 2 sin δ sin α_n and 2 sin δ tan α_n/cos β_m; heel: R_e/R_m of it, cos α_n cos β_e of that"),
        DERIVED,
        mark("Pairs without pinion offset; the cutter radius is assumed: 0.92 of the mean cone distance."),
        figure="backlash_move",
    ),
    Calculation(
        "move-for-backlash",
        mark("Move that brings backlash where it is wanted"),
        SUBJECT,
        (
            Input("found", mark("Backlash found"), "length"),
            Input("wanted", mark("Backlash wanted"), "length", measured=mark("Read in the same way and place.")),
            Input(
                "rate",
                mark("Backlash gained per length moved"),
                "ratio",
                measured=mark("From backlash-rates, or better from the last move: backlash gained over move."),
                rule_names=("rate_ratio",),
            ),
        ),
        (Result("move", mark("Move; positive away from its mate"), "length"),),
        _move_for_backlash,
        mark("move = (wanted − found)/rate"),
        mark("Derived geometry"),
        figure="backlash_move",
    ),
    Calculation(
        "gauge-correction",
        mark("Backlash from a dial set off its place"),
        SUBJECT,
        (
            Input("reading", mark("Reading"), "length"),
            Input(
                "gauge_radius",
                mark("Radius the stem touches at"),
                "length",
                measured=mark("From the axis of the ring gear to the tip of the stem."),
            ),
            Input("reference_radius", mark("Radius the limit is for"), "length"),
            Input(
                "stem_angle",
                mark("Stem off the tangent (0: along it)"),
                "angle",
                default="0",
                measured=mark("A stem square to the tooth reads normal backlash: there it takes no angle; leave it 0."),
            ),
        ),
        (Result("backlash", mark("Backlash at the radius of the limit"), "length"),),
        _gauge_correction,
        mark("j = reading/cos ψ · r/r_gauge"),
        mark("Derived geometry"),
        mark("A stem within 75° of the tangent."),
        figure="gauge_correction",
    ),
    Calculation(
        "backlash-from-angle",
        mark("Backlash from play at a flange or at the pinion"),
        SUBJECT,
        (
            Input("angle", mark("Angle of play"), "angle"),
            Input("reference_radius", mark("Radius on the ring gear the limit is for"), "length"),
            Input(
                "ratio",
                mark("Ratio between there and the ring gear"),
                "ratio",
                measured=mark("1 at a flange that turns with the ring gear, the final-drive ratio at the pinion."),
            ),
        ),
        (Result("backlash", mark("Circumferential backlash"), "length"),),
        _backlash_from_angle,
        mark("j = r · angle in radians/ratio"),
        mark("Derived geometry"),
        mark("Up to 45°. Play of splines and differential gears adds to the angle."),
    ),
    Calculation(
        "normal-backlash",
        mark("Circumferential backlash from normal backlash"),
        SUBJECT,
        (
            Input("normal", mark("Normal backlash"), "length", measured=mark("Stem square to the tooth.")),
            PRESSURE_ANGLE,
            Input("spiral_angle", mark("Spiral angle where it was read"), "angle"),
        ),
        (Result("circumferential", mark("Circumferential backlash there"), "length"),),
        _normal_backlash,
        mark("j_t = j_n/(cos β cos α_n)"),
        mark("ISO 23509:2016 (from memory)"),
    ),
    Calculation(
        "backlash-wheel",
        mark("Backlash around the gear"),
        SUBJECT,
        (
            Input(
                "readings",
                mark("Readings around the gear"),
                "length",
                measured=mark("Evenly spaced all around, starting at the mark; three or more."),
                is_list=True,
                rule_names=("number of readings", "reading_mm", "number of different places"),
            ),
        ),
        (
            Result("mean", mark("Mean"), "length"),
            Result("smallest", mark("Smallest"), "length"),
            Result("largest", mark("Largest"), "length"),
            Result("variation", mark("Variation, largest minus smallest"), "length"),
            Result("amplitude", mark("Once-a-turn amplitude (half the runout)"), "length", decimals=4),
            Result("high_spot_angle", mark("High spot at"), "angle", decimals=0),
            Result("tightest", mark("Tightest, also between the places"), "length"),
            Result("tightest_angle", mark("Tightest at"), "angle", decimals=0),
        ),
        _backlash_wheel,
        mark("j(φ) = mean + a cos φ + b sin φ by least squares; amplitude √(a² + b²)"),
        mark("First harmonic by least squares; textbook"),
        figure="wheel",
    ),
)
