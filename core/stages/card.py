"""The fields of a spec card, declared once: the card page, the demo, the sheet and the rules read them from here.

A card gives limits (low, high or both, each with its source) and facts (sizes, counts, choices, words). Both are
stored as rows, so a new field here is the whole change.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.facts import LEFT, RIGHT, Job
from core.language import mark
from core.stages.entry import Choice

OUTBOARD_RINGS = "outboard_rings"
SHIMS_UNDER_CUP = "shims_under_cup"
SHIMS_UNDER_CONE = "shims_under_cone"
ADJUSTER_NUTS = "adjuster_nuts"
CONVEX, CONCAVE = "convex", "concave"


@dataclass(frozen=True)
class LimitSpec:
    """A limit a card may give, and what it is measured in."""

    key: str
    label: str
    kind: str
    unit: str
    help: str = ""


@dataclass(frozen=True)
class FactSpec:
    """A fact a card may give; `is_needed` facts must be there before a job can start from the card."""

    key: str
    label: str
    kind: str
    unit: str = ""
    choices: tuple[Choice, ...] = ()
    is_needed: bool = False
    help: str = ""


LIMIT_SPECS: tuple[LimitSpec, ...] = (
    LimitSpec("turning_torque", mark("Turning torque of the carrier"), "torque", "n_m"),
    LimitSpec("pinion_turning_torque", mark("Turning torque of the pinion alone"), "torque", "n_m"),
    LimitSpec("final_turning_torque", mark("Turning torque of the finished unit"), "torque", "n_m"),
    LimitSpec("backlash", mark("Backlash"), "length", "mm"),
    LimitSpec("backlash_variation", mark("Backlash variation around the gear"), "length", "mm"),
    LimitSpec("runout", mark("Ring-gear back-face runout"), "length", "mm"),
    LimitSpec("running_clearance", mark("Running clearance, carrier to casing"), "length", "mm"),
    LimitSpec("cup_bore", mark("Side-bearing cup bore"), "length", "mm"),
    LimitSpec("seal_bore", mark("Seal bore"), "length", "mm"),
    LimitSpec("cone_temperature", mark("Temperature of a heated cone"), "temperature", "deg_c"),
    LimitSpec("spacer", mark("Spacer thickness"), "length", "mm"),
    LimitSpec("ring_gear_bolt_torque", mark("Ring-gear bolt torque"), "torque", "n_m"),
    LimitSpec("contact_along", mark("Contact centre along the tooth"), "ratio", "percent"),
    LimitSpec("contact_depth", mark("Contact centre in depth"), "ratio", "percent"),
    LimitSpec("clutch_pack", mark("Clutch-pack height"), "length", "mm"),
    LimitSpec("plate_thickness", mark("Clutch-plate thickness"), "length", "mm"),
    LimitSpec("breakaway_torque", mark("Clutch-pack breakaway torque"), "torque", "n_m"),
    LimitSpec("groove_radius", mark("Groove root radius"), "length", "mm"),
    LimitSpec("groove_width", mark("Groove width"), "length", "mm"),
    LimitSpec("groove_diameter", mark("Groove root diameter"), "length", "mm"),
    LimitSpec("groove_safety", mark("Safety of the grooved flange"), "ratio", "one"),
    LimitSpec("cover_bolt_torque", mark("Cover bolt torque"), "torque", "n_m"),
    LimitSpec("oil_volume", mark("Oil filled"), "volume", "l"),
)

FACT_SPECS: tuple[FactSpec, ...] = (
    FactSpec(
        "ring_gear_side",
        mark("Ring-gear side, seen from the pinion"),
        "choice",
        choices=(Choice(LEFT, mark("left")), Choice(RIGHT, mark("right"))),
        is_needed=True,
        help=mark("Stand at the pinion flange and look into the casing: on which side does the ring gear sit?"),
    ),
    FactSpec(
        "setting_method",
        mark("How the side bearings are set"),
        "choice",
        choices=(
            Choice(OUTBOARD_RINGS, mark("outboard rings")),
            Choice(SHIMS_UNDER_CUP, mark("shims under the cup")),
            Choice(SHIMS_UNDER_CONE, mark("shims under the cone")),
            Choice(ADJUSTER_NUTS, mark("adjuster nuts")),
        ),
        is_needed=True,
    ),
    FactSpec("ring_smallest", mark("Thinnest ring or shim of the family"), "length", "mm"),
    FactSpec("ring_largest", mark("Thickest ring or shim of the family"), "length", "mm"),
    FactSpec("ring_step", mark("Step between ring sizes"), "length", "mm"),
    FactSpec(
        "ring_sum_tolerance",
        mark("Tolerance of the ring sum once preload is set"),
        "length",
        "mm",
        help=mark("How far a backlash pair may stray from the sum that preload fixed."),
    ),
    FactSpec("nut_thread_pitch", mark("Adjuster-nut thread pitch"), "length", "mm"),
    FactSpec("nut_notches", mark("Adjuster-nut notches in one turn"), "count"),
    FactSpec("tooth_counts", mark("Tooth counts offered, ring gear : pinion"), "text"),
    FactSpec("gear_outer_diameter", mark("Ring-gear outer pitch diameter"), "length", "mm"),
    FactSpec("face_width", mark("Face width"), "length", "mm"),
    FactSpec("working_depth", mark("Working depth of the teeth"), "length", "mm"),
    FactSpec("spiral_angle", mark("Mean spiral angle of the ring gear"), "angle", "deg"),
    FactSpec(
        "gear_hand",
        mark("Hand of the ring gear"),
        "choice",
        choices=(Choice(RIGHT, mark("right-hand")), Choice(LEFT, mark("left-hand"))),
        help=mark("Look at its teeth from in front: on a right-hand gear the outer half of a tooth leans clockwise."),
    ),
    FactSpec(
        "drive_flank",
        mark("Flank of the ring gear that drives forward"),
        "choice",
        choices=(Choice(CONVEX, mark("convex")), Choice(CONCAVE, mark("concave"))),
        help=mark("Usually the convex one; where the pinion pushes from the other side, as on some front axles, not."),
    ),
    FactSpec("pressure_angle", mark("Normal pressure angle"), "angle", "deg"),
    FactSpec("pinion_offset", mark("Pinion offset"), "length", "mm"),
    FactSpec(
        "gear_cut",
        mark("How the ring gear was cut"),
        "choice",
        choices=(Choice("generated", mark("generated")), Choice("formed", mark("formed"))),
    ),
    FactSpec("cutter_radius", mark("Cutter radius"), "length", "mm"),
    FactSpec(
        "pinion_shim_effect",
        mark("What a thicker pinion shim does"),
        "choice",
        choices=(
            Choice("in", mark("moves the pinion toward the ring gear's axis")),
            Choice("out", mark("moves the pinion away from it")),
        ),
        help=mark("The manuals disagree, for it depends on where the shim sits: look, never guess."),
    ),
    FactSpec("pinion_shim_step", mark("Step between pinion shims"), "length", "mm"),
    FactSpec("side_bearing", mark("Side bearing size"), "text"),
    FactSpec("bolt", mark("Ring-gear bolts"), "text", help=mark("Thread, property class and number.")),
    FactSpec("bolt_thread", mark("Ring-gear bolt thread"), "text", help=mark("Such as M12x1.25.")),
    FactSpec("bolt_class", mark("Ring-gear bolt property class"), "text", help=mark("Such as 10.9.")),
    FactSpec("bolt_friction", mark("Friction of the ring-gear bolts"), "ratio", "one"),
    FactSpec("cup_diameter", mark("Side-bearing cup, nominal diameter"), "length", "mm"),
    FactSpec("cup_bore_class", mark("Tolerance class of the cup bore"), "text", help=mark("Such as N7.")),
    FactSpec("cup_class", mark("Tolerance class of the cup"), "text", help=mark("Such as h6.")),
    FactSpec(
        "pinion_mark_rule",
        mark("How the mark etched on the pinion counts"),
        "choice",
        choices=(
            Choice("old-minus-new", mark("change = old − new")),
            Choice("new-minus-old", mark("change = new − old")),
        ),
        help=mark(
            "The manuals disagree (TM 9-2320-280-34: old − new; TM 5-3895-369-14: new − old): copy the rule from the "
            "unit's own, never guess it."
        ),
    ),
    FactSpec("flange_stub_diameter", mark("Output-flange stub diameter"), "length", "mm"),
    FactSpec("flange_yield", mark("Yield strength of the output flange"), "stress", "mpa"),
    FactSpec("axle_peak_torque", mark("Peak torque of the output"), "torque", "n_m"),
    FactSpec("oil_grade", mark("Oil grade"), "text"),
    FactSpec("fill_volume", mark("Fill volume"), "volume", "l"),
    FactSpec("note", mark("Note"), "text"),
)

LIMITS_BY_KEY = {spec.key: spec for spec in LIMIT_SPECS}
FACTS_BY_KEY = {spec.key: spec for spec in FACT_SPECS}


def is_set_by_nuts(job: Job) -> bool:
    """Tell whether this casing's side bearings are set by adjuster nuts."""
    return job.card.text("setting_method") == ADJUSTER_NUTS


def is_set_by_rings(job: Job) -> bool:
    """Tell whether this casing's side bearings are set by rings or shims."""
    return not is_set_by_nuts(job)


def is_limited_slip(job: Job) -> bool:
    """Tell whether the job fits a limited-slip carrier."""
    return job.is_limited_slip
