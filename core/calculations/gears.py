"""Calculations on the gear pair: its geometry, its ratio, how much backlash its teeth want."""

from __future__ import annotations

from core.calculations.declare import Calculation, Input, Result, Results
from core.calculations.shared import GEAR_TEETH, MEAN_SPIRAL_ANGLE, PINION_TEETH, RATIO, SHAFT_ANGLE, YES_NO
from core.language import mark
from core.mechanics.bevel import bevel_geometry, gear_ratio, is_hunting
from core.mechanics.hypoid import hypoid_offset_angle_deg, hypoid_pinion_mean_diameter_mm
from core.mechanics.recommended import recommended_backlash_mm

SUBJECT = mark("Gears")


def _bevel_geometry(
    pinion_teeth: int,
    gear_teeth: int,
    shaft_angle: float,
    gear_outer_diameter: float,
    face_width: float,
    mean_spiral_angle: float,
) -> Results:
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


def _tooth_pair(pinion_teeth: int, gear_teeth: int) -> Results:
    hunts = is_hunting(pinion_teeth, gear_teeth)
    return {"ratio": gear_ratio(pinion_teeth, gear_teeth), "hunting": "yes" if hunts else "no"}


def _hypoid_pinion(
    gear_mean_diameter: float, ratio: float, pinion_spiral_angle: float, gear_spiral_angle: float
) -> Results:
    return {
        "pinion_mean_diameter": hypoid_pinion_mean_diameter_mm(
            gear_mean_diameter, ratio, pinion_spiral_angle, gear_spiral_angle
        ),
        "offset_angle": hypoid_offset_angle_deg(pinion_spiral_angle, gear_spiral_angle),
    }


def _recommended_backlash(outer_module: float, quality: str) -> Results:
    low_mm, high_mm = recommended_backlash_mm(outer_module, is_fine_quality=quality == "fine")
    return {"smallest": low_mm, "largest": high_mm}


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "bevel-geometry",
        mark("Geometry of a bevel pair"),
        SUBJECT,
        (
            PINION_TEETH,
            GEAR_TEETH,
            SHAFT_ANGLE,
            Input(
                "gear_outer_diameter",
                mark("Ring-gear outer pitch diameter"),
                "length",
                measured=mark("Across the heel of the teeth, on the pitch cone."),
            ),
            Input("face_width", mark("Face width"), "length", measured=mark("Along the tooth, from toe to heel.")),
            MEAN_SPIRAL_ANGLE,
        ),
        (
            Result("ratio", mark("Ratio"), "ratio"),
            Result("pinion_pitch_angle", mark("Pinion pitch angle"), "angle", decimals=4),
            Result("gear_pitch_angle", mark("Ring-gear pitch angle"), "angle", decimals=4),
            Result("outer_cone_distance", mark("Outer cone distance"), "length"),
            Result("mean_cone_distance", mark("Mean cone distance"), "length"),
            Result("gear_mean_diameter", mark("Ring-gear mean diameter"), "length"),
            Result("mean_normal_module", mark("Mean normal module"), "length"),
        ),
        _bevel_geometry,
        mark("tan δ1 = sin Σ/(u + cos Σ), δ2 = Σ − δ1; R_e = d_e2/(2 sin δ2); R_m = R_e − b/2; m_mn = d_m2 cos β_m/z2"),
        mark("ISO 23509:2016"),
        mark("Pairs without pinion offset."),
        figure="bevel",
    ),
    Calculation(
        "tooth-pair",
        mark("Ratio and hunting"),
        SUBJECT,
        (PINION_TEETH, GEAR_TEETH),
        (Result("ratio", mark("Ratio"), "ratio"), Result("hunting", mark("Hunting"), "yes_no", choices=YES_NO)),
        _tooth_pair,
        mark("u = z2/z1; the pair hunts when the counts share no factor"),
        mark("Ratio: ISO 23509:2016; hunting: plain arithmetic"),
    ),
    Calculation(
        "hypoid-pinion",
        mark("How much larger an offset makes the pinion"),
        SUBJECT,
        (
            Input("gear_mean_diameter", mark("Ring-gear mean diameter"), "length"),
            RATIO,
            Input("pinion_spiral_angle", mark("Mean spiral angle of the pinion"), "angle"),
            Input("gear_spiral_angle", mark("Mean spiral angle of the ring gear"), "angle"),
        ),
        (
            Result("pinion_mean_diameter", mark("Pinion mean diameter"), "length"),
            Result("offset_angle", mark("Offset angle in the pitch plane"), "angle"),
        ),
        _hypoid_pinion,
        mark("d_m1 = d_m2 cos β_m2/(u cos β_m1); ζ = β_m1 − β_m2"),
        mark("Identities of ISO 23509 (from memory)"),
        mark("Pitch angles of a hypoid need cutter data and are not offered."),
    ),
    Calculation(
        "recommended-backlash",
        mark("Backlash recommended for a tooth size"),
        SUBJECT,
        (
            Input(
                "outer_module",
                mark("Outer transverse module"),
                "length",
                measured=mark("Outer pitch diameter over teeth."),
                rule_names=("diametral_pitch",),
            ),
            Input(
                "quality",
                mark("Quality of the teeth (fine unless said: cut for road vehicles)"),
                "choice",
                default="fine",
                choices=(("fine", mark("AGMA quality 7 to 13")), ("coarse", mark("AGMA quality 3 to 6"))),
            ),
        ),
        (Result("smallest", mark("From"), "length"), Result("largest", mark("To"), "length")),
        _recommended_backlash,
        mark("Table by diametral pitch 25.4/m"),
        mark("AGMA recommended backlash of bevel and hypoid gears, by diametral pitch"),
        mark("Modules above 0.5 and up to 25.4 mm. The maker's limits come first."),
    ),
)
