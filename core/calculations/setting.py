"""Calculations on what sits beside the carrier, and on tightening what holds it."""

from __future__ import annotations

from collections.abc import Mapping

from core.calculations.declare import Calculation, Input, Result, Value
from core.language import mark
from core.mechanics.rings import RingPair, nut_travel_mm, spacer_mm, swap
from core.mechanics.torque import adapter_setting_nm

RINGS = mark("Rings, nuts and spacers")
TIGHTENING = mark("Tightening")


def _ring_swap(
    ring_gear_side: float, opposite_side: float, move: float, preload_add: float
) -> Mapping[str, Value]:
    fitted = swap(RingPair(ring_gear_side, opposite_side), move, preload_add)
    return {"ring_gear_side": fitted.ring_gear_side_mm, "opposite_side": fitted.opposite_side_mm}


def _nut_travel(notches: int, thread_pitch: float, notches_per_turn: int) -> Mapping[str, Value]:
    return {"travel": nut_travel_mm(notches, thread_pitch, notches_per_turn)}


def _spacer(old_flange_height: float, new_flange_height: float, old_spacer: float) -> Mapping[str, Value]:
    return {"spacer": spacer_mm(old_flange_height, new_flange_height, old_spacer)}


def _adapter_torque(
    torque: float, wrench_length: float, adapter_length: float, adapter_angle: float
) -> Mapping[str, Value]:
    return {"setting": adapter_setting_nm(torque, wrench_length, adapter_length, adapter_angle)}


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "ring-swap",
        mark("Next pair of rings for a move"),
        RINGS,
        (
            Input("ring_gear_side", mark("Now on the ring-gear side"), "length", "mm"),
            Input("opposite_side", mark("Now on the opposite side"), "length", "mm"),
            Input(
                "move",
                mark("Move of the ring gear"),
                "length",
                "mm",
                measured=mark("Positive takes the ring gear away from the pinion: more backlash."),
            ),
            Input("preload_add", mark("Added on each side for preload"), "length", "mm", "0"),
        ),
        (
            Result("ring_gear_side", mark("Fit on the ring-gear side"), "length", "mm"),
            Result("opposite_side", mark("Fit on the opposite side"), "length", "mm"),
        ),
        _ring_swap,
        mark("ring-gear side − move + added; opposite side + move + added"),
        mark("TM 9-2320-289-34, Table 6-1"),
        figure="ring_stack",
    ),
    Calculation(
        "nut-travel",
        mark("What adjuster-nut notches are worth"),
        RINGS,
        (
            Input("notches", mark("Notches turned in"), "count"),
            Input("thread_pitch", mark("Thread pitch"), "length", "mm"),
            Input("notches_per_turn", mark("Notches in one turn"), "count"),
        ),
        (Result("travel", mark("Travel of the bearing"), "length", "mm"),),
        _nut_travel,
        mark("notches × pitch/notches in a turn"),
        mark("Geometry of a thread"),
    ),
    Calculation(
        "spacer",
        mark("Spacer behind the ring gear for another carrier"),
        RINGS,
        (
            Input(
                "old_flange_height",
                mark("Flange height of the old carrier"),
                "length",
                "mm",
                measured=mark("From the side-bearing seat of the ring-gear side to the face the ring gear sits on."),
            ),
            Input("new_flange_height", mark("Flange height of the new carrier"), "length", "mm"),
            Input("old_spacer", mark("Spacer that was fitted"), "length", "mm", "0"),
        ),
        (Result("spacer", mark("Spacer to fit"), "length", "mm"),),
        _spacer,
        mark("old spacer + old height − new height"),
        mark("Stack of measured heights"),
    ),
    Calculation(
        "adapter-torque",
        mark("Wrench setting with an adapter"),
        TIGHTENING,
        (
            Input("torque", mark("Torque wanted at the bolt"), "torque", "n_m"),
            Input(
                "wrench_length",
                mark("Wrench length"),
                "length",
                "mm",
                measured=mark("From the middle of the hand to the drive."),
            ),
            Input(
                "adapter_length",
                mark("Adapter length"),
                "length",
                "mm",
                measured=mark("From the drive to the middle of the bolt."),
            ),
            Input(
                "adapter_angle",
                mark("Angle of the adapter"),
                "angle",
                "deg",
                "0",
                measured=mark("From the wrench's line beyond the drive: 0 straight out, 90 square, 180 folded back."),
            ),
        ),
        (Result("setting", mark("Set the wrench to"), "torque", "n_m"),),
        _adapter_torque,
        mark("T_set = T L/(L + A cos θ); a square adapter needs no correction"),
        mark("TM 9-2350-261-34"),
        figure="adapter",
    ),
)
