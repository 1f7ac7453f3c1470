"""Calculations on tightening: the wrench with an adapter, the rounds and the order of a bolt circle."""

from __future__ import annotations

from core.calculations.declare import Calculation, Input, Result, Results
from core.language import mark
from core.mechanics.checks import within
from core.mechanics.torque import adapter_setting_nm, adapter_torque_nm, crosswise_order, tightening_steps_nm

SUBJECT = mark("Tightening")
MOST_BOLTS = 64

WRENCH_LENGTH = Input(
    "wrench_length", mark("Wrench length"), "length", measured=mark("From the middle of the hand to the drive.")
)
ADAPTER_LENGTH = Input(
    "adapter_length", mark("Adapter length"), "length", measured=mark("From the drive to the middle of the bolt.")
)
ADAPTER_ANGLE = Input(
    "adapter_angle",
    mark("Angle of the adapter (0: straight out)"),
    "angle",
    default="0",
    measured=mark("From the wrench's line beyond the drive: 0 straight out, 90 square, 180 folded back."),
    rule_names=("lever from the hand to the bolt",),
)
ADAPTER_CAUTION = mark(
    "Hold the wrench in the middle of its grip and set it back afterwards: a wrong setting breaks bolts."
)


def _adapter_torque(torque: float, wrench_length: float, adapter_length: float, adapter_angle: float) -> Results:
    return {"setting": adapter_setting_nm(torque, wrench_length, adapter_length, adapter_angle)}


def _adapter_check(setting: float, wrench_length: float, adapter_length: float, adapter_angle: float) -> Results:
    return {"torque": adapter_torque_nm(setting, wrench_length, adapter_length, adapter_angle)}


def _tightening_rounds(torque: float, bolts: int) -> Results:
    first_nm, second_nm, last_nm = tightening_steps_nm(torque)
    order = crosswise_order(int(within("bolts", bolts, 3, MOST_BOLTS)))
    return {
        "first_round": first_nm,
        "second_round": second_nm,
        "last_round": last_nm,
        "order": " ".join(str(bolt) for bolt in order),
    }


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "adapter-torque",
        mark("Wrench setting with an adapter"),
        SUBJECT,
        (Input("torque", mark("Torque wanted at the bolt"), "torque"), WRENCH_LENGTH, ADAPTER_LENGTH, ADAPTER_ANGLE),
        (Result("setting", mark("Set the wrench to"), "torque"),),
        _adapter_torque,
        mark("T_set = T L/(L + A cos θ); a square adapter needs no correction"),
        mark("TM 9-2350-261-34"),
        caution=ADAPTER_CAUTION,
        figure="adapter",
    ),
    Calculation(
        "adapter-check",
        mark("What the bolt got through an adapter"),
        SUBJECT,
        (Input("setting", mark("The wrench was set to"), "torque"), WRENCH_LENGTH, ADAPTER_LENGTH, ADAPTER_ANGLE),
        (Result("torque", mark("Torque at the bolt"), "torque"),),
        _adapter_check,
        mark("T = T_set (L + A cos θ)/L"),
        mark("TM 9-2350-261-34"),
        caution=ADAPTER_CAUTION,
        figure="adapter",
    ),
    Calculation(
        "tightening-rounds",
        mark("Rounds and order of a bolt circle"),
        SUBJECT,
        (
            Input("torque", mark("Final torque"), "torque", rule_names=("final_nm",)),
            Input("bolts", mark("Bolts around the circle"), "count"),
        ),
        (
            Result("first_round", mark("First round"), "torque"),
            Result("second_round", mark("Second round"), "torque"),
            Result("last_round", mark("Last round"), "torque"),
            Result("order", mark("Order, numbered around the circle from 1"), "text"),
        ),
        _tightening_rounds,
        mark("30 %, 60 % and all of the torque; each bolt followed by the one opposite"),
        mark("Within the rounds and the cross pattern of ASME PCC-1 (from memory)"),
        mark("3 to 64 bolts. A maker's manual that gives rounds or angles comes first."),
        figure="bolt_circle",
    ),
)
