"""Calculations on what sits beside the carrier: rings, shims, adjuster nuts and spacers."""

from __future__ import annotations

from core.calculations.declare import Calculation, Input, Result, Results
from core.language import mark
from core.mechanics.rings import RingPair, nut_notches, nut_travel_mm, spacer_mm, stack_tolerance_mm, swap

SUBJECT = mark("Rings, nuts and spacers")

THREAD_PITCH = Input("thread_pitch", mark("Thread pitch of the nut"), "length")
NOTCHES_PER_TURN = Input("notches_per_turn", mark("Notches around the nut"), "count")


def _ring_swap(ring_gear_side: float, opposite_side: float, move: float, preload_add: float) -> Results:
    fitted = swap(RingPair(ring_gear_side, opposite_side), move, preload_add)
    return {
        "ring_gear_side": fitted.ring_gear_side_mm,
        "opposite_side": fitted.opposite_side_mm,
        "sum": fitted.sum_mm,
        "split": fitted.split_mm,
    }


def _nut_travel(notches: float, thread_pitch: float, notches_per_turn: int) -> Results:
    return {"travel": nut_travel_mm(notches, thread_pitch, notches_per_turn)}


def _nut_notches(travel: float, thread_pitch: float, notches_per_turn: int) -> Results:
    return {"notches": nut_notches(travel, thread_pitch, notches_per_turn)}


def _spacer(old_flange_height: float, new_flange_height: float, old_spacer: float) -> Results:
    return {"spacer": spacer_mm(old_flange_height, new_flange_height, old_spacer)}


def _stack_tolerance(tolerances: tuple[float, ...]) -> Results:
    worst_mm, usual_mm = stack_tolerance_mm(tolerances)
    return {"worst": worst_mm, "usual": usual_mm}


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "ring-swap",
        mark("Next pair of rings for a move"),
        SUBJECT,
        (
            Input("ring_gear_side", mark("Now on the ring-gear side"), "length"),
            Input("opposite_side", mark("Now on the opposite side"), "length"),
            Input(
                "move",
                mark("Move of the ring gear"),
                "length",
                measured=mark("Positive takes the ring gear away from the pinion: more backlash."),
            ),
            Input("preload_add", mark("Added on each side for preload (0: the sum is kept)"), "length", default="0"),
        ),
        (
            Result("ring_gear_side", mark("Fit on the ring-gear side"), "length"),
            Result("opposite_side", mark("Fit on the opposite side"), "length"),
            Result("sum", mark("Ring sum"), "length"),
            Result("split", mark("Split, ring-gear side minus opposite side"), "length"),
        ),
        _ring_swap,
        mark("ring-gear side − move + added; opposite side + move + added"),
        mark("TM 9-2320-289-34, Table 6-1"),
        figure="ring_stack",
    ),
    Calculation(
        "nut-travel",
        mark("What adjuster-nut notches are worth"),
        SUBJECT,
        (
            Input("notches", mark("Notches turned; positive inward"), "ratio"),
            THREAD_PITCH,
            NOTCHES_PER_TURN,
        ),
        (Result("travel", mark("Travel of the bearing; counts like added thickness"), "length"),),
        _nut_travel,
        mark("travel = notches · pitch/notches around the nut"),
        mark("Geometry of a thread"),
    ),
    Calculation(
        "nut-notches",
        mark("Adjuster-nut notches for a travel"),
        SUBJECT,
        (
            Input("travel", mark("Travel wanted; positive inward"), "length"),
            THREAD_PITCH,
            NOTCHES_PER_TURN,
        ),
        (
            Result(
                "notches", mark("Notches; round both nuts alike, what one gives the other takes"), "ratio", decimals=2
            ),
        ),
        _nut_notches,
        mark("notches = travel · notches around the nut/pitch"),
        mark("Geometry of a thread"),
    ),
    Calculation(
        "spacer",
        mark("Spacer behind the ring gear for another carrier"),
        SUBJECT,
        (
            Input(
                "old_flange_height",
                mark("Flange height of the old carrier"),
                "length",
                measured=mark("From the shoulder of the ring-gear-side bearing to the face the ring gear sits on."),
            ),
            Input("new_flange_height", mark("Flange height of the new carrier"), "length"),
            Input("old_spacer", mark("Spacer found on the old carrier (0: none)"), "length", default="0"),
        ),
        (Result("spacer", mark("Spacer to fit"), "length"),),
        _spacer,
        mark("spacer = old spacer + old height − new height"),
        mark("Plain geometry of measured heights"),
        mark(
            "The bearing in the same place in the casing. Preload is set anew: shoulders may stand wider or narrower."
        ),
        mark("The bolts lose engagement by the spacer's thickness: check it and fit longer ones where it is short."),
        figure="spacer",
    ),
    Calculation(
        "stack-tolerance",
        mark("How far a stack of parts may be off"),
        SUBJECT,
        (Input("tolerances", mark("± of each part"), "length", is_list=True, rule_names=("tolerance_mm",)),),
        (Result("worst", mark("At worst, ±"), "length"), Result("usual", mark("As a rule, ±"), "length")),
        _stack_tolerance,
        mark("at worst Σ t; as a rule √Σ t², for independent parts"),
        mark("Textbook"),
    ),
)
