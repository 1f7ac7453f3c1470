"""Calculations on the clutch pack of a limited-slip carrier."""

from __future__ import annotations

from core.calculations.declare import Calculation, Input, Result, Results
from core.language import mark
from core.mechanics.checks import above
from core.mechanics.clutch import (
    bias_ratio,
    breakaway_share_ratio,
    locking_from_bias,
    locking_value,
    mean_radius_mm,
    pack_clearance_mm,
    pack_height_mm,
    pack_torque_nm,
    ramp_force_n,
    ramp_locking_value,
    wear_left_ratio,
)

SUBJECT = mark("Clutch packs")
LEAST_SHARE = 1e-6
TEXTBOOK = mark("Textbook")
MECHANICS = mark("Plain mechanics, without friction on the ramps")
RAMP_SIGN = mark(
    "Ramp angle from the tangential direction: a steeper ramp presses less. Some makers count from the axis."
)
SPRING_CAUTION = mark("Preload springs are under load: let them out in a press, never by the last bolt.")

FACES = Input(
    "faces",
    mark("Friction faces of one pack"),
    "count",
    measured=mark("Faces that rub, not plates: where neighbours turn with different parts."),
)
FRICTION = Input(
    "friction",
    mark("Friction in oil"),
    "ratio",
    measured=mark("Often 0.08 to 0.14 (from memory); the modifier lowers it."),
)
INNER_RADIUS = Input("inner_radius", mark("Inner radius of the rubbing face"), "length")
OUTER_RADIUS = Input("outer_radius", mark("Outer radius of the rubbing face"), "length")
MODEL = Input(
    "model",
    mark("How the pressure is spread (uniform wear unless said: run-in plates)"),
    "choice",
    default="uniform-wear",
    choices=(
        ("uniform-wear", mark("uniform wear: run-in plates")),
        ("uniform-pressure", mark("uniform pressure: new, flat plates")),
    ),
)
RAMP_RADIUS = Input("ramp_radius", mark("Radius at which the pins press on the ramps"), "length")
RAMP_ANGLE = Input(
    "ramp_angle",
    mark("Ramp angle from the tangential direction"),
    "angle",
    measured=mark("A maker's angle counted from the axis is 90° minus this one."),
)


def _clutch_pack(
    faces: int, friction: float, axial_force: float, inner_radius: float, outer_radius: float, model: str
) -> Results:
    spread = model.replace("-", "_")
    return {
        "torque": pack_torque_nm(faces, friction, axial_force, inner_radius, outer_radius, spread),
        "mean_radius": mean_radius_mm(inner_radius, outer_radius, spread),
    }


def _plate_pack(plates: tuple[float, ...], space: float) -> Results:
    return {"height": pack_height_mm(plates), "clearance": pack_clearance_mm(space, plates)}


def _plate_wear(thickness: float, new_thickness: float, smallest: float) -> Results:
    return {"left": wear_left_ratio(thickness, new_thickness, smallest), "wear_to_go": thickness - smallest}


def _ramp_force(torque: float, ramp_radius: float, ramp_angle: float, spring_force: float) -> Results:
    return {"axial_force": ramp_force_n(torque, ramp_radius, ramp_angle, spring_force)}


def _ramp_locking(
    faces: int, friction: float, inner_radius: float, outer_radius: float, ramp_radius: float, ramp_angle: float
) -> Results:
    mean_mm = mean_radius_mm(inner_radius, outer_radius)
    return {"locking_value": ramp_locking_value(faces, friction, mean_mm, ramp_radius, ramp_angle)}


def _locking(high_torque: float, low_torque: float) -> Results:
    # Below a millionth of the larger torque the carrier counts as locked solid: its bias has no number.
    above("low_torque", low_torque, LEAST_SHARE * max(0.0, high_torque), "N·m")
    locking = locking_value(high_torque, low_torque)
    return {"locking_value": locking, "bias_ratio": bias_ratio(locking)}


def _locking_from_bias(bias_ratio: float) -> Results:
    return {"locking_value": locking_from_bias(bias_ratio)}


def _breakaway(
    measured: float,
    faces: int,
    friction: float,
    spring_force: float,
    inner_radius: float,
    outer_radius: float,
    model: str,
) -> Results:
    expected_nm = pack_torque_nm(faces, friction, spring_force, inner_radius, outer_radius, model.replace("-", "_"))
    return {"expected": expected_nm, "share": breakaway_share_ratio(measured, expected_nm)}


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "clutch-pack",
        mark("Torque a clutch pack holds"),
        SUBJECT,
        (FACES, FRICTION, Input("axial_force", mark("Force on the pack"), "force"), INNER_RADIUS, OUTER_RADIUS, MODEL),
        (
            Result("torque", mark("Torque it holds"), "torque", decimals=1),
            Result("mean_radius", mark("Mean radius of friction"), "length"),
        ),
        _clutch_pack,
        mark("T = N μ F r_m; r_m = (r_o + r_i)/2, or 2/3 (r_o³ − r_i³)/(r_o² − r_i²)"),
        TEXTBOOK,
        mark("Friction up to 0.5."),
        figure="clutch_pack",
    ),
    Calculation(
        "plate-pack",
        mark("Height and clearance of a pack"),
        SUBJECT,
        (
            Input(
                "plates",
                mark("Thickness of every plate"),
                "length",
                is_list=True,
                measured=mark("Friction and steel plates alike, one value each."),
                rule_names=("number of plates", "plate_mm"),
            ),
            Input("space", mark("Height of the space, springs and rings in place"), "length"),
        ),
        (
            Result("height", mark("Height of the pack"), "length"),
            Result("clearance", mark("Clearance; negative is preload"), "length"),
        ),
        _plate_pack,
        mark("height = Σ plates; clearance = space − height"),
        mark("Plain arithmetic"),
        caution=SPRING_CAUTION,
        figure="plate_pack",
    ),
    Calculation(
        "plate-wear",
        mark("Wear left on a plate"),
        SUBJECT,
        (
            Input("thickness", mark("Thickness as measured"), "length", measured=mark("At its thinnest place.")),
            Input("new_thickness", mark("Thickness when new"), "length", rule_names=("new_mm",)),
            Input("smallest", mark("Smallest allowed"), "length"),
        ),
        (
            Result("left", mark("Wear left; negative is beyond the limit"), "ratio", "percent", 0),
            Result("wear_to_go", mark("Thickness left to the limit"), "length"),
        ),
        _plate_wear,
        mark("(measured − smallest)/(new − smallest)"),
        mark("Plain arithmetic; the limits are the maker's"),
    ),
    Calculation(
        "ramp-force",
        mark("Force of ramps and springs on a pack"),
        SUBJECT,
        (
            Input(
                "torque",
                mark("Torque through this pressure ring"),
                "torque",
                measured=mark("Half the carrier's where two rings share it."),
            ),
            RAMP_RADIUS,
            RAMP_ANGLE,
            Input("spring_force", mark("Force of the preload springs"), "force"),
        ),
        (Result("axial_force", mark("Force on the pack"), "force", decimals=0),),
        _ramp_force,
        mark("F = T/(r tan φ) + F_spring"),
        MECHANICS,
        RAMP_SIGN,
        SPRING_CAUTION,
        "ramp",
    ),
    Calculation(
        "ramp-locking",
        mark("Locking value the ramps give"),
        SUBJECT,
        (FACES, FRICTION, INNER_RADIUS, OUTER_RADIUS, RAMP_RADIUS, RAMP_ANGLE),
        (Result("locking_value", mark("Locking value; 1 or more locks solid"), "ratio"),),
        _ramp_locking,
        mark("S = N μ r_m/(r tan φ), N faces in each of two packs alike"),
        MECHANICS,
        RAMP_SIGN,
        figure="ramp",
    ),
    Calculation(
        "locking",
        mark("Locking value and bias ratio"),
        SUBJECT,
        (
            Input("high_torque", mark("Larger torque at an output flange"), "torque"),
            Input("low_torque", mark("Smaller torque, at the flange that slips"), "torque"),
        ),
        (
            Result("locking_value", mark("Locking value"), "ratio"),
            Result("bias_ratio", mark("Torque bias ratio"), "ratio"),
        ),
        _locking,
        mark("S = (T1 − T2)/(T1 + T2); bias = T1/T2 = (1 + S)/(1 − S)"),
        TEXTBOOK,
        mark("Not 1 − weak/strong, which some sheets call lock."),
    ),
    Calculation(
        "locking-from-bias",
        mark("Locking value from a bias ratio"),
        SUBJECT,
        (Input("bias_ratio", mark("Torque bias ratio, larger over smaller"), "ratio", rule_names=("bias",)),),
        (Result("locking_value", mark("Locking value"), "ratio"),),
        _locking_from_bias,
        mark("S = (bias − 1)/(bias + 1)"),
        TEXTBOOK,
    ),
    Calculation(
        "breakaway",
        mark("Breakaway torque on the bench, expected and measured"),
        SUBJECT,
        (
            Input(
                "measured",
                mark("Breakaway torque as measured"),
                "torque",
                measured=mark("One side held, the carrier free, at the other side."),
            ),
            FACES,
            FRICTION,
            Input("spring_force", mark("Force of the preload springs"), "force", rule_names=("axial_force_n",)),
            INNER_RADIUS,
            OUTER_RADIUS,
            MODEL,
        ),
        (
            Result("expected", mark("Expected"), "torque", decimals=1),
            Result("share", mark("Measured over expected"), "ratio", "percent", 0),
        ),
        _breakaway,
        mark("expected = N μ F_spring r_m of one pack"),
        TEXTBOOK,
        mark("Well below 100 %: worn plates or tired springs; above: a dry or wrong pack."),
        mark("Hold the carrier well: a pack lets go with a jerk."),
        "clutch_pack",
    ),
)
