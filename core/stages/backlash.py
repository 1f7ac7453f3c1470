"""Backlash: the ring gear bolted on and moved to or from the pinion, with the ring sum kept."""

from __future__ import annotations

from collections.abc import Sequence

from core.language import mark, tr
from core.mechanics.rings import partner_mm
from core.quantities import Amount, show
from core.stages.aids import (
    BOLTING_DERIVED,
    adapter_angle_entry,
    bolt_torque_nm,
    dial_entries,
    dial_remarks,
    gauge_factor,
    spacer_entries,
)
from core.stages.conditions import BOLTS, HAMMER, HEAVY, MAKER_FIRST, NIP, note
from core.stages.context import Context
from core.stages.entry import LEFT_AS, YES_NO_GOOD, Derived, Entry, Position, Remark, Stage, around
from core.stages.preload import ACCEPT, accept_entry, accepted_sum_mm, refuse_side
from core.stages.shared import around_the_gear, mean, spread
from core.stages.sides import NUT, in_mm, in_notches, is_side, other_side, ring_sum_mm, side_entries, side_mm

KEY = "backlash"
DEFAULT_SUM_TOLERANCE_MM = 0.02
"""How far a pair may stray from the sum preload fixed, where the card does not say (common practice)."""

_BOLTING = mark("Ring gear bolted on")
_DIAL = mark("How the dial stands")
_TRIAL = mark("Trial")

ENTRIES: tuple[Entry, ...] = (
    Entry(
        "spacer",
        mark("Spacer behind the ring gear"),
        "length",
        "mm",
        needed=0,
        limit="spacer",
        gauge="micrometer",
        lowest=0.0,
        highest=60.0,
        moment=LEFT_AS,
        compares="spacer",
        sheet_label=mark("Spacer"),
        help=mark("Measure the spacer between ring gear and carrier, if one is fitted."),
        group=_BOLTING,
    ),
    Entry(
        "thread_locker",
        mark("Thread-locking compound on clean threads"),
        "yes_no",
        choices=YES_NO_GOOD,
        help=mark("Degrease the threads and put thread-locking compound on every ring-gear bolt."),
        group=_BOLTING,
    ),
    Entry(
        "bolt_steps",
        mark("Tightened crosswise, in steps"),
        "count",
        lowest=1,
        highest=10,
        help=mark("Tighten the ring-gear bolts crosswise and write down in how many steps."),
        group=_BOLTING,
    ),
    Entry(
        "bolt_setting",
        mark("Last setting of the wrench"),
        "torque",
        "n_m",
        gauge="torque",
        lowest=1.0,
        highest=1000.0,
        help=mark("Write down what the wrench was set to for the last step."),
        group=_BOLTING,
    ),
    Entry(
        "wrench_length",
        mark("Wrench length, hand to drive"),
        "length",
        "mm",
        needed=0,
        lowest=50.0,
        highest=2000.0,
        help=mark("Only with an adapter: from the middle of the hand to the drive."),
        group=_BOLTING,
    ),
    Entry(
        "adapter_length",
        mark("Adapter length"),
        "length",
        "mm",
        needed=0,
        lowest=0.0,
        highest=500.0,
        help=mark("Only with an adapter: from the drive to the middle of the bolt."),
        group=_BOLTING,
    ),
    adapter_angle_entry(_BOLTING),
    *spacer_entries(_BOLTING),
    Entry(
        "runout",
        mark("Ring-gear back-face runout, bolted on"),
        "length",
        "mm",
        limit="runout",
        gauge="dial",
        lowest=0.0,
        highest=3.0,
        moment=LEFT_AS,
        compares="runout",
        sheet_label=mark("Ring-gear runout"),
        help=mark("Turn the bolted ring gear once under the dial."),
        group=_BOLTING,
    ),
    *dial_entries(_DIAL),
    *side_entries(_TRIAL),
    Entry(
        "backlash",
        mark("Backlash"),
        "length",
        "mm",
        positions=around(8),
        limit="backlash",
        gauge="dial",
        lowest=0.0,
        highest=3.0,
        is_trial=True,
        moment=LEFT_AS,
        factor=gauge_factor,
        help=mark("Set the dial stem square to a tooth at the heel, hold the pinion still, rock the ring gear."),
        group=_TRIAL,
    ),
    accept_entry(mark("Accept the trial whose backlash is right all around the gear.")),
    note(),
)


def sum_tolerance_mm(context: Context) -> float:
    """Return how far a backlash pair may stray from the ring sum [mm]."""
    stated = context.card.number("ring_sum_tolerance")
    return DEFAULT_SUM_TOLERANCE_MM if stated is None else stated


def _refuse_sum(context: Context, entry: Entry, trial: int, amount: Amount, fixed_mm: float) -> tuple[str, str] | None:
    """Refuse a pair that changes the ring sum, and offer the partner that would keep it."""
    this_mm = in_mm(context.job, entry.key, amount.value)
    other_mm = side_mm(context, KEY, trial, other_side(entry.key.removeprefix(NUT)))
    if this_mm is None or other_mm is None:
        return None
    tolerance_mm = sum_tolerance_mm(context)
    # Rounded far below any gauge, so that a pair exactly on the tolerance passes in every unit of entry.
    if round(abs(this_mm + other_mm - fixed_mm) - tolerance_mm, 9) <= 0:
        return None
    unit = "mm" if entry.key.startswith(NUT) else amount.unit
    if other_mm >= fixed_mm:
        return (
            tr("{other} on the other side is already the whole ring sum.", other=show("length", other_mm, unit)),
            tr("Correct that side first."),
        )
    return (
        tr(
            "This pair makes {pair}, but preload fixed the ring sum at {fixed} (± {tolerance}).",
            pair=show("length", this_mm + other_mm, unit),
            fixed=show("length", fixed_mm, unit),
            tolerance=show("length", tolerance_mm, unit),
        ),
        _offer(context, entry, fixed_mm, other_mm, unit),
    )


def _offer(context: Context, entry: Entry, fixed_mm: float, other_mm: float, unit: str) -> str:
    """Offer what would keep the ring sum: a thickness, or for a nut the whole notches that come nearest."""
    wanted_mm = partner_mm(fixed_mm, other_mm)
    if entry.key.startswith(NUT):
        return tr(
            "With {other} notches on the other side, count {partner} here.",
            other=in_notches(context.job, other_mm),
            partner=in_notches(context.job, wanted_mm),
        )
    return tr(
        "With {other} on the other side, fit {partner} here.",
        other=show("length", other_mm, unit),
        partner=show("length", wanted_mm, unit),
    )


def _refuse(context: Context, entry: Entry, position: Position, trial: int, amount: Amount) -> tuple[str, str] | None:
    if not entry.is_trial:
        return None
    fixed_mm = accepted_sum_mm(context)
    if fixed_mm is None:
        return (
            tr("Backlash waits for preload: no preload trial has been accepted, so the ring sum is not fixed."),
            tr("Accept a preload trial first."),
        )
    if is_side(entry.key):
        return refuse_side(context, entry, amount) or _refuse_sum(context, entry, trial, amount, fixed_mm)
    return None


def _gate(context: Context) -> str | None:
    if accepted_sum_mm(context) is not None:
        return None
    return tr("Bolt the ring gear on; backlash trials wait until a preload trial is accepted.")


def _remarks(context: Context) -> Sequence[Remark]:
    found = list(dial_remarks(context))
    if context.value(KEY, "adapter_length") and not context.value(KEY, "wrench_length"):
        found.append(
            Remark(tr("With an adapter the wrench length is needed to know the torque at the bolt."), is_warning=True)
        )
    fixed_mm, accepted = accepted_sum_mm(context), context.accepted_trial(KEY, ACCEPT)
    if fixed_mm is not None and accepted is not None:
        pair_mm = ring_sum_mm(context, KEY, accepted)
        if pair_mm is not None and round(abs(pair_mm - fixed_mm) - sum_tolerance_mm(context), 9) > 0:
            found.append(
                Remark(
                    tr("Preload was accepted anew and its ring sum no longer fits this pair: set backlash again."),
                    is_warning=True,
                )
            )
    return found


BACKLASH = Stage(
    KEY,
    mark("Backlash"),
    ENTRIES,
    cautions=(MAKER_FIRST, BOLTS, HEAVY, NIP, HAMMER),
    derived=(
        Derived(
            "bolt_torque",
            mark("Torque at the ring-gear bolts"),
            "torque",
            "n_m",
            bolt_torque_nm,
            limit="ring_gear_bolt_torque",
            gauge_entry="bolt_setting",
            moment=LEFT_AS,
            sheet_label=mark("Ring-gear bolt torque"),
            help=mark("Through the adapter, where there was one; a square adapter changes nothing."),
        ),
        *BOLTING_DERIVED,
        Derived(
            "ring_sum",
            mark("Ring sum"),
            "length",
            "mm",
            lambda context, trial: ring_sum_mm(context, KEY, trial),
            is_trial=True,
        ),
        *(
            Derived(
                f"backlash_{key}",
                label,
                "length",
                "mm",
                around_the_gear(KEY, "backlash", reduce, gauge_factor),
                limit=limit,
                gauge_entry="backlash",
                is_trial=True,
                moment=LEFT_AS if sheet_label else "",
                compares=f"backlash_{key}" if sheet_label else "",
                sheet_label=sheet_label,
            )
            for key, label, reduce, limit, sheet_label in (
                ("mean", mark("Mean"), mean, "backlash", mark("Backlash, mean")),
                ("smallest", mark("Smallest"), min, "", ""),
                ("largest", mark("Largest"), max, "", ""),
                (
                    "variation",
                    mark("Variation around the gear"),
                    spread,
                    "backlash_variation",
                    mark("Backlash, variation around the gear"),
                ),
            )
        ),
    ),
    figure="backlash_wheel",
    accept=ACCEPT,
    refuse=_refuse,
    gate=_gate,
    remarks=_remarks,
)
