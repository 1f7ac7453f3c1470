"""Where the public manuals agree on reading a contact pattern, where they do not, and which manual says what.

All are technical manuals of the US Army ("TM"). Their words are not repeated, only what they ask for.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from core.language import mark, tr

MANUALS = ("TM 10-3930-671-24", "TM 10-3930-638-24&P", "TM 10-3930-660-34")
"""These agree: high, pinion in; low, pinion out; toe, ring gear away; heel, ring gear toward."""


@dataclass(frozen=True)
class Says:
    """What some manuals say; `what` is a marked phrase."""

    what: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Disagreement:
    """Something the manuals do not agree on, what each says, and why both can be right.

    `about` is a marked phrase, `why` a marked sentence.
    """

    about: str
    sides: tuple[Says, ...]
    why: str


FAR_PINION = Disagreement(
    mark("where the prints go when the pinion stands too far out"),
    (
        Says(mark("drive side toward the heel, coast side toward the toe"), ("TM 9-2320-266-34",)),
        Says(
            mark("convex side, usually drive, toward the toe, concave side toward the heel"),
            ("TM 5-3805-260-24", "TM 5-2410-233-23"),
        ),
    ),
    mark("Both happen: it depends on how the set was cut and on its offset."),
)
"""TM 9-2320-266-34, 19-5 c; TM 5-3805-260-24, p. 3-244; TM 5-2410-233-23, p. 0102 00-9."""

THICKER_SHIM = Disagreement(
    mark("what a thicker pinion shim does"),
    (
        Says(mark("it moves the pinion in"), ("TM 9-2320-266-34", "TM 10-3930-653-14&P", "TM 5-2410-233-23")),
        Says(mark("it moves the pinion out"), ("TM 10-3930-660-34", "TM 5-3805-260-24", "TM 5-3810-306-34")),
    ),
    mark("It depends on where the shim sits."),
)
"""In: TM 9-2320-266-34, 19-5 c; TM 10-3930-653-14&P, p. 4-181; TM 5-2410-233-23, p. 0102 00-9. Out: TM 10-3930-660-34,
p. 9-29; TM 5-3805-260-24, p. 3-244; TM 5-3810-306-34, p. 8-42."""

WHICH_GEAR = Disagreement(
    mark("which gear to move"),
    (
        Says(mark("the pinion for high and low, the ring gear for toe and heel"), MANUALS),
        Says(mark("the ring gear for high and low, the pinion for toe and heel"), ("TM 10-3930-643-34",)),
    ),
    mark("Each gear moves a print both along and in depth."),
)
"""TM 10-3930-643-34, p. 16-30, against the others."""

PINION_MARK = Disagreement(
    mark("how the mark etched on a pinion changes its shim"),
    (
        Says(mark("by old − new"), ("TM 9-2320-280-34", "TM 9-2320-266-34")),
        Says(mark("by new − old"), ("TM 5-3895-369-14", "TM 10-3930-660-34")),
    ),
    mark("Copy the rule from the unit's own manual."),
)
"""TM 9-2320-280-34, p. 19-12; TM 9-2320-266-34, table 19-1. TM 5-3895-369-14, p. 5-409; TM 10-3930-660-34, p. 8-20."""

DISAGREEMENTS = (FAR_PINION, THICKER_SHIM, WHICH_GEAR, PINION_MARK)


def disagreement_words(found: Disagreement) -> str:
    """Say what the manuals disagree on, and which says what.

    Examples
    --------
    >>> disagreement_words(PINION_MARK)[:68]
    'The manuals disagree on how the mark etched on a pinion changes its '
    """
    sides = (tr("{what} ({manuals})", what=tr(side.what), manuals=listed(side.sources)) for side in found.sides)
    return tr(
        "The manuals disagree on {about}: {sides}. {why}",
        about=tr(found.about),
        sides="; ".join(sides),
        why=tr(found.why),
    )


def listed(manuals: Iterable[str]) -> str:
    """Return the names of manuals in a row."""
    return ", ".join(manuals)
