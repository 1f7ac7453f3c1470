"""What the contact pattern asks for, as plain directions; the calculated move is another subject.

Only what the public manuals agree on is a direction. Where they disagree, or where the answer depends on how the unit
is built, the advice says so instead of guessing, and `sources_words` says which manual says what.

Sources: `manuals.MANUALS` (they agree on `RULES`). Used gears: the same, and TM 9-2320-279-34-1, before step 83.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from core.language import mark, tr
from core.mechanics.checks import within
from core.mechanics.manuals import FAR_PINION, MANUALS, THICKER_SHIM, WHICH_GEAR, disagreement_words, listed

ALONG_BAND = (0.35, 0.60)
DEPTH_BAND = (0.40, 0.60)
"""Where a centre counts as central, from toe and from the root side, for a light-load print (common practice).

The band along the tooth reaches further toward the toe: a light-load pattern that favours the toe is good.
"""


class Direction(StrEnum):
    """What a pattern asks for."""

    CENTRED = "centred"
    PINION_IN = "pinion_in"
    PINION_OUT = "pinion_out"
    RING_GEAR_AWAY = "ring_gear_away"
    RING_GEAR_TOWARD = "ring_gear_toward"
    SPLIT_DEPTH = "split_depth"
    SPLIT_ALONG = "split_along"
    ONE_SIDE_DEPTH = "one_side_depth"
    ONE_SIDE_ALONG = "one_side_along"
    ASK_SHIM_PLACE = "ask_shim_place"
    AS_FOUND = "as_found"


SENTENCES: dict[Direction, str] = {
    Direction.CENTRED: mark(
        "Both prints are centred. A light-load print that favours the toe a little is good: leave it."
    ),
    Direction.PINION_IN: mark("High on both sides: move the pinion in, toward the ring gear's axis."),
    Direction.PINION_OUT: mark("Low on both sides: move the pinion out, away from the ring gear's axis."),
    Direction.RING_GEAR_AWAY: mark(
        "At the toe on both sides: move the ring gear away from the pinion; backlash grows."
    ),
    Direction.RING_GEAR_TOWARD: mark(
        "At the heel on both sides: move the ring gear toward the pinion; backlash shrinks."
    ),
    Direction.SPLIT_DEPTH: mark(
        "One side is high, the other low. The manuals give no direction for this: "
        "check bearings, offset and print before moving anything."
    ),
    Direction.SPLIT_ALONG: mark(
        "One side is at the toe, the other at the heel. The manuals disagree on what this asks for: "
        "check the pinion depth first, move it by a small step and read both sides again."
    ),
    Direction.ONE_SIDE_DEPTH: mark(
        "Only one side is high or low: take a second print of both sides before moving the pinion."
    ),
    Direction.ONE_SIDE_ALONG: mark(
        "Only one side is at the toe or heel: take a second print of both sides before moving the ring gear."
    ),
    Direction.ASK_SHIM_PLACE: mark(
        "Whether a thicker shim moves the pinion in or out depends on where the shim sits: look before changing it."
    ),
    Direction.AS_FOUND: mark("Used gears: the pattern found at teardown is the one to reproduce, not a textbook one."),
}
"""What each direction says to the person at the bench."""


@dataclass(frozen=True)
class Rule:
    """One direction the manuals agree on: seen on both flanks of the ring gear, it asks for a move."""

    seen: str
    asks: Direction
    sources: tuple[str, ...] = MANUALS


RULES: tuple[Rule, ...] = (
    Rule(mark("high (toward the face)"), Direction.PINION_IN),
    Rule(mark("low (toward the flank)"), Direction.PINION_OUT),
    Rule(mark("at the toe"), Direction.RING_GEAR_AWAY),
    Rule(mark("at the heel"), Direction.RING_GEAR_TOWARD),
)


DISPUTED = {
    Direction.SPLIT_ALONG: FAR_PINION,
    Direction.ASK_SHIM_PLACE: THICKER_SHIM,
    **{rule.asks: WHICH_GEAR for rule in RULES},
}
"""What the manuals disagree on beside or instead of a direction."""


@dataclass(frozen=True)
class Centre:
    """Centre of a print.

    `along_ratio` runs from 0 at the toe to 1 at the heel, `depth_ratio` from 0 at the root side to 1 at the tip.
    """

    along_ratio: float
    depth_ratio: float


@dataclass(frozen=True)
class PatternAdvice:
    """One thing a pattern asks for; `text` is English, to be translated when it is shown."""

    direction: Direction
    text: str


def read_pattern(
    drive: Centre,
    coast: Centre,
    *,
    along_band: tuple[float, float] = ALONG_BAND,
    depth_band: tuple[float, float] = DEPTH_BAND,
    is_used_pair: bool = False,
) -> tuple[PatternAdvice, ...]:
    """Return what the prints on drive and coast side ask for, depth first.

    A side is high or low where its centre lies beyond `depth_band`, at the toe or heel where it lies beyond
    `along_band`. Both sides alike give the manuals' direction; both sides apart, or one side alone, give a caution.

    Parameters
    ----------
    drive, coast : Centre
        Centres of the prints [-], read on the ring gear.
    along_band, depth_band : tuple of float
        From where to where a centre counts as central [-]; limits of the spec card go here.
    is_used_pair : bool
        True for gears that have run together.

    Returns
    -------
    tuple of PatternAdvice
        Advice in the order to follow it; never empty.

    Raises
    ------
    RangeError
        For a centre or band outside 0–1, or a band upside down.

    Notes
    -----
    Source: see the module; the width of the bands is common practice.

    Examples
    --------
    >>> [advice.direction.value for advice in read_pattern(Centre(0.46, 0.52), Centre(0.53, 0.49))]
    ['centred']
    >>> [advice.direction.value for advice in read_pattern(Centre(0.20, 0.50), Centre(0.25, 0.55))]
    ['ring_gear_away']
    """
    depth = _side("depth_ratio", drive.depth_ratio, depth_band), _side("depth_ratio", coast.depth_ratio, depth_band)
    along = _side("along_ratio", drive.along_ratio, along_band), _side("along_ratio", coast.along_ratio, along_band)
    asked = [
        *_asked(depth, Direction.PINION_OUT, Direction.PINION_IN, Direction.SPLIT_DEPTH, Direction.ONE_SIDE_DEPTH),
        *_asked(
            along, Direction.RING_GEAR_AWAY, Direction.RING_GEAR_TOWARD, Direction.SPLIT_ALONG, Direction.ONE_SIDE_ALONG
        ),
    ]
    if not asked:
        asked.append(Direction.CENTRED)
    if {Direction.PINION_IN, Direction.PINION_OUT, Direction.SPLIT_ALONG} & set(asked):
        asked.append(Direction.ASK_SHIM_PLACE)
    if is_used_pair:
        asked.append(Direction.AS_FOUND)
    return tuple(PatternAdvice(direction, SENTENCES[direction]) for direction in asked)


def sources_words(asked: Iterable[PatternAdvice]) -> tuple[str, ...]:
    """Say which manuals agree on what a pattern asks for, and on what they disagree, each in a sentence.

    Examples
    --------
    >>> sources_words(read_pattern(Centre(0.5, 0.9), Centre(0.5, 0.1)))
    ('No manual gives a direction for these prints.',)
    """
    directions = [item.direction for item in asked]
    said = []
    if {Direction.CENTRED, *(rule.asks for rule in RULES)} & set(directions):
        said.append(tr("Directions on which {manuals} agree.", manuals=listed(MANUALS)))
    elif Direction.SPLIT_ALONG not in directions:
        said.append(tr("No manual gives a direction for these prints."))
    disputed = dict.fromkeys(DISPUTED[direction] for direction in directions if direction in DISPUTED)
    return *said, *(disagreement_words(found) for found in disputed)


def _side(argument: str, ratio: float, band: tuple[float, float]) -> int:
    """Tell on which side of the band a centre lies: −1 below, 0 within, +1 above."""
    within(argument, ratio, 0.0, 1.0)
    low = within("band", band[0], 0.0, 1.0)
    high = within("band", band[1], low, 1.0)
    return (ratio > high) - (ratio < low)


def _asked(
    sides: tuple[int, int], both_below: Direction, both_above: Direction, apart: Direction, alone: Direction
) -> list[Direction]:
    """Return what one axis of the two prints asks for; nothing where both are central."""
    total = sum(sides)
    if sides == (0, 0):
        return []
    if total == 0:
        return [apart]
    if abs(total) == 1:
        return [alone]
    return [both_above if total > 0 else both_below]
