"""Fill: seals and flanges on, oil in, the unit checked and handed over."""

from __future__ import annotations

from collections.abc import Sequence

from core.language import mark, tr
from core.stages.aids import GROOVE_DERIVED, groove_remarks
from core.stages.card import is_limited_slip
from core.stages.conditions import BOLTS, EYES, HEAVY, MAKER_FIRST, OIL, note
from core.stages.context import Context
from core.stages.entry import LEFT_AS, YES_NO_GOOD, Choice, Entry, Position, Remark, Stage

KEY = "fill"

_SEALS = mark("Seals and flanges")
_OIL = mark("Oil")
_CHECK = mark("Last checks")

_SEAL_PLACES = (
    Position("left", mark("left output")),
    Position("right", mark("right output")),
    Position("pinion", mark("pinion")),
)

ENTRIES: tuple[Entry, ...] = (
    Entry(
        "seal_fitted",
        mark("Seal fitted"),
        "choice",
        positions=_SEAL_PLACES,
        choices=(
            Choice("new", mark("new"), True),
            Choice("kept", mark("kept")),
            Choice("damaged", mark("damaged in fitting"), False),
        ),
        moment=LEFT_AS,
        sheet_label=mark("Seals"),
        help=mark("Grease the lip, press the seal in square, and look at the lip again."),
        group=_SEALS,
    ),
    Entry(
        "groove_bottom",
        mark("Output-flange groove, how it is cut"),
        "choice",
        choices=(
            Choice("radius", mark("turned with a radius"), True),
            Choice("square", mark("square-cut"), False),
        ),
        moment=LEFT_AS,
        sheet_label=mark("Output-flange groove"),
        help=mark("Look into the groove with a lens: a square-cut corner starts a crack and the flange snaps."),
        group=_SEALS,
    ),
    Entry(
        "groove_radius",
        mark("Groove root radius"),
        "length",
        "mm",
        limit="groove_radius",
        gauge="radius_gauge",
        lowest=0.0,
        highest=10.0,
        moment=LEFT_AS,
        sheet_label=mark("Groove root radius"),
        help=mark("Try the radius gauge in the root of the groove."),
        group=_SEALS,
    ),
    Entry(
        "groove_diameter",
        mark("Groove root diameter"),
        "length",
        "mm",
        limit="groove_diameter",
        gauge="caliper",
        lowest=5.0,
        highest=120.0,
        moment=LEFT_AS,
        help=mark("Measure the diameter left at the bottom of the groove."),
        group=_SEALS,
    ),
    Entry(
        "groove_width",
        mark("Groove width"),
        "length",
        "mm",
        limit="groove_width",
        gauge="caliper",
        lowest=0.2,
        highest=20.0,
        moment=LEFT_AS,
        help=mark("Measure the width; the ring must drop in freely."),
        group=_SEALS,
    ),
    Entry(
        "groove_position",
        mark("Groove position from the stub end"),
        "length",
        "mm",
        gauge="caliper",
        lowest=0.0,
        highest=300.0,
        moment=LEFT_AS,
        help=mark("Measure from the end of the stub to the near edge of the groove."),
        group=_SEALS,
    ),
    Entry(
        "cover_bolt_torque",
        mark("Cover bolts"),
        "torque",
        "n_m",
        limit="cover_bolt_torque",
        gauge="torque",
        lowest=0.5,
        highest=300.0,
        moment=LEFT_AS,
        sheet_label=mark("Cover bolt torque"),
        help=mark("Tighten the cover bolts crosswise and write down the torque."),
        group=_SEALS,
    ),
    Entry(
        "oil_grade",
        mark("Oil grade filled"),
        "text",
        moment=LEFT_AS,
        sheet_label=mark("Oil grade"),
        help=mark("Write down the grade on the bottle."),
        group=_OIL,
    ),
    Entry(
        "oil_volume",
        mark("Oil filled"),
        "volume",
        "l",
        limit="oil_volume",
        gauge="vessel",
        lowest=0.05,
        highest=30.0,
        moment=LEFT_AS,
        sheet_label=mark("Oil filled"),
        help=mark("Write down how much went in until it ran from the level hole."),
        group=_OIL,
    ),
    Entry(
        "filled_on_level",
        mark("On the level, until oil ran from the level hole"),
        "yes_no",
        choices=YES_NO_GOOD,
        moment=LEFT_AS,
        sheet_label=mark("Filled on the level until it ran"),
        help=mark("Stand the unit as it sits in the vehicle and fill until oil runs from the level hole."),
        group=_OIL,
    ),
    Entry(
        "friction_modifier",
        mark("Friction modifier"),
        "volume",
        "ml",
        needed=0,
        lowest=0.0,
        highest=3.0,
        applies=is_limited_slip,
        moment=LEFT_AS,
        sheet_label=mark("Friction modifier"),
        help=mark("Only if the oil does not already carry it; write 0 if none."),
        group=_OIL,
    ),
    Entry(
        "final_turning_torque",
        mark("Turning torque at the pinion, finished"),
        "torque",
        "n_m",
        limit="final_turning_torque",
        gauge="torque",
        lowest=0.0,
        highest=60.0,
        moment=LEFT_AS,
        compares="final_turning_torque",
        sheet_label=mark("Turning torque of the whole unit"),
        help=mark("Turn the finished unit at the pinion and read the running torque."),
        group=_CHECK,
    ),
    Entry(
        "leak_check",
        mark("No leak after an hour"),
        "yes_no",
        choices=YES_NO_GOOD,
        moment=LEFT_AS,
        sheet_label=mark("No leak after an hour"),
        help=mark("Wipe the unit dry, leave it an hour, and look at every seal and plug."),
        group=_CHECK,
    ),
    Entry(
        "run_in_explained",
        mark("Run-in explained to the customer"),
        "yes_no",
        choices=YES_NO_GOOD,
        help=mark("Go through the run-in on the sheet with the customer."),
        group=_CHECK,
    ),
    note(),
)


def _remarks(context: Context) -> Sequence[Remark]:
    found = list(groove_remarks(context))
    asked, filled = context.card.text("oil_grade").strip(), context.text(KEY, "oil_grade").strip()
    if asked and filled and asked.casefold() != filled.casefold():
        found.append(
            Remark(
                tr("The card asks for {asked}, but {filled} was filled.", asked=asked, filled=filled), is_warning=True
            )
        )
    if context.text(KEY, "groove_bottom") == "square":
        found.append(
            Remark(
                tr("A square-cut groove snaps under load: have the groove turned with a radius, or change the flange."),
                is_warning=True,
            )
        )
    return found


def _next_thing(context: Context) -> str | None:
    if context.job.signed_at is not None:
        return tr("Signed by {name}; hand the sheet over.", name=context.job.signed_by)
    return None


FILL = Stage(
    KEY,
    mark("Fill"),
    ENTRIES,
    cautions=(MAKER_FIRST, EYES, BOLTS, HEAVY, OIL),
    derived=(GROOVE_DERIVED,),
    figure="groove",
    remarks=_remarks,
    next_thing=_next_thing,
)
