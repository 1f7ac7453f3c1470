"""Teardown: what the unit was like when it came in."""

from __future__ import annotations

from collections.abc import Sequence

from core.facts import LEFT
from core.language import mark, tr
from core.stages.aids import PACK_DERIVED, pack_entries
from core.stages.card import is_limited_slip, is_set_by_rings
from core.stages.conditions import CONDITIONS, EYES, HAMMER, HEAVY, MAKER_FIRST, NIP, OIL, note
from core.stages.context import Context
from core.stages.entry import FOUND, Choice, Derived, Entry, Position, Remark, Stage, around, numbered
from core.stages.shared import around_the_gear, mean, pattern_entries, spread, total_of

KEY = "teardown"

_MEASURED = mark("Measured before anything is moved")
_PATTERN = mark("Contact pattern as found")
_RINGS = mark("Rings and pairs")
_PARTS = mark("Condition of parts")
_OIL = mark("Oil and debris")
_CLUTCH = mark("Limited-slip carrier")

_BEARINGS = (
    Position("left_side", mark("left side bearing")),
    Position("right_side", mark("right side bearing")),
    Position("pinion_head", mark("pinion head bearing")),
    Position("pinion_tail", mark("pinion tail bearing")),
)
_GEARS = (Position("ring_gear", mark("ring gear")), Position("pinion", mark("pinion")))
_SIDES = (Position("left", mark("left")), Position("right", mark("right")))
_SEALS = (*_SIDES, Position("pinion", mark("pinion")))


ENTRIES: tuple[Entry, ...] = (
    Entry(
        "backlash_found",
        mark("Backlash as found"),
        "length",
        "mm",
        positions=around(8),
        needed=4,
        limit="backlash",
        gauge="dial",
        lowest=0.0,
        highest=3.0,
        moment=FOUND,
        help=mark("Set the dial stem square to a tooth at the heel and read the backlash in at least four places."),
        group=_MEASURED,
    ),
    Entry(
        "torque_whole",
        mark("Turning torque of the whole unit"),
        "torque",
        "n_m",
        limit="final_turning_torque",
        gauge="torque",
        lowest=0.0,
        highest=60.0,
        moment=FOUND,
        compares="final_turning_torque",
        sheet_label=mark("Turning torque of the whole unit"),
        help=mark("Turn the pinion slowly and read the running torque, not the breakaway."),
        group=_MEASURED,
    ),
    Entry(
        "torque_pinion",
        mark("Turning torque of the pinion alone"),
        "torque",
        "n_m",
        limit="pinion_turning_torque",
        gauge="torque",
        lowest=0.0,
        highest=60.0,
        moment=FOUND,
        help=mark("With the carrier out, turn the pinion slowly and read the running torque."),
        group=_MEASURED,
    ),
    Entry(
        "runout_found",
        mark("Ring-gear back-face runout"),
        "length",
        "mm",
        limit="runout",
        gauge="dial",
        lowest=0.0,
        highest=3.0,
        moment=FOUND,
        compares="runout",
        sheet_label=mark("Ring-gear runout"),
        help=mark("Set the dial on the back face of the ring gear and turn it once."),
        group=_MEASURED,
    ),
    *pattern_entries("contact_", _PATTERN, FOUND, is_trial=False),
    Entry(
        "rings_found_ring_gear_side",
        mark("Ring found on the ring-gear side"),
        "length",
        "mm",
        gauge="micrometer",
        lowest=0.0,
        highest=40.0,
        applies=is_set_by_rings,
        moment=FOUND,
        compares="ring_ring_gear_side",
        sheet_label=mark("Ring on the ring-gear side"),
        help=mark("Measure the ring that came out on the ring-gear side."),
        group=_RINGS,
    ),
    Entry(
        "rings_found_opposite_side",
        mark("Ring found on the opposite side"),
        "length",
        "mm",
        gauge="micrometer",
        lowest=0.0,
        highest=40.0,
        applies=is_set_by_rings,
        moment=FOUND,
        compares="ring_opposite_side",
        sheet_label=mark("Ring on the opposite side"),
        help=mark("Measure the ring that came out on the opposite side."),
        group=_RINGS,
    ),
    Entry(
        "spacer_found",
        mark("Spacer found behind the ring gear"),
        "length",
        "mm",
        needed=0,
        gauge="micrometer",
        lowest=0.0,
        highest=60.0,
        moment=FOUND,
        compares="spacer",
        sheet_label=mark("Spacer"),
        help=mark("Measure the spacer between ring gear and carrier, if there is one."),
        group=_RINGS,
    ),
    Entry(
        "cup_tag",
        mark("Tag on the side-bearing cup"),
        "text",
        positions=_SIDES,
        help=mark("Tag the cup before it comes out, and write the tag down."),
        group=_RINGS,
    ),
    Entry(
        "cone_tag",
        mark("Tag on the side-bearing cone"),
        "text",
        positions=_SIDES,
        help=mark("Give the cone the tag of the cup it ran in: they stay a pair."),
        group=_RINGS,
    ),
    Entry(
        "bearing_condition",
        mark("Bearing"),
        "choice",
        positions=_BEARINGS,
        choices=CONDITIONS,
        moment=FOUND,
        sheet_label=mark("Bearings"),
        help=mark("Look at rollers and races in good light and turn them by hand."),
        group=_PARTS,
    ),
    Entry(
        "gear_condition",
        mark("Gear teeth"),
        "choice",
        positions=_GEARS,
        choices=CONDITIONS,
        moment=FOUND,
        sheet_label=mark("Gear teeth"),
        help=mark("Look for pitting, scoring, chipped edges and blue heat marks."),
        group=_PARTS,
    ),
    Entry(
        "flange_condition",
        mark("Output flange"),
        "choice",
        positions=_SIDES,
        choices=CONDITIONS,
        moment=FOUND,
        sheet_label=mark("Output flanges"),
        help=mark("Check the seal track, the splines and the retaining groove."),
        group=_PARTS,
    ),
    Entry(
        "seal_condition",
        mark("Seal"),
        "choice",
        positions=_SEALS,
        choices=CONDITIONS,
        moment=FOUND,
        sheet_label=mark("Seals"),
        help=mark("Note which seals leaked before they are pulled."),
        group=_PARTS,
    ),
    Entry(
        "thread_condition",
        mark("Casing threads"),
        "choice",
        choices=CONDITIONS,
        moment=FOUND,
        help=mark("Run a clean bolt by hand into every thread."),
        group=_PARTS,
    ),
    Entry(
        "breather_condition",
        mark("Breather"),
        "choice",
        choices=CONDITIONS,
        moment=FOUND,
        help=mark("Blow through the breather: it must pass air."),
        group=_PARTS,
    ),
    Entry(
        "parts_note",
        mark("What was seen on the parts"),
        "text",
        needed=0,
        sheet_label=mark("Seen on the parts"),
        help=mark("Describe damage in words the customer will understand."),
        group=_PARTS,
    ),
    Entry(
        "oil_found",
        mark("Oil"),
        "choice",
        choices=(
            Choice("clear", mark("clear"), True),
            Choice("dark", mark("dark")),
            Choice("milky", mark("milky: water in it"), False),
            Choice("burnt", mark("burnt smell"), False),
            Choice("low", mark("too little"), False),
        ),
        moment=FOUND,
        sheet_label=mark("Oil"),
        help=mark("Drain into a clean pan and look at the oil."),
        group=_OIL,
    ),
    Entry(
        "debris_found",
        mark("Debris"),
        "choice",
        choices=(
            Choice("none", mark("none"), True),
            Choice("paste", mark("fine steel paste")),
            Choice("flakes", mark("flakes or splinters"), False),
            Choice("bronze", mark("bronze"), False),
        ),
        moment=FOUND,
        sheet_label=mark("Debris in the oil"),
        help=mark("Wipe the magnet and look at what it holds."),
        group=_OIL,
    ),
    Entry(
        "clutch_pack",
        mark("Clutch-pack height"),
        "length",
        "mm",
        limit="clutch_pack",
        gauge="caliper",
        lowest=0.0,
        highest=200.0,
        applies=is_limited_slip,
        moment=FOUND,
        sheet_label=mark("Clutch-pack height"),
        help=mark("Measure the stacked plates, pressed together by hand."),
        group=_CLUTCH,
    ),
    Entry(
        "plate_thickness",
        mark("Clutch-plate thickness"),
        "length",
        "mm",
        positions=numbered(8, mark("plate")),
        needed=2,
        limit="plate_thickness",
        gauge="micrometer",
        lowest=0.0,
        highest=20.0,
        applies=is_limited_slip,
        moment=FOUND,
        help=mark("Measure each plate on its friction faces."),
        group=_CLUTCH,
    ),
    *pack_entries(_CLUTCH),
    Entry(
        "breakaway_torque",
        mark("Clutch-pack breakaway torque"),
        "torque",
        "n_m",
        limit="breakaway_torque",
        gauge="torque",
        lowest=0.0,
        highest=1000.0,
        applies=is_limited_slip,
        moment=FOUND,
        sheet_label=mark("Limited-slip breakaway torque"),
        help=mark("Hold one side, turn the other, and read the torque at which it lets go."),
        group=_CLUTCH,
    ),
    note(),
)


DERIVED: tuple[Derived, ...] = (
    Derived(
        "backlash_mean_found",
        mark("Mean backlash as found"),
        "length",
        "mm",
        around_the_gear(KEY, "backlash_found", mean),
        limit="backlash",
        gauge_entry="backlash_found",
        moment=FOUND,
        compares="backlash_mean",
        sheet_label=mark("Backlash, mean"),
    ),
    Derived(
        "backlash_variation_found",
        mark("Variation around the gear as found"),
        "length",
        "mm",
        around_the_gear(KEY, "backlash_found", spread),
        limit="backlash_variation",
        gauge_entry="backlash_found",
        moment=FOUND,
        compares="backlash_variation",
        sheet_label=mark("Backlash, variation around the gear"),
    ),
    Derived(
        "ring_sum_found",
        mark("Ring sum as found"),
        "length",
        "mm",
        total_of(KEY, "rings_found_ring_gear_side", "rings_found_opposite_side"),
        moment=FOUND,
        compares="ring_sum",
        sheet_label=mark("Ring sum"),
    ),
    *PACK_DERIVED,
)


def _remarks(context: Context) -> Sequence[Remark]:
    """Point at bearings whose cup and cone are about to lose each other."""
    found = []
    for side in _SIDES:
        cup = context.text(KEY, "cup_tag", side.key).strip()
        cone = context.text(KEY, "cone_tag", side.key).strip()
        if cup and cone and cup.casefold() != cone.casefold():
            where = tr("left") if side.key == LEFT else tr("right")
            found.append(
                Remark(
                    tr(
                        "On the {side} the cup is tagged {cup} and the cone {cone}: a cup and its cone stay together.",
                        side=where,
                        cup=cup,
                        cone=cone,
                    ),
                    is_warning=True,
                )
            )
    return found


TEARDOWN = Stage(
    KEY,
    mark("Teardown"),
    ENTRIES,
    cautions=(MAKER_FIRST, EYES, HEAVY, HAMMER, NIP, OIL),
    derived=DERIVED,
    figure="teardown",
    remarks=_remarks,
)
