"""Calculations on the gear pair: its geometry, its ratio, what a move does to the backlash, what readings say."""

from __future__ import annotations

from collections.abc import Mapping

from core.calculations.declare import Calculation, Input, Result, Value
from core.language import mark, tr
from core.mechanics.bevel import bevel_geometry, gear_ratio, is_hunting
from core.mechanics.lash import (
    circumferential_change_mm,
    normal_change_mm,
    recommended_backlash_mm,
    tangential_backlash_mm,
)
from core.mechanics.wheel import backlash_wheel

SUBJECT = mark("Gears and backlash")

PINION_TEETH = Input("pinion_teeth", mark("Pinion teeth"), "count")
GEAR_TEETH = Input("gear_teeth", mark("Ring-gear teeth"), "count")
PRESSURE_ANGLE = Input("pressure_angle", mark("Normal pressure angle"), "angle", "deg", "20")


def _bevel_geometry(
    pinion_teeth: int,
    gear_teeth: int,
    shaft_angle: float,
    gear_outer_diameter: float,
    face_width: float,
    mean_spiral_angle: float,
) -> Mapping[str, Value]:
    g = bevel_geometry(pinion_teeth, gear_teeth, gear_outer_diameter, face_width, mean_spiral_angle, shaft_angle)
    return {
        "ratio": g.ratio,
        "pinion_pitch_angle": g.pinion_pitch_angle_deg,
        "gear_pitch_angle": g.gear_pitch_angle_deg,
        "outer_cone_distance": g.outer_cone_distance_mm,
        "mean_cone_distance": g.mean_cone_distance_mm,
        "gear_mean_diameter": g.gear_mean_diameter_mm,
        "mean_normal_module": g.mean_normal_module_mm,
    }


def _tooth_pair(pinion_teeth: int, gear_teeth: int) -> Mapping[str, Value]:
    hunts = is_hunting(pinion_teeth, gear_teeth)
    return {"ratio": gear_ratio(pinion_teeth, gear_teeth), "hunting": tr("yes") if hunts else tr("no")}


def _backlash_move(
    gear_pitch_angle: float, pressure_angle: float, spiral_angle: float, move: float
) -> Mapping[str, Value]:
    return {
        "normal_change": normal_change_mm(move, gear_pitch_angle, pressure_angle),
        "circumferential_change": circumferential_change_mm(move, gear_pitch_angle, pressure_angle, spiral_angle),
    }


def _gauge_correction(
    reading: float, gauge_radius: float, reference_radius: float, stem_angle: float
) -> Mapping[str, Value]:
    return {"backlash": tangential_backlash_mm(reading, gauge_radius, reference_radius, stem_angle)}


def _backlash_wheel(readings: tuple[float, ...]) -> Mapping[str, Value]:
    wheel = backlash_wheel(readings)
    return {
        "mean": wheel.mean_mm,
        "smallest": wheel.smallest_mm,
        "largest": wheel.largest_mm,
        "amplitude": wheel.amplitude_mm,
        "high_spot_angle": wheel.high_spot_deg,
        "tightest": wheel.tightest_mm,
        "tightest_angle": wheel.tightest_deg,
    }


def _recommended_backlash(outer_module: float) -> Mapping[str, Value]:
    low_mm, high_mm = recommended_backlash_mm(outer_module)
    return {"smallest": low_mm, "largest": high_mm}


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "bevel-geometry",
        mark("Geometry of a bevel pair"),
        SUBJECT,
        (
            PINION_TEETH,
            GEAR_TEETH,
            Input("shaft_angle", mark("Shaft angle"), "angle", "deg", "90"),
            Input(
                "gear_outer_diameter",
                mark("Ring-gear outer pitch diameter"),
                "length",
                "mm",
                measured=mark("Across the heel of the teeth, on the pitch cone."),
            ),
            Input(
                "face_width", mark("Face width"), "length", "mm", measured=mark("Along the tooth, from toe to heel.")
            ),
            Input("mean_spiral_angle", mark("Mean spiral angle"), "angle", "deg", "35"),
        ),
        (
            Result("ratio", mark("Ratio"), "ratio"),
            Result("pinion_pitch_angle", mark("Pinion pitch angle"), "angle", "deg"),
            Result("gear_pitch_angle", mark("Ring-gear pitch angle"), "angle", "deg"),
            Result("outer_cone_distance", mark("Outer cone distance"), "length", "mm"),
            Result("mean_cone_distance", mark("Mean cone distance"), "length", "mm"),
            Result("gear_mean_diameter", mark("Ring-gear mean diameter"), "length", "mm"),
            Result("mean_normal_module", mark("Mean normal module"), "length", "mm"),
        ),
        _bevel_geometry,
        mark("tan δ1 = sin Σ/(u + cos Σ), δ2 = Σ − δ1; R_e = d_e2/(2 sin δ2); R_m = R_e − b/2; m_mn = d_m2 cos β_m/z2"),
        mark("ISO 23509:2016"),
        mark("Pairs without pinion offset."),
        "bevel",
    ),
    Calculation(
        "tooth-pair",
        mark("Ratio and hunting"),
        SUBJECT,
        (PINION_TEETH, GEAR_TEETH),
        (Result("ratio", mark("Ratio"), "ratio"), Result("hunting", mark("Hunting"), "text")),
        _tooth_pair,
        mark("u = z2/z1; the pair hunts when the counts share no factor"),
        mark("ISO 23509:2016; hunting: number theory"),
    ),
    Calculation(
        "backlash-move",
        mark("Backlash gained by a move"),
        SUBJECT,
        (
            Input("gear_pitch_angle", mark("Pitch angle of the moved gear"), "angle", "deg"),
            PRESSURE_ANGLE,
            Input("spiral_angle", mark("Mean spiral angle"), "angle", "deg", "35"),
            Input(
                "move",
                mark("Move along its own axis"),
                "length",
                "mm",
                measured=mark("Positive takes the gear away from its mate."),
            ),
        ),
        (
            Result("normal_change", mark("Normal backlash gained"), "length", "mm"),
            Result("circumferential_change", mark("Circumferential backlash gained"), "length", "mm"),
        ),
        _backlash_move,
        mark("Δj_n = 2 ΔA sin δ sin α_n; Δj_t = 2 ΔA sin δ tan α_n/cos β, both at the mean radius"),
        mark("Derived; checked against TM 9-2320-289-34, Table 6-1"),
        mark("Pairs without pinion offset; a hypoid gains more from its pinion."),
        "backlash_move",
    ),
    Calculation(
        "gauge-correction",
        mark("Backlash from a dial set off its place"),
        SUBJECT,
        (
            Input("reading", mark("Reading"), "length", "mm"),
            Input(
                "gauge_radius",
                mark("Radius the stem touches at"),
                "length",
                "mm",
                measured=mark("From the axis of the ring gear to the tip of the stem."),
            ),
            Input("reference_radius", mark("Radius the limit is for"), "length", "mm"),
            Input(
                "stem_angle",
                mark("Stem off the tangent"),
                "angle",
                "deg",
                "0",
                measured=mark("0 along the tangent; a stem square to the tooth reads normal backlash: leave it 0."),
            ),
        ),
        (Result("backlash", mark("Backlash at the radius of the limit"), "length", "mm"),),
        _gauge_correction,
        mark("j = reading/cos ψ · r/r_gauge"),
        mark("Derived geometry"),
        mark("A stem less than 60° off the tangent."),
        "gauge_correction",
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
                "mm",
                measured=mark("Evenly spaced, starting at the mark; three or more."),
                is_list=True,
            ),
        ),
        (
            Result("mean", mark("Mean"), "length", "mm"),
            Result("smallest", mark("Smallest"), "length", "mm"),
            Result("largest", mark("Largest"), "length", "mm"),
            Result("amplitude", mark("Once-a-turn amplitude"), "length", "mm"),
            Result("high_spot_angle", mark("High spot at"), "angle", "deg"),
            Result("tightest", mark("Tightest, also between the places"), "length", "mm"),
            Result("tightest_angle", mark("Tightest at"), "angle", "deg"),
        ),
        _backlash_wheel,
        mark("j(φ) = mean + a cos φ + b sin φ by least squares; amplitude √(a² + b²)"),
        mark("First harmonic, least squares"),
    ),
    Calculation(
        "recommended-backlash",
        mark("Backlash recommended for a tooth size"),
        SUBJECT,
        (Input("outer_module", mark("Outer transverse module"), "length", "mm"),),
        (
            Result("smallest", mark("From"), "length", "mm"),
            Result("largest", mark("To"), "length", "mm"),
        ),
        _recommended_backlash,
        mark("Table by diametral pitch 25.4/m, quality 7–13"),
        mark("AGMA bevel backlash table by diametral pitch"),
    ),
)
