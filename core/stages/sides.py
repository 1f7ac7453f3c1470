"""What sits on each side of the carrier, in one term for every way a casing is set: millimetres of thickness.

A ring or shim is measured. An adjuster nut is counted in notches from just touching; each notch moves the bearing by
the thread pitch over the notches of a turn, so nuts obey the same sums and splits as rings.
"""

from __future__ import annotations

from core.facts import Job
from core.language import mark
from core.mechanics.rings import RingPair, nut_travel_mm
from core.stages.card import is_set_by_nuts, is_set_by_rings
from core.stages.context import Context
from core.stages.entry import LEFT_AS, Entry

RING_GEAR_SIDE = "ring_gear_side"
OPPOSITE_SIDE = "opposite_side"
SIDES = (RING_GEAR_SIDE, OPPOSITE_SIDE)
NUT = "nut_"


def side_entries(group: str) -> tuple[Entry, ...]:
    """Return the entries that say what a trial has on each side: rings or nuts, as the casing is set."""
    rings = tuple(
        Entry(
            key,
            label,
            "length",
            "mm",
            gauge="micrometer",
            lowest=0.0,
            highest=40.0,
            is_trial=True,
            applies=is_set_by_rings,
            moment=LEFT_AS,
            compares=f"ring_{key}",
            sheet_label=sheet_label,
            help=help_text,
            group=group,
        )
        for key, label, sheet_label, help_text in (
            (
                RING_GEAR_SIDE,
                mark("Ring on the ring-gear side"),
                mark("Ring on the ring-gear side"),
                mark("Measure the ring for the ring-gear side; the stamped size is not enough."),
            ),
            (
                OPPOSITE_SIDE,
                mark("Ring on the opposite side"),
                mark("Ring on the opposite side"),
                mark("Measure the ring for the opposite side; the stamped size is not enough."),
            ),
        )
    )
    nuts = tuple(
        Entry(
            NUT + key,
            label,
            "count",
            highest=400,
            is_trial=True,
            applies=is_set_by_nuts,
            moment=LEFT_AS,
            help=mark("Count the notches from where the nut just touches the cup."),
            group=group,
        )
        for key, label in (
            (RING_GEAR_SIDE, mark("Notches in, ring-gear side")),
            (OPPOSITE_SIDE, mark("Notches in, opposite side")),
        )
    )
    return rings + nuts


def is_side(entry_key: str) -> bool:
    """Tell whether an entry says what sits on one side."""
    return entry_key.removeprefix(NUT) in SIDES


def other_side(side: str) -> str:
    """Return the opposite of a side."""
    return OPPOSITE_SIDE if side == RING_GEAR_SIDE else RING_GEAR_SIDE


def side_key(job: Job, side: str) -> str:
    """Return the entry that says what sits on a side of this casing: a ring's thickness or a nut's notches."""
    return side if is_set_by_rings(job) else NUT + side


def in_mm(job: Job, entry_key: str, value: float | None) -> float | None:
    """Return what was entered for a side as thickness [mm]; notches count as their advance."""
    if value is None or not entry_key.startswith(NUT):
        return value
    pitch_mm, notches = job.card.number("nut_thread_pitch"), job.card.number("nut_notches")
    return nut_travel_mm(value, pitch_mm, int(notches)) if pitch_mm and notches else None


def notch_mm(job: Job) -> float | None:
    """Return what one notch of an adjuster nut moves its bearing [mm], or None where the card does not say."""
    return in_mm(job, NUT, 1.0)


def in_notches(job: Job, thickness_mm: float) -> int:
    """Return the whole notches of an adjuster nut that come nearest to a thickness [mm]."""
    one_notch_mm = notch_mm(job)
    return round(thickness_mm / one_notch_mm) if one_notch_mm else 0


def side_mm(context: Context, stage: str, trial: int, side: str) -> float | None:
    """Return the thickness on one side [mm]: measured ring, or notches times the advance of one."""
    entry = side_key(context.job, side)
    return in_mm(context.job, entry, context.value(stage, entry, trial=trial))


def pair(context: Context, stage: str, trial: int) -> RingPair | None:
    """Return what sits on both sides in one trial, or None while a side is missing."""
    one, other = (side_mm(context, stage, trial, side) for side in SIDES)
    return None if one is None or other is None else RingPair(one, other)


def ring_sum_mm(context: Context, stage: str, trial: int) -> float | None:
    """Return both sides' thickness together [mm] in one trial, or None while a side is missing."""
    fitted = pair(context, stage, trial)
    return None if fitted is None else fitted.sum_mm
