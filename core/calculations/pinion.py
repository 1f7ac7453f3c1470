"""Calculations on the pinion: its depth shim and the preload of its bearings."""

from __future__ import annotations

from core.calculations.declare import Calculation, Choices, Input, Result, Results
from core.language import mark
from core.mechanics.checks import above, at_least, within
from core.mechanics.pinion import (
    SHIM_PLACES,
    SLEEVE_STEPS,
    DepthMark,
    EtchRule,
    ShimPlace,
    depth_shim_mm,
    shim_change,
    shim_for_move_mm,
    sleeve_step,
    spacer_for_torque_mm,
    wanted_depth_mm,
)

SUBJECT = mark("Pinion")
LARGEST_MARK_MM = 1.0

PLACE_CHOICES: Choices = tuple((place.value.replace("_", "-"), label) for place, label in SHIM_PLACES.items())
STEP_CHOICES: Choices = tuple((step.value.replace("_", "-"), label) for step, label in SLEEVE_STEPS.items())

SHIM_PLACE = Input("place", mark("Where the depth shim sits: as the casing is built"), "choice", choices=PLACE_CHOICES)


def _mark_mm(key: str, etched_mm: float) -> float:
    """Return an etched deviation, or refuse a bare number of thousandths or hundredths taken for millimetres."""
    return within(key, etched_mm, -LARGEST_MARK_MM, LARGEST_MARK_MM, "mm")


def _pinion_depth(etched_old: float, etched_new: float, rule: str) -> Results:
    old_mm, new_mm = _mark_mm("etched_old", etched_old), _mark_mm("etched_new", etched_new)
    return {"shim_change": shim_change(old_mm, new_mm, EtchRule(rule))}


def _pinion_shim(
    nominal_depth: float, etched: float, etched_is: str, casing: float, bearing: float, place: str
) -> Results:
    depth_mm = wanted_depth_mm(nominal_depth, _mark_mm("etched", etched), DepthMark(etched_is.replace("-", "_")))
    shim_mm = depth_shim_mm(casing, bearing, depth_mm, ShimPlace(place.replace("-", "_")))
    return {"depth": depth_mm, "shim": shim_mm}


def _pinion_move(shim: float, inward: float, place: str) -> Results:
    return {"new_shim": shim_for_move_mm(shim, inward, ShimPlace(place.replace("-", "_")))}


def _pinion_spacer(
    first_spacer: float, first_torque: float, second_spacer: float, second_torque: float, wanted_torque: float
) -> Results:
    at_least("first_torque", first_torque, 0.0, "N·m")
    above("first_spacer", first_spacer, above("second_spacer", second_spacer, 0.0, "mm"), "mm")
    above("second_torque", second_torque, first_torque, "N·m")
    rate = (second_torque - first_torque) / (first_spacer - second_spacer)
    wanted_mm = spacer_for_torque_mm(second_spacer, second_torque, wanted_torque, rate)
    return {"spacer": wanted_mm, "step": wanted_mm - second_spacer}


def _crush_sleeve(torque: float, lowest: float, highest: float) -> Results:
    return {"step": sleeve_step(torque, lowest, highest).value.replace("_", "-")}


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "pinion-depth",
        mark("Change of the depth shim for another pinion"),
        SUBJECT,
        (
            Input("etched_old", mark("Etched on the old pinion, with its sign and unit"), "length"),
            Input("etched_new", mark("Etched on the new pinion, with its sign and unit"), "length"),
            Input(
                "rule",
                mark("What the maker's manual says"),
                "choice",
                choices=(
                    (EtchRule.OLD_MINUS_NEW.value, mark("old minus new is added to the shim")),
                    (EtchRule.NEW_MINUS_OLD.value, mark("new minus old is added to the shim")),
                ),
            ),
        ),
        (Result("shim_change", mark("Change of the shim; positive is thicker"), "length"),),
        _pinion_depth,
        mark("change = old − new, or new − old, as the maker's manual says"),
        mark("Old − new: TM 9-2320-280-34; new − old: TM 5-3895-369-14, Table 5-4"),
        mark("Marks up to 1 mm; makers differ in the rule, so it is asked and never assumed."),
        figure="pinion_depth",
    ),
    Calculation(
        "pinion-shim",
        mark("Depth shim from measurements of the casing"),
        SUBJECT,
        (
            Input(
                "nominal_depth",
                mark("Nominal depth (mounting distance)"),
                "length",
                measured=mark("From the ring gear's axis to the back face of the pinion head."),
                rule_names=("nominal_mm", "depth_mm"),
            ),
            Input("etched", mark("Etched deviation, with its sign and unit"), "length"),
            Input(
                "etched_is",
                mark("What the maker's manual does with the etched deviation"),
                "choice",
                choices=(
                    ("added", mark("it is added to the nominal depth")),
                    ("taken-off", mark("it is taken off the nominal depth")),
                ),
            ),
            Input(
                "casing",
                mark("Casing measurement"),
                "length",
                measured=mark("From the ring gear's axis to the seat the shim or the bearing rests on."),
            ),
            Input(
                "bearing",
                mark("Height of the head bearing"),
                "length",
                measured=mark("Cup and cone together under a light load; of a cartridge: seat to pinion back face."),
            ),
            SHIM_PLACE,
        ),
        (Result("depth", mark("Depth this pinion wants"), "length"), Result("shim", mark("Shim to fit"), "length")),
        _pinion_shim,
        mark(
            "depth = nominal ± etched; shim = casing − bearing − depth, or the contrary where a thicker shim pushes out"
        ),
        mark("Plain geometry; sign rules as in TM 9-2320-280-34 and TM 5-3895-369-14"),
        figure="pinion_depth",
    ),
    Calculation(
        "pinion-move",
        mark("Depth shim for a move of the pinion"),
        SUBJECT,
        (
            Input("shim", mark("Shim fitted now"), "length"),
            Input(
                "inward",
                mark("Move wanted"),
                "length",
                measured=mark("Positive takes the pinion in, toward the ring gear's axis."),
            ),
            SHIM_PLACE,
        ),
        (Result("new_shim", mark("Shim to fit"), "length"),),
        _pinion_move,
        mark("shim + move where a thicker shim pushes in, shim − move where it pushes out"),
        mark("Plain geometry"),
        figure="pinion_depth",
    ),
    Calculation(
        "pinion-spacer",
        mark("Solid spacer for the pinion bearings, from two trials"),
        SUBJECT,
        (
            Input("first_spacer", mark("Spacer of the first trial, the thicker one"), "length"),
            Input(
                "first_torque",
                mark("Running torque with the thicker spacer"),
                "torque",
                measured=mark("At the pinion, carrier out, nut at its full torque."),
            ),
            Input("second_spacer", mark("Spacer of the second trial, the thinner one"), "length"),
            Input("second_torque", mark("Running torque with the thinner spacer"), "torque"),
            Input("wanted_torque", mark("Running torque wanted"), "torque", rule_names=("wanted_nm",)),
        ),
        (
            Result("spacer", mark("Spacer to fit"), "length"),
            Result("step", mark("Change from the second spacer; negative is thinner"), "length"),
        ),
        _pinion_spacer,
        mark("spacer = second + (second torque − wanted)/rate, rate = torque gained per thickness taken off"),
        mark("Direction: TM 9-2320-302-34, p. 0082 00-12; straight line: common practice"),
        mark("Small steps from the second trial."),
    ),
    Calculation(
        "crush-sleeve",
        mark("Next step with a crush sleeve"),
        SUBJECT,
        (
            Input("torque", mark("Running torque now"), "torque"),
            Input("lowest", mark("Lowest torque allowed"), "torque", rule_names=("low_nm",)),
            Input("highest", mark("Highest torque allowed"), "torque", rule_names=("high_nm",)),
        ),
        (Result("step", mark("Next"), "choice", choices=STEP_CHOICES),),
        _crush_sleeve,
        mark("below the limits tighten on, within them stop, above them fit a new sleeve"),
        mark("Common practice"),
        caution=mark(
            "A crush sleeve takes a great torque: hold the flange with a proper tool, never with a gear tooth."
        ),
    ),
)
