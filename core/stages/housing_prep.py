"""Housing prep: the casing made ready for a carrier it may never have had."""

from __future__ import annotations

from core.language import mark
from core.stages.aids import CUP_DERIVED, cup_entries, cup_remarks
from core.stages.conditions import CONDITIONS, DUST, EYES, HEAVY, MAKER_FIRST, SOLVENT, note
from core.stages.entry import LEFT_AS, YES_NO_GOOD, Choice, Derived, Entry, Position, Stage, numbered
from core.stages.shared import Compute

KEY = "housing_prep"

_RELIEF = mark("Relieving the casing")
_CLEAN = mark("Cleaning")
_BORES = mark("Bores and threads")

_SIDES = (Position("left", mark("left")), Position("right", mark("right")))

ENTRIES: tuple[Entry, ...] = (
    Entry(
        "bearings_masked",
        mark("Pinion bearings masked before grinding"),
        "yes_no",
        choices=YES_NO_GOOD,
        help=mark("Mask the pinion bearings before a grinder comes near: grit in them ruins the unit."),
        group=_RELIEF,
    ),
    Entry(
        "places_marked",
        mark("Places that interfere"),
        "count",
        highest=50,
        help=mark("Turn the carrier in the casing, mark every place that rubs, and count the marks."),
        group=_RELIEF,
    ),
    Entry(
        "places_relieved",
        mark("Places relieved"),
        "count",
        highest=50,
        help=mark("Grind the marked places back and count them off."),
        group=_RELIEF,
    ),
    Entry(
        "running_clearance",
        mark("Running clearance, carrier to casing"),
        "length",
        "mm",
        positions=numbered(6, mark("place")),
        needed=3,
        limit="running_clearance",
        gauge="feeler",
        lowest=0.0,
        highest=50.0,
        help=mark("Turn the carrier once fully by hand and feel the smallest gap at several places."),
        group=_RELIEF,
    ),
    Entry(
        "washed",
        mark("Washed and dried after grinding"),
        "yes_no",
        choices=YES_NO_GOOD,
        sheet_label=mark("Casing washed and dried"),
        help=mark("Wash the casing and every oil way, then dry it."),
        group=_CLEAN,
    ),
    Entry(
        "magnet_check",
        mark("Magnet check"),
        "choice",
        choices=(Choice("clean", mark("clean"), True), Choice("particles", mark("particles found"), False)),
        help=mark("Wipe the whole inside with a magnet in a clean cloth; repeat the wash until nothing sticks."),
        group=_CLEAN,
    ),
    Entry(
        "cup_bore",
        mark("Side-bearing cup bore"),
        "length",
        "mm",
        positions=_SIDES,
        limit="cup_bore",
        gauge="bore_gauge",
        lowest=10.0,
        highest=300.0,
        help=mark("Measure the bore the cup sits in, across and along."),
        group=_BORES,
    ),
    *cup_entries(_BORES),
    Entry(
        "seal_bore",
        mark("Seal bore"),
        "length",
        "mm",
        positions=_SIDES,
        needed=0,
        limit="seal_bore",
        gauge="bore_gauge",
        lowest=10.0,
        highest=300.0,
        help=mark("Measure the bores the output seals sit in."),
        group=_BORES,
    ),
    Entry(
        "threads",
        mark("Casing threads now"),
        "choice",
        choices=CONDITIONS,
        moment=LEFT_AS,
        help=mark("Run a clean bolt into every thread again, inserts included."),
        group=_BORES,
    ),
    Entry(
        "breather",
        mark("Breather now"),
        "choice",
        choices=CONDITIONS,
        moment=LEFT_AS,
        help=mark("The breather must pass air, and be masked from grit."),
        group=_BORES,
    ),
    note(),
)


def _smallest_clearance() -> Compute:
    return lambda context, trial: min(context.values(KEY, "running_clearance").values(), default=None)


HOUSING_PREP = Stage(
    KEY,
    mark("Housing prep"),
    ENTRIES,
    cautions=(MAKER_FIRST, EYES, DUST, SOLVENT, HEAVY),
    derived=(
        Derived(
            "smallest_clearance",
            mark("Smallest running clearance"),
            "length",
            "mm",
            _smallest_clearance(),
            limit="running_clearance",
            gauge_entry="running_clearance",
            moment=LEFT_AS,
            sheet_label=mark("Smallest clearance, carrier to casing"),
        ),
        *CUP_DERIVED,
    ),
    remarks=cup_remarks,
)
