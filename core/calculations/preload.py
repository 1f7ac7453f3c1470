"""Calculations on side-bearing preload: interference, load, turning torque, warmth, and what the pinion feels."""

from __future__ import annotations

from core.calculations.declare import Calculation, Input, Result, Results
from core.calculations.shared import AMBIENT, RATIO, checked_expansion
from core.language import mark
from core.mechanics.checks import above
from core.mechanics.preload import (
    AngularContactBearing,
    Bearing,
    TaperedRollerBearing,
    carrier_torque_nm,
    friction_arm_mm,
    interference_mm,
    preload_n,
    pull_torque_nm,
    turning_torque_nm,
    warm_interference_mm,
    whole_unit_torque_nm,
)

SUBJECT = mark("Preload and turning torque")
BEARING_SOURCE = mark(
    "Rollers: a bearing maker's handbook cited in Int. J. Comp. Meth. and Exp. Meas. 5(5), 733–740, eq. 4; balls: from "
    "memory; torque: common practice"
)
BEARING_VALID = mark("Two bearings alike, of steel, with every rolling element seated; turned slowly by hand.")
BEARING_FORMULA = mark("i = 2 δ(F) + F/k; rollers δ = 0.000077/sin α · Q^0.9/l^0.8, Q = F/(Z sin α); T = T_own + 2 a F")

TAPERED = "tapered-roller"
BEARING_INPUTS = (
    Input(
        "bearing",
        mark("Side bearings, both alike"),
        "choice",
        choices=((TAPERED, mark("tapered roller")), ("angular-contact", mark("angular-contact ball"))),
    ),
    Input("elements", mark("Rollers or balls in one bearing"), "count", rule_names=("rollers", "balls")),
    Input(
        "contact_angle",
        mark("Contact angle"),
        "angle",
        measured=mark("Of the cup's race of a tapered roller bearing, against the axis; often 10 to 16°."),
    ),
    Input(
        "element_size",
        mark("Length of a roller, or diameter of a ball"),
        "length",
        rule_names=("roller_length_mm", "ball_diameter_mm"),
    ),
    Input(
        "casing_stiffness",
        mark("Stiffness of the casing between the bearings"),
        "stiffness",
        measured=mark("How hard it is to spread: from two ring sums and their turning torques, or from its maker."),
        rule_names=("casing_n_per_mm",),
    ),
    Input(
        "friction_arm",
        mark("Friction arm of one bearing"),
        "length",
        measured=mark("From this shop's own readings: the calculation friction-arm."),
    ),
    Input("own_drag", mark("Turning torque without preload (0: none)"), "torque", default="0"),
)
INTERFERENCE = Input(
    "interference",
    mark("Interference"),
    "length",
    measured=mark("Ring sum beyond the one at which the play is just gone."),
)
AXIAL_LOAD = Input("axial_load", mark("Preload"), "force")
OWN_DRAG = BEARING_INPUTS[-1]

INTERFERENCE_RESULT = Result("interference", mark("Interference"), "length")
LOAD_RESULT = Result("axial_load", mark("Preload"), "force", decimals=0)
TORQUE_RESULT = Result("torque", mark("Turning torque at the carrier"), "torque")


def _pair(bearing: str, elements: int, contact_angle: float, element_size: float) -> tuple[Bearing, Bearing]:
    made = TaperedRollerBearing if bearing == TAPERED else AngularContactBearing
    one: Bearing = made(elements, contact_angle, element_size)
    return one, one


def _from_interference(
    interference: float, casing_stiffness: float, friction_arm: float, own_drag: float, **bearing: float | str
) -> Results:
    load_n = preload_n(_pair(**bearing), interference, casing_stiffness)  # type: ignore[arg-type]
    return {"axial_load": load_n, "torque": turning_torque_nm(load_n, friction_arm, own_drag)}


def _from_load(
    axial_load: float, casing_stiffness: float, friction_arm: float, own_drag: float, **bearing: float | str
) -> Results:
    squeeze_mm = interference_mm(_pair(**bearing), axial_load, casing_stiffness)  # type: ignore[arg-type]
    return {"interference": squeeze_mm, "torque": turning_torque_nm(axial_load, friction_arm, own_drag)}


def _from_torque(
    torque: float, casing_stiffness: float, friction_arm: float, own_drag: float, **bearing: float | str
) -> Results:
    above("friction_arm", friction_arm, 0.0, "mm")
    load_n = (above("torque", torque, own_drag, "N·m") - own_drag) * 1000.0 / (2.0 * friction_arm)
    squeeze_mm = interference_mm(_pair(**bearing), load_n, casing_stiffness)  # type: ignore[arg-type]
    return {"interference": squeeze_mm, "axial_load": load_n}


def _friction_arm(torque: float, axial_load: float, own_drag: float) -> Results:
    return {"friction_arm": friction_arm_mm(torque, axial_load, own_drag)}


def _pull_torque(force: float, diameter: float) -> Results:
    return {"torque": pull_torque_nm(force, diameter)}


def _whole_unit(pinion: float, carrier: float, ratio: float, seals: float) -> Results:
    whole_nm = whole_unit_torque_nm(pinion, carrier, ratio, seals)
    return {"torque": whole_nm, "carrier_at_pinion": whole_nm - pinion - seals}


def _carrier_torque(whole: float, pinion: float, ratio: float, seals: float) -> Results:
    carrier_nm = carrier_torque_nm(whole, pinion, ratio, seals)
    return {"carrier": carrier_nm, "carrier_at_pinion": carrier_nm / ratio}


def _warm_casing(
    interference: float,
    span: float,
    temperature: float,
    ambient: float,
    casing_expansion: float,
    carrier_expansion: float,
) -> Results:
    checked_expansion("casing_expansion", casing_expansion)
    checked_expansion("carrier_expansion", carrier_expansion)
    warm_mm = warm_interference_mm(interference, span, temperature, ambient, casing_expansion, carrier_expansion)
    return {"warm_interference": warm_mm, "lost": interference - warm_mm}


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "pull-torque",
        mark("Turning torque from a spring scale"),
        SUBJECT,
        (
            Input(
                "force",
                mark("Pull while it turns"),
                "force",
                measured=mark("Running, not the pull that starts it; the cord square to the radius."),
            ),
            Input(
                "diameter",
                mark("Diameter the cord is wrapped around"),
                "length",
                measured=mark("Of the wrapped surface; half of it is the lever."),
            ),
        ),
        (Result("torque", mark("Turning torque"), "torque"),),
        _pull_torque,
        mark("T = F · d/2: the radius is the lever, not the diameter"),
        mark("TM 5-3895-359-14&P; running, not breakaway: TM 10-3930-660-34"),
        figure="pull_torque",
    ),
    Calculation(
        "preload-from-interference",
        mark("Preload and turning torque from interference"),
        SUBJECT,
        (INTERFERENCE, *BEARING_INPUTS),
        (LOAD_RESULT, TORQUE_RESULT),
        _from_interference,
        BEARING_FORMULA,
        BEARING_SOURCE,
        BEARING_VALID,
        figure="preload",
    ),
    Calculation(
        "preload-from-load",
        mark("Interference and turning torque from preload"),
        SUBJECT,
        (AXIAL_LOAD, *BEARING_INPUTS),
        (INTERFERENCE_RESULT, TORQUE_RESULT),
        _from_load,
        BEARING_FORMULA,
        BEARING_SOURCE,
        BEARING_VALID,
        figure="preload",
    ),
    Calculation(
        "preload-from-torque",
        mark("Preload and interference from turning torque"),
        SUBJECT,
        (Input("torque", mark("Turning torque at the carrier"), "torque"), *BEARING_INPUTS),
        (LOAD_RESULT, INTERFERENCE_RESULT),
        _from_torque,
        BEARING_FORMULA,
        BEARING_SOURCE,
        BEARING_VALID,
        figure="preload",
    ),
    Calculation(
        "friction-arm",
        mark("Friction arm of a bearing from a reading"),
        SUBJECT,
        (Input("torque", mark("Turning torque at the carrier"), "torque"), AXIAL_LOAD, OWN_DRAG),
        (Result("friction_arm", mark("Friction arm of one bearing"), "length"),),
        _friction_arm,
        mark("a = (T − T_own)/(2 F)"),
        mark("Common practice"),
    ),
    Calculation(
        "whole-unit-torque",
        mark("Turning torque at the pinion with the carrier in"),
        SUBJECT,
        (
            Input("pinion", mark("Turning torque of the pinion alone"), "torque"),
            Input("carrier", mark("Turning torque of the carrier alone, at the carrier"), "torque"),
            RATIO,
            Input("seals", mark("Drag of seals not yet in these readings (0: none)"), "torque", default="0"),
        ),
        (
            Result("torque", mark("Turning torque at the pinion"), "torque"),
            Result("carrier_at_pinion", mark("The carrier's share of it"), "torque", decimals=3),
        ),
        _whole_unit,
        mark("T = T_pinion + T_carrier/u + T_seals"),
        mark("Derived: the carrier turns u times slower, so its drag is felt u times smaller"),
        mark("Without the mesh of the teeth."),
    ),
    Calculation(
        "carrier-torque",
        mark("Carrier torque as seen at the pinion"),
        SUBJECT,
        (
            Input("whole", mark("Turning torque at the pinion, carrier in"), "torque"),
            Input("pinion", mark("Turning torque of the pinion alone"), "torque"),
            RATIO,
            Input("seals", mark("Drag of seals added since (0: none)"), "torque", default="0"),
        ),
        (
            Result("carrier", mark("Turning torque of the carrier, at the carrier"), "torque"),
            Result("carrier_at_pinion", mark("Its share at the pinion"), "torque", decimals=3),
        ),
        _carrier_torque,
        mark("T_carrier = u (T − T_pinion − T_seals)"),
        mark("Derived: the carrier turns u times slower, so its drag is felt u times smaller"),
        mark("Without the mesh of the teeth."),
    ),
    Calculation(
        "warm-casing",
        mark("What is left of the interference in a warm casing"),
        SUBJECT,
        (
            INTERFERENCE,
            Input(
                "span",
                mark("Distance between the cup shoulders"),
                "length",
                measured=mark("From shoulder to shoulder in the casing."),
            ),
            Input("temperature", mark("Temperature of the unit at work"), "temperature", rule_names=("temp_c",)),
            AMBIENT,
            Input(
                "casing_expansion",
                mark("Expansion of the casing (aluminium: 23 ppm/K, textbook)"),
                "expansion",
                default="23 ppm/K",
            ),
            Input(
                "carrier_expansion",
                mark("Expansion of the carrier (steel: 12 ppm/K, textbook)"),
                "expansion",
                default="12 ppm/K",
            ),
        ),
        (
            Result("warm_interference", mark("Interference when warm; negative is play"), "length"),
            Result("lost", mark("Lost by warming"), "length"),
        ),
        _warm_casing,
        mark("i(t) = i − (α_casing − α_carrier) l (t − t0)"),
        mark("Derived; expansions textbook values, from memory"),
        mark("Casing and carrier at one temperature; the cup's fit in its bore loosens besides."),
        figure="warm_casing",
    ),
)
