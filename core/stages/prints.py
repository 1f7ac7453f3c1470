"""A print that was drawn and the four numbers read off it say the same, whichever was entered last."""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import UserError
from core.language import mark
from core.mechanics.outline import Measures, Ring, fitted, is_parted, measure
from core.mechanics.print_shapes import rounded
from core.outlines import measured_words, read_outline, write_outline
from core.quantities import Amount
from core.stages.context import Context
from core.stages.entry import Entry, Stage
from core.stages.tooth import COAST, DRIVE

OUTLINE = "_outline"
NUMBERS = ("_along", "_depth", "_length", "_height")
NEAR = 0.005
"""Drawn prints are written down to a whole percent: hands and eyes are no finer."""

LEAST_DRAWN = 0.03
"""How small a print made from numbers is drawn at least."""

Follower = tuple[str, str]
"""Another entry of the same flank and what it says now; "" where it is taken back."""


def numbers_of(rings: tuple[Ring, ...]) -> dict[str, float]:
    """Return the four numbers of a drawn print by the end of their key, as whole percents [share of the tooth]."""
    found = measure(rings)
    values = (found.along, found.depth, found.length, found.height)
    return {end: round(value, 2) for end, value in zip(NUMBERS, values, strict=True)}


def flank_of(entry: Entry) -> str:
    """Return what the keys of a flank's readings begin with, or "" for an entry that is no reading of a print."""
    return next((entry.key.removesuffix(end) for end in (OUTLINE, *NUMBERS) if entry.key.endswith(end)), "")


def rings_at(context: Context, stage: str, flank: str, trial: int) -> tuple[Ring, ...]:
    """Return the outline that stands for a flank; empty where none was drawn."""
    text = context.text(stage, flank + OUTLINE, trial=trial)
    try:
        return read_outline(text) if text else ()
    except UserError:
        # Taken in from elsewhere, by a program with a grammar of its own.
        return ()


PARTED = mark(
    "In patches: the numbers tell their common centre, where nothing may touch. Such a print says something of the "
    "teeth or of the compound: take a second one with little compound before anything is moved."
)
"""What is said of a print in patches (common practice)."""


def parted(context: Context, stage: str, trial: int, prefix: str = "") -> tuple[str, ...]:
    """Return which sides of a trial have a print in patches, so that its common centre says little."""
    return tuple(side for side in (DRIVE, COAST) if is_parted(rings_at(context, stage, prefix + side, trial)))


@dataclass(frozen=True)
class TypedPrint:
    """A print of which only the numbers are known: a round one that ends at the edge of the tooth, and its words."""

    rings: tuple[Ring, ...]
    in_words: str
    is_cut: bool


def typed_print(context: Context, stage: str, flank: str, trial: int) -> TypedPrint | None:
    """Return the print of a flank as its four numbers tell it, or None while one of them is missing."""
    values = [context.value(stage, flank + end, trial=trial) for end in NUMBERS]
    numbers = [value for value in values if value is not None]
    if len(numbers) < len(NUMBERS):
        return None
    along, depth, length, height = numbers
    ring = rounded(along, depth, max(length, LEAST_DRAWN), max(height, LEAST_DRAWN))
    cut = tuple((min(max(a, 0.0), 1.0), min(max(d, 0.0), 1.0)) for a, d in ring)
    is_cut = any(
        abs(a - b) > NEAR for one, other in zip(ring, cut, strict=True) for a, b in zip(one, other, strict=True)
    )
    return TypedPrint((cut,), measured_words(Measures(along, depth, length, height, 0.0, 0.0)), is_cut)


def print_at(context: Context, stage: str, flank: str, trial: int) -> tuple[Ring, ...]:
    """Return the print of a flank as it can be drawn: its outline, or a round one made from its numbers, or nothing."""
    drawn = rings_at(context, stage, flank, trial)
    typed = None if drawn else typed_print(context, stage, flank, trial)
    return drawn if typed is None else typed.rings


def followers(context: Context, stage: Stage, entry: Entry, trial: int, amount: Amount) -> list[Follower]:
    """Return what else a reading of a print says, so that outline and numbers agree.

    A new outline brings its four numbers. A number that was typed moves or stretches the outline that stands; where the
    tooth has no room for that, the outline is taken back and the numbers stay. Taking the outline back takes its
    numbers along; taking a number back takes the outline along.

    Parameters
    ----------
    context : Context
        The job with the reading in it.
    stage, entry, trial
        Where the reading stands.
    amount : Amount
        The reading; an empty text is one taken back.
    """
    flank = flank_of(entry)
    if not flank or all(declared.key != flank + OUTLINE for declared in stage.entries):
        return []
    standing = {end: context.value(stage.key, flank + end, trial=trial) for end in NUMBERS}
    if entry.kind != "outline":
        return _outline_follows(context, stage, flank, trial, standing)
    if not amount.text:
        return [(flank + end, "") for end, value in standing.items() if value is not None]
    drawn = numbers_of(read_outline(amount.text))
    return [(flank + end, f"{100 * value:.0f}") for end, value in drawn.items() if not _is_near(standing[end], value)]


def _outline_follows(
    context: Context, stage: Stage, flank: str, trial: int, standing: dict[str, float | None]
) -> list[Follower]:
    rings = rings_at(context, stage.key, flank, trial)
    if not rings:
        return []
    numbers = [value for value in standing.values() if value is not None]
    drawn = numbers_of(rings)
    if len(numbers) == len(NUMBERS) and all(_is_near(standing[end], value) for end, value in drawn.items()):
        return []
    made = fitted(rings, *numbers) if len(numbers) == len(NUMBERS) else None
    return [(flank + OUTLINE, "" if made is None else write_outline(made))]


def _is_near(value: float | None, other: float) -> bool:
    return value is not None and abs(value - other) < NEAR
