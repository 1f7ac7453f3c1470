"""Calculations on bolts: strength, preload and its scatter, engagement, and the ring-gear bolt group."""

from __future__ import annotations

from core.calculations.declare import Calculation, Choices, Input, Result, Results
from core.calculations.shared import FRICTION, PROPERTY_CLASS, THREAD, YES_NO
from core.language import mark
from core.mechanics.axle import safety
from core.mechanics.bolts import (
    METHODS,
    assembly_preload_n,
    engagement_length_mm,
    has_yielded,
    least_preload_n,
    may_reuse,
    preload_from_torque_n,
    slip_torque_nm,
    tightening_torque_nm,
)
from core.mechanics.threads import PropertyClass, Thread, proof_load_n

SUBJECT = mark("Bolts")
VDI_SOURCE = mark("VDI 2230:2001; thread ISO 68-1 and ISO 724; strengths ISO 898-1")
BOLT_CAUTION = mark("The maker's torque comes first: this is no permission to exceed it.")

METHOD_CHOICES: Choices = tuple((key.replace("_", "-"), method.label) for key, method in METHODS.items())
METHOD = Input("method", mark("How they are tightened"), "choice", choices=METHOD_CHOICES)
TORQUE = Input("torque", mark("Torque of each bolt"), "torque")


def _bolt(thread: Thread, property_class: PropertyClass, friction: float) -> Results:
    preload_n = assembly_preload_n(thread, property_class, friction)
    return {
        "stress_area": thread.stress_area_mm2,
        "proof_load": proof_load_n(thread, property_class),
        "preload": preload_n,
        "torque": tightening_torque_nm(thread, preload_n, friction, friction),
    }


def _bolt_preload(thread: Thread, property_class: PropertyClass, torque: float, friction: float) -> Results:
    preload_n = preload_from_torque_n(thread, torque, friction, friction)
    return {"preload": preload_n, "share": preload_n / assembly_preload_n(thread, property_class, friction)}


def _bolt_scatter(preload: float, method: str) -> Results:
    chosen = METHODS[method.replace("-", "_")]
    return {
        "factor_low": chosen.low,
        "factor_high": chosen.high,
        "least_preload": least_preload_n(preload, chosen.high),
        "least_preload_at_best": least_preload_n(preload, chosen.low),
    }


def _thread_engagement(thread: Thread, property_class: PropertyClass, shear_strength: float) -> Results:
    length_mm = engagement_length_mm(thread, property_class, shear_strength)
    return {"engagement": length_mm, "diameters": length_mm / thread.diameter_mm}


def _bolt_group(
    thread: Thread,
    property_class: PropertyClass,
    bolts: int,
    torque: float,
    friction: float,
    method: str,
    joint_friction: float,
    bolt_circle: float,
    peak_torque: float,
) -> Results:
    highest_n = preload_from_torque_n(thread, torque, friction, friction)
    least_n = least_preload_n(highest_n, METHODS[method.replace("-", "_")].high)
    slip_nm = slip_torque_nm(bolts, least_n, joint_friction, bolt_circle)
    return {
        "safety": safety(slip_nm, peak_torque),
        "slip_torque": slip_nm,
        "least_preload": least_n,
        "highest_preload": highest_n,
        "share": highest_n / assembly_preload_n(thread, property_class, friction),
    }


def _bolt_reuse(
    thread: Thread,
    property_class: PropertyClass,
    torque: float,
    friction: float,
    new_length: float,
    length_now: float,
    stressed_length: float,
) -> Results:
    is_stretched = has_yielded(new_length, length_now, stressed_length)
    is_fit = may_reuse(thread, property_class, torque, least_friction=friction, is_stretched=is_stretched)
    return {"stretched": "yes" if is_stretched else "no", "reuse": "yes" if is_fit else "no"}


SHARE = Result("share", mark("Share of the preload at 90 % of the yield strength"), "ratio", "percent")

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "bolt",
        mark("Strength, preload and torque of a bolt"),
        SUBJECT,
        (THREAD, PROPERTY_CLASS, FRICTION),
        (
            Result("stress_area", mark("Stress area"), "area", decimals=1),
            Result("proof_load", mark("Proof load"), "force", "kn", 1),
            Result("preload", mark("Preload at 90 % of the yield strength"), "force", "kn", 1),
            Result("torque", mark("Torque that gives it"), "torque", decimals=1),
        ),
        _bolt,
        mark(
            "A_s = π/4 ((d2 + d3)/2)²; F_p = S_p A_s; F_M by tension and torsion; M = F (0.16 P + 0.58 d2 μ + D_Km/2 μ)"
        ),
        VDI_SOURCE,
        mark("M6 to M16, hexagon head, friction below 0.4."),
        BOLT_CAUTION,
        "bolt",
    ),
    Calculation(
        "bolt-preload",
        mark("Preload a torque gives"),
        SUBJECT,
        (THREAD, PROPERTY_CLASS, TORQUE, FRICTION),
        (Result("preload", mark("Preload"), "force", "kn", 1), SHARE),
        _bolt_preload,
        mark("F = M/(0.16 P + 0.58 d2 μ + D_Km/2 μ)"),
        VDI_SOURCE,
        mark("M6 to M16, hexagon head, friction below 0.4. A share above 100 % has used up the bolt's reserve."),
        BOLT_CAUTION,
        "bolt",
    ),
    Calculation(
        "bolt-scatter",
        mark("How far preload scatters"),
        SUBJECT,
        (Input("preload", mark("Highest preload there may be"), "force", rule_names=("highest_preload_n",)), METHOD),
        (
            Result("factor_low", mark("Tightening factor, at best"), "ratio", decimals=1),
            Result("factor_high", mark("Tightening factor, at worst"), "ratio", decimals=1),
            Result("least_preload", mark("Left on the unluckiest bolt, at worst"), "force", "kn", 1),
            Result("least_preload_at_best", mark("Left on the unluckiest bolt, at best"), "force", "kn", 1),
        ),
        _bolt_scatter,
        mark("F_min = F_max/α_A"),
        mark("VDI 2230:2001, table A8 (from memory)"),
    ),
    Calculation(
        "thread-engagement",
        mark("Thread engagement a tapped hole needs"),
        SUBJECT,
        (
            THREAD,
            PROPERTY_CLASS,
            Input(
                "shear_strength",
                mark("Shear strength of the tapped material"),
                "stress",
                measured=mark(
                    "About 0.6 of the tensile strength of steel, 0.7 of aluminium, 1.1 of grey cast iron (from memory)."
                ),
            ),
        ),
        (
            Result("engagement", mark("Least length of engagement"), "length", decimals=1),
            Result("diameters", mark("In bolt diameters"), "ratio", decimals=2),
        ),
        _thread_engagement,
        mark("L = R_m A_s P/(C3 τ_B (P/2 + (d − d2) tan 30°) π d) + 2 P, C3 = 0.897"),
        mark("VDI 2230:2001, 5.5.5 (from memory)"),
        mark("Without the tolerances of the thread and without the widening of a thin wall."),
        mark("A stripped thread lets the joint go all at once: count only full threads."),
        "engagement",
    ),
    Calculation(
        "bolt-group",
        mark("Do the ring-gear bolts hold by friction"),
        SUBJECT,
        (
            THREAD,
            PROPERTY_CLASS,
            Input("bolts", mark("Bolts in the ring gear"), "count"),
            TORQUE,
            FRICTION,
            METHOD,
            Input(
                "joint_friction",
                mark("Friction between ring gear and carrier"),
                "ratio",
                measured=mark("Dry clean steel about 0.15 (from memory); oil halves it."),
            ),
            Input("bolt_circle", mark("Diameter of the bolt circle"), "length"),
            Input(
                "peak_torque",
                mark("Peak torque at the ring gear"),
                "torque",
                measured=mark("From the calculation peak-torque, both wheels together."),
                rule_names=("peak_nm",),
            ),
        ),
        (
            Result("safety", mark("Safety against slipping"), "ratio", decimals=2),
            Result("slip_torque", mark("Slip torque of the joint"), "torque", decimals=0),
            Result("least_preload", mark("Preload of the unluckiest bolt"), "force", "kn", 1),
            Result("highest_preload", mark("Preload of the luckiest bolt"), "force", "kn", 1),
            SHARE,
        ),
        _bolt_group,
        mark("T = n μ_T F_min D/2, F_min = F/α_A; safety = T/peak torque"),
        mark("Plain mechanics; scatter VDI 2230:2001, table A8 (from memory)"),
        mark("The bolts only clamp; they are not meant to shear."),
        mark("A safety below 1 slips and shears the bolts: more or stronger bolts, never more torque than they bear."),
        "bolt_circle",
    ),
    Calculation(
        "bolt-reuse",
        mark("Is using a bolt again sensible"),
        SUBJECT,
        (
            THREAD,
            PROPERTY_CLASS,
            Input("torque", mark("Torque it was tightened to"), "torque"),
            FRICTION,
            Input("new_length", mark("Length of a new bolt"), "length"),
            Input("length_now", mark("Length of this bolt, unloaded"), "length"),
            Input(
                "stressed_length",
                mark("Stressed length"),
                "length",
                measured=mark("From under the head to the first engaged thread."),
            ),
        ),
        (
            Result("stretched", mark("Stayed longer than the yield strength allows"), "yes_no", choices=YES_NO),
            Result("reuse", mark("Sensible to use again"), "yes_no", choices=YES_NO),
        ),
        _bolt_reuse,
        mark("no longer by 0.2 % of the stressed length, and the torque below 90 % of the yield strength"),
        mark("R_p0.2 as ISO 898-1 defines it; otherwise common practice"),
        mark("Not for bolts tightened by angle, corroded or damaged ones: those are new."),
        mark("A maker's manual that asks for new bolts comes first. In doubt fit new ones."),
        "bolt_length",
    ),
)
