"""Entries and computations that more than one stage needs; each is declared once, here."""

from __future__ import annotations

from collections.abc import Callable
from statistics import fmean

from core.language import mark
from core.stages.context import Context
from core.stages.entry import Entry

Compute = Callable[[Context, int], float | None]

LEAST_PLACES = 4
"""Backlash is read in at least this many places before a mean means anything (common practice)."""

_DRAW = mark("Draw the print as it is seen, or press 1 to 8 for a common shape and adjust it; the numbers follow.")
_DRIVE_ALONG = mark("Draw the print on the drive side, or type where its middle lies: toe 0 %, heel 100 %.")
_COAST_ALONG = mark("Draw the print on the coast side, or type where its middle lies: toe 0 %, heel 100 %.")
_DEPTH = mark("Read how high the middle of the print lies: flank (root side) 0 %, face (tip side) 100 %.")
_LENGTH = mark("Read how much of the tooth length the print covers.")
_HEIGHT = mark("Read how much of the working depth the print covers.")

_PATTERN = (
    ("drive_along", mark("Drive side, centre along the tooth"), "contact_along", _DRIVE_ALONG),
    ("drive_depth", mark("Drive side, centre in depth"), "contact_depth", _DEPTH),
    ("drive_length", mark("Drive side, length"), "", _LENGTH),
    ("drive_height", mark("Drive side, height"), "", _HEIGHT),
    ("coast_along", mark("Coast side, centre along the tooth"), "contact_along", _COAST_ALONG),
    ("coast_depth", mark("Coast side, centre in depth"), "contact_depth", _DEPTH),
    ("coast_length", mark("Coast side, length"), "", _LENGTH),
    ("coast_height", mark("Coast side, height"), "", _HEIGHT),
)

_PATTERN_ON_SHEET = {
    "drive_along": mark("Contact on the drive side, along the tooth"),
    "drive_depth": mark("Contact on the drive side, in depth"),
    "coast_along": mark("Contact on the coast side, along the tooth"),
    "coast_depth": mark("Contact on the coast side, in depth"),
}


_OUTLINES = (("drive_outline", mark("Print on the drive side")), ("coast_outline", mark("Print on the coast side")))


def pattern_entries(prefix: str, group: str, moment: str, *, is_trial: bool) -> tuple[Entry, ...]:
    """Return the readings that describe a contact pattern on both flanks, keys led by `prefix`: outlines, then numbers.

    An outline need not be drawn. Where it is, it and its numbers are kept in step (`core.stages.prints`).
    """
    outlines = tuple(
        Entry(prefix + key, label, "outline", needed=0, is_trial=is_trial, moment=moment, help=_DRAW, group=group)
        for key, label in _OUTLINES
    )
    return outlines + tuple(
        Entry(
            prefix + key,
            label,
            "ratio",
            "percent",
            limit=limit,
            lowest=0.0,
            highest=1.0,
            is_trial=is_trial,
            moment=moment,
            compares=f"contact_{key}",
            sheet_label=_PATTERN_ON_SHEET.get(key, ""),
            help=help_text,
            group=group,
        )
        for key, label, limit, help_text in _PATTERN
    )


def around_the_gear(
    stage: str,
    entry: str,
    reduce: Callable[[list[float]], float],
    factor: Callable[[Context], float] | None = None,
) -> Compute:
    """Return a computation over all places of an entry, once enough of them are read.

    `factor` says what a reading is worth where the limit is measured.
    """

    def compute(context: Context, trial: int) -> float | None:
        worth = factor(context) if factor else 1.0
        values = [worth * value for value in context.values(stage, entry, trial).values()]
        return reduce(values) if len(values) >= LEAST_PLACES else None

    return compute


def total_of(stage: str, *entries: str) -> Compute:
    """Return a computation that adds entries up once all of them are read."""

    def compute(context: Context, trial: int) -> float | None:
        values = [context.value(stage, entry, trial=trial) for entry in entries]
        return sum(v for v in values if v is not None) if None not in values else None

    return compute


def spread(values: list[float]) -> float:
    """Return the largest minus the smallest."""
    return max(values) - min(values)


mean = fmean
