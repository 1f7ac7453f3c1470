"""Calculations on the output flange: its retaining-ring groove in torsion, and the torque it has to bear."""

from __future__ import annotations

from core.calculations.declare import Calculation, Input, Result, Results
from core.language import mark
from core.mechanics.axle import engine_peak_torque_nm, safety, wheel_slip_torque_nm
from core.mechanics.groove import (
    SQUARE_CUT_CONCENTRATION,
    groove_concentration,
    shear_stress_mpa,
    smallest_root_radius_mm,
    yield_torque_nm,
)

SUBJECT = mark("Output flange")
GROOVE_SOURCE = mark(
    "Pilkey, Peterson's Stress Concentration Factors; Roark's Formulas, table 17.1; Neuber; "
    "square cut: Shigley (from memory)"
)
GROOVE_VALID = mark(
    "A root radius from a fiftieth of the groove's depth to four times it; the methods differ by up to 10 %."
)
GROOVE_CAUTION = mark("A square-cut groove snaps under load; a broken flange lets a wheel lose its drive at speed.")

OUTER_DIAMETER = Input("outer_diameter", mark("Diameter beside the groove"), "length")
GROOVE_DIAMETER = Input("groove_diameter", mark("Diameter at the root of the groove"), "length")
ROOT_RADIUS = Input(
    "root_radius",
    mark("Radius at the root of the groove"),
    "length",
    measured=mark("With a radius gauge or from the tool that cut it; a square cut has none worth counting."),
)
YIELD_STRENGTH = Input("yield_strength", mark("Yield strength of the flange"), "stress", rule_names=("yield_mpa",))
PEAK_TORQUE = Input(
    "peak_torque",
    mark("Peak torque at this flange"),
    "torque",
    measured=mark("From the calculation peak-torque."),
    rule_names=("peak_nm",),
)


def _groove_torsion(outer_diameter: float, groove_diameter: float, root_radius: float, torque: float) -> Results:
    factors = groove_concentration(outer_diameter, groove_diameter, root_radius)
    nominal_mpa = shear_stress_mpa(torque, groove_diameter)
    return {
        "concentration": factors.pilkey,
        "nominal_stress": nominal_mpa,
        "peak_stress": factors.pilkey * nominal_mpa,
        "concentration_roark": factors.roark,
        "concentration_neuber": factors.neuber,
        "highest_peak_stress": factors.highest * nominal_mpa,
        "square_cut_stress": SQUARE_CUT_CONCENTRATION * nominal_mpa,
    }


def _groove_safety(
    outer_diameter: float, groove_diameter: float, root_radius: float, yield_strength: float, peak_torque: float
) -> Results:
    factors = groove_concentration(outer_diameter, groove_diameter, root_radius)
    at_root_nm = yield_torque_nm(groove_diameter, yield_strength, factors.highest)
    square_nm = yield_torque_nm(groove_diameter, yield_strength, SQUARE_CUT_CONCENTRATION)
    return {
        "safety": safety(at_root_nm, peak_torque),
        "yield_torque": at_root_nm,
        "net_section_torque": yield_torque_nm(groove_diameter, yield_strength),
        "square_cut_safety": safety(square_nm, peak_torque),
        "square_cut_torque": square_nm,
    }


def _groove_radius(
    outer_diameter: float, groove_diameter: float, yield_strength: float, peak_torque: float, wanted_safety: float
) -> Results:
    radius_mm = smallest_root_radius_mm(outer_diameter, groove_diameter, yield_strength, peak_torque, wanted_safety)
    return {
        "root_radius": radius_mm,
        "concentration": groove_concentration(outer_diameter, groove_diameter, radius_mm).pilkey,
    }


def _peak_torque(
    engine_torque: float,
    lowest_gear: float,
    final_ratio: float,
    split: float,
    wheel_load: float,
    tyre_friction: float,
    tyre_radius: float,
) -> Results:
    sent_nm = engine_peak_torque_nm(engine_torque, lowest_gear, final_ratio, split)
    held_nm = wheel_slip_torque_nm(wheel_load, tyre_friction, tyre_radius / 1000.0)
    return {"peak_torque": min(sent_nm, held_nm), "engine_side": sent_nm, "wheel_slip": held_nm}


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "groove-torsion",
        mark("Stress in a retaining-ring groove"),
        SUBJECT,
        (OUTER_DIAMETER, GROOVE_DIAMETER, ROOT_RADIUS, Input("torque", mark("Torque through the flange"), "torque")),
        (
            Result("concentration", mark("Stress concentration, Peterson/Pilkey"), "ratio"),
            Result("nominal_stress", mark("Shear stress of the net section"), "stress"),
            Result("peak_stress", mark("Shear stress at the root"), "stress"),
            Result("concentration_roark", mark("Concentration by Roark"), "ratio"),
            Result("concentration_neuber", mark("Concentration by Neuber"), "ratio"),
            Result("highest_peak_stress", mark("Shear stress at the root, the highest of the three"), "stress"),
            Result("square_cut_stress", mark("Shear stress if the groove were cut square"), "stress"),
        ),
        _groove_torsion,
        mark("τ = 16 T/(π d³) on the net diameter; τ_max = K τ, K by depth over radius and depth over diameter"),
        GROOVE_SOURCE,
        GROOVE_VALID,
        GROOVE_CAUTION,
        "groove",
    ),
    Calculation(
        "groove-safety",
        mark("Does the groove bear the axle's peak torque"),
        SUBJECT,
        (OUTER_DIAMETER, GROOVE_DIAMETER, ROOT_RADIUS, YIELD_STRENGTH, PEAK_TORQUE),
        (
            Result("safety", mark("Safety against first yield at the root"), "ratio", decimals=2),
            Result("yield_torque", mark("Torque at first yield at the root"), "torque", decimals=0),
            Result("net_section_torque", mark("Torque at yield of the net section"), "torque", decimals=0),
            Result("square_cut_safety", mark("Safety if the groove were cut square"), "ratio", decimals=2),
            Result("square_cut_torque", mark("Torque at first yield if it were cut square"), "torque", decimals=0),
        ),
        _groove_safety,
        mark("T = R_p0.2/√3 · π d³/(16 K), K the highest of three methods, 3 for a square cut; safety = T/peak torque"),
        GROOVE_SOURCE,
        GROOVE_VALID,
        GROOVE_CAUTION,
        "groove",
    ),
    Calculation(
        "groove-radius",
        mark("Smallest root radius that will do"),
        SUBJECT,
        (
            OUTER_DIAMETER,
            GROOVE_DIAMETER,
            YIELD_STRENGTH,
            PEAK_TORQUE,
            Input("wanted_safety", mark("Safety wanted against first yield"), "ratio"),
        ),
        (
            Result("root_radius", mark("Smallest root radius"), "length", decimals=2),
            Result("concentration", mark("Stress concentration with it"), "ratio"),
        ),
        _groove_radius,
        mark("the radius at which K = yield torque of the net section/(safety · peak torque)"),
        mark("Pilkey, Peterson's Stress Concentration Factors"),
        mark("Never below a fiftieth of the groove's depth, where the charts end."),
        GROOVE_CAUTION,
        "groove",
    ),
    Calculation(
        "peak-torque",
        mark("The axle's peak torque"),
        SUBJECT,
        (
            Input("engine_torque", mark("Largest torque of the engine"), "torque"),
            Input(
                "lowest_gear",
                mark("Ratio of the lowest gear"),
                "ratio",
                measured=mark("With the low range where there is one, and a torque converter's stall ratio."),
            ),
            Input("final_ratio", mark("Final-drive ratio"), "ratio"),
            Input(
                "split",
                mark("Share of it that comes here"),
                "ratio",
                measured=mark("1 for the ring gear; one flange: 0.5 of an open unit, up to 1 of a locked one."),
                rule_names=("split_ratio",),
            ),
            Input(
                "wheel_load",
                mark("Load on the wheel"),
                "force",
                measured=mark("At launch, with what the vehicle carries; both wheels for the ring gear."),
            ),
            Input("tyre_friction", mark("Friction of tyre on road, about 1 for a road tyre"), "ratio"),
            Input("tyre_radius", mark("Rolling radius of the tyre"), "length"),
        ),
        (
            Result("peak_torque", mark("Peak torque"), "torque", decimals=0),
            Result("engine_side", mark("What the engine can send"), "torque", decimals=0),
            Result("wheel_slip", mark("What the tyre can hold"), "torque", decimals=0),
        ),
        _peak_torque,
        mark("the smaller of T_engine · gear · final ratio · share and μ F r"),
        mark("Plain mechanics"),
        mark("Without losses and without the shock of a dropped clutch, which adds to it."),
    ),
)
