"""Preload: side bearings set by turning torque, ring gear out of mesh; the accepted trial fixes the ring sum."""

from __future__ import annotations

from core.language import mark, tr
from core.quantities import Amount, show
from core.stages.aids import HEATING_DERIVED, heating_entries
from core.stages.aids import SIDES as BOTH_SIDES
from core.stages.card import ADJUSTER_NUTS, is_set_by_rings
from core.stages.conditions import HAMMER, HEAVY, HOT, MAKER_FIRST, NIP, note
from core.stages.context import Context
from core.stages.entry import LEFT_AS, WHOLE, YES_NO_GOOD, Choice, Derived, Entry, Position, Stage
from core.stages.sides import is_side, ring_sum_mm, side_entries

KEY = "preload"
ACCEPT = "accepted"

WAYS = ("torque_forward", "torque_back")
"""The turning torque is read both ways."""

MEASURED_SLACK_MM = 0.05
"""A measured ring may miss its stamped size by this much before it is taken for a slip of the pen (common practice)."""

_PAIRS = mark("Before the first trial")
_STACK = mark("Measured stack, if you measure it")
_TRIAL = mark("Trial")

ACCEPTED = (Choice("yes", mark("yes"), True), Choice("no", mark("no")))
"""Whether a trial is the one that stays; refusing a trial is no fault."""


def accept_entry(help_text: str) -> Entry:
    """Return the entry by which a trial is accepted."""
    return Entry(
        ACCEPT,
        mark("This trial stays"),
        "yes_no",
        needed=0,
        choices=ACCEPTED,
        is_trial=True,
        help=help_text,
        group=_TRIAL,
    )


def _stack_entry(
    key: str,
    label: str,
    help_text: str,
    *,
    lowest: float,
    highest: float = 900.0,
    positions: tuple[Position, ...] = WHOLE,
) -> Entry:
    """Return one size of the measured stack [mm]: optional, and only where rings are fitted."""
    return Entry(
        key,
        label,
        "length",
        "mm",
        positions=positions,
        needed=0,
        gauge="micrometer",
        lowest=lowest,
        highest=highest,
        applies=is_set_by_rings,
        help=help_text,
        group=_STACK,
    )


ENTRIES: tuple[Entry, ...] = (
    Entry(
        "pairs_kept",
        mark("Cups and cones together as tagged"),
        "yes_no",
        choices=YES_NO_GOOD,
        help=mark("Compare the tags: each cone goes back to the cup it ran in."),
        group=_PAIRS,
    ),
    *heating_entries(_PAIRS),
    Entry(
        "cone_temperature",
        mark("Temperature of the heated cones"),
        "temperature",
        "deg_c",
        needed=0,
        limit="cone_temperature",
        gauge="thermometer",
        lowest=-30.0,
        highest=400.0,
        help=mark("Heat the cones evenly and read their temperature before they go on."),
        group=_PAIRS,
    ),
    Entry(
        "out_of_mesh",
        mark("Ring gear out of mesh, no seals fitted"),
        "yes_no",
        choices=YES_NO_GOOD,
        help=mark("Preload is read on the side bearings alone: no ring gear in mesh, no seals."),
        group=_PAIRS,
    ),
    _stack_entry(
        "stack_casing",
        mark("Casing, ring seat to ring seat"),
        mark("Measure across the casing between the two faces the rings or shims lean on."),
        lowest=20.0,
    ),
    _stack_entry(
        "stack_carrier",
        mark("Carrier over both cones"),
        mark("Measure the carrier over the outer faces of both pressed-on cones."),
        lowest=10.0,
    ),
    _stack_entry(
        "cup_stand",
        mark("How far the seated cup stands beyond its cone"),
        mark("Seat the cup on its cone by hand, turn it, and measure how far its back stands beyond the cone."),
        lowest=-20.0,
        highest=40.0,
        positions=BOTH_SIDES,
    ),
    *side_entries(_TRIAL),
    *(
        Entry(
            key,
            label,
            "torque",
            "n_m",
            limit="turning_torque",
            gauge="torque",
            lowest=0.0,
            highest=60.0,
            is_trial=True,
            help=help_text,
            group=_TRIAL,
        )
        for key, label, help_text in (
            (
                "torque_forward",
                mark("Turning torque, forward"),
                mark("Seat the bearings, turn the carrier slowly forward and read the running torque."),
            ),
            (
                "torque_back",
                mark("Turning torque, back"),
                mark("Turn the carrier slowly back and read the running torque again."),
            ),
        )
    ),
    Entry(
        "end_play",
        mark("End play, if it is loose"),
        "length",
        "mm",
        needed=0,
        gauge="dial",
        lowest=0.0,
        highest=5.0,
        is_trial=True,
        help=mark("Only where the carrier slides to and fro: push it both ways along its axis under the dial."),
        group=_TRIAL,
    ),
    accept_entry(mark("Accept the trial that stays: it fixes the ring sum for the rest of the job.")),
    note(),
)


def _torque_mean(context: Context, trial: int) -> float | None:
    forward = context.value(KEY, "torque_forward", trial=trial)
    back = context.value(KEY, "torque_back", trial=trial)
    return None if forward is None or back is None else (forward + back) / 2


def stack_sum_mm(context: Context) -> float | None:
    """Return the ring sum at no clearance [mm] by the measured stack, or None until all of it was measured.

    casing − (carrier over both cones + both cups' stand).
    """
    casing, carrier = context.value(KEY, "stack_casing"), context.value(KEY, "stack_carrier")
    stands = context.values(KEY, "cup_stand")
    if casing is None or carrier is None or len(stands) < len(BOTH_SIDES):
        return None
    return casing - carrier - sum(stands.values())


def accepted_sum_mm(context: Context) -> float | None:
    """Return the ring sum [mm] the accepted preload trial fixed, or None before one is accepted."""
    trial = context.accepted_trial(KEY, ACCEPT)
    return None if trial is None else ring_sum_mm(context, KEY, trial)


def ring_range_mm(context: Context) -> tuple[float, float] | None:
    """Return the thinnest and thickest ring [mm] that may be measured in this family, or None where not given."""
    smallest, largest = context.card.number("ring_smallest"), context.card.number("ring_largest")
    if smallest is None or largest is None or context.card.text("setting_method") == ADJUSTER_NUTS:
        return None
    return smallest - MEASURED_SLACK_MM, largest + MEASURED_SLACK_MM


def refuse_side(context: Context, entry: Entry, amount: Amount) -> tuple[str, str] | None:
    """Refuse a thickness that no ring of the family can have."""
    allowed = ring_range_mm(context)
    if amount.kind != "length" or amount.value is None or allowed is None:
        return None
    # Rounded far below any gauge, so that a ring exactly on the edge passes in every unit of entry.
    if round(allowed[0] - amount.value, 9) <= 0 and round(amount.value - allowed[1], 9) <= 0:
        return None
    return (
        tr(
            "{typed} is outside this family's rings, {smallest} to {largest}.",
            typed=show("length", amount.value, amount.unit),
            smallest=show("length", allowed[0] + MEASURED_SLACK_MM, amount.unit),
            largest=show("length", allowed[1] - MEASURED_SLACK_MM, amount.unit),
        ),
        tr("Check the decimal point and the unit."),
    )


def _refuse(context: Context, entry: Entry, position: Position, trial: int, amount: Amount) -> tuple[str, str] | None:
    return refuse_side(context, entry, amount) if is_side(entry.key) else None


PRELOAD = Stage(
    KEY,
    mark("Preload"),
    ENTRIES,
    cautions=(MAKER_FIRST, HOT, HAMMER, HEAVY, NIP),
    derived=(
        Derived(
            "ring_sum",
            mark("Ring sum"),
            "length",
            "mm",
            lambda context, trial: ring_sum_mm(context, KEY, trial),
            is_trial=True,
            moment=LEFT_AS,
            compares="ring_sum",
            sheet_label=mark("Ring sum"),
        ),
        Derived(
            "torque_mean",
            mark("Mean turning torque"),
            "torque",
            "n_m",
            _torque_mean,
            limit="turning_torque",
            gauge_entry="torque_forward",
            is_trial=True,
            moment=LEFT_AS,
            sheet_label=mark("Side-bearing turning torque"),
        ),
        Derived(
            "stack_sum",
            mark("Ring sum at no clearance, by the measured stack"),
            "length",
            "mm",
            lambda context, trial: stack_sum_mm(context),
            help=mark("Casing less carrier over both cones, less what both cups stand beyond them."),
        ),
        HEATING_DERIVED,
    ),
    figure="preload",
    accept=ACCEPT,
    refuse=_refuse,
)
