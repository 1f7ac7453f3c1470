"""The ring-gear tooth of a job as it is drawn: proportions, hand and which flank drives, from its card or as usual."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, sin

from core.errors import RangeError
from core.facts import LEFT, RIGHT, Job
from core.language import mark, tr
from core.mechanics.bevel import DEPTH_FACTOR, bevel_geometry
from core.mechanics.outline import USUAL_PROPORTION
from core.stages.card import CONCAVE, CONVEX

USUAL_TOE_SHARE = 0.82
"""Depth at the toe over depth at the middle, where the card does not say (common practice for tapered teeth)."""
LEAST_PROPORTION, MOST_PROPORTION = 1.2, 8.0
LEAST_TOE_SHARE = 0.5
DRIVE, COAST = "drive", "coast"
FLANK_WORDS = {
    (DRIVE, CONVEX): mark("drive side, convex"),
    (DRIVE, CONCAVE): mark("drive side, concave"),
    (COAST, CONVEX): mark("coast side, convex"),
    (COAST, CONCAVE): mark("coast side, concave"),
}
_CURVE_WORDS = {CONVEX: mark("convex flank"), CONCAVE: mark("concave flank")}
_SET_WORDS = {
    (RIGHT, CONVEX): mark("right-hand ring gear, its convex flank drives forward"),
    (RIGHT, CONCAVE): mark("right-hand ring gear, its concave flank drives forward"),
    (LEFT, CONVEX): mark("left-hand ring gear, its convex flank drives forward"),
    (LEFT, CONCAVE): mark("left-hand ring gear, its concave flank drives forward"),
}
_WHAT = {
    "proportion": mark("proportions"),
    "toe_share": mark("taper"),
    "hand": mark("hand of the ring gear"),
    "drive": mark("flank that drives"),
}


@dataclass(frozen=True)
class Tooth:
    """How a tooth is drawn.

    `proportion` is face width over working depth in the middle, `toe_share` the depth at the toe over that in the
    middle; `hand` is the ring gear's, `drive` the flank that drives forward, convex or concave. `assumed` names which
    of these are only usual.
    """

    proportion: float = USUAL_PROPORTION
    toe_share: float = USUAL_TOE_SHARE
    hand: str = RIGHT
    drive: str = CONVEX
    assumed: tuple[str, ...] = ("proportion", "toe_share", "hand", "drive")

    def curve(self, side: str) -> str:
        """Return whether a side's flank is convex or concave."""
        other = CONCAVE if self.drive == CONVEX else CONVEX
        return self.drive if side == DRIVE else other

    def is_toe_right(self, side: str) -> bool:
        """Tell whether the toe lies to the right of who looks at a side's flank, tip up.

        On a right-hand gear, seen from in front, a tooth's outer half leans clockwise and bends the same way: who looks
        at its convex flank has the toe to the right, at the concave one to the left. A left-hand gear is its mirror.
        """
        return (self.curve(side) == CONVEX) == (self.hand == RIGHT)

    @property
    def sides(self) -> tuple[str, str]:
        """Drive and coast in the order they are drawn, from the left: both toes to the inside."""
        return (DRIVE, COAST) if self.is_toe_right(DRIVE) else (COAST, DRIVE)

    def words(self, side: str) -> str:
        """Return a side's name with the curve of its flank."""
        return tr(FLANK_WORDS[side, self.curve(side)])

    def curve_words(self, side: str) -> str:
        """Return the curve of a side's flank, where the side was named already."""
        return tr(_CURVE_WORDS[self.curve(side)])

    @property
    def set_words(self) -> str:
        """Say which gear is drawn: its hand, and which flank drives."""
        said = tr(_SET_WORDS[self.hand, self.drive])
        return tr("taken to be a {set}", set=said) if {"hand", "drive"} & {*self.assumed} else said

    @property
    def assumed_words(self) -> str:
        """Say what is drawn as usual because the card does not give it; "" where it gives everything."""
        if not self.assumed:
            return ""
        return tr("as usual, not on the card: {what}", what=", ".join(tr(_WHAT[key]) for key in self.assumed))


def tooth_of(job: Job) -> Tooth:
    """Return the tooth of a job's ring gear; what its card does not give is as usual, and named so."""
    card = job.card
    hand, drive = card.text("gear_hand"), card.text("drive_flank")
    face, depth = card.number("face_width"), card.number("working_depth") or _working_depth_mm(job)
    proportion = face / depth if face and depth and face > 0 and depth > 0 else None
    toe_share = _toe_share(job)
    known = {
        "proportion": proportion is not None,
        "toe_share": toe_share is not None,
        "hand": hand in (LEFT, RIGHT),
        "drive": drive in (CONVEX, CONCAVE),
    }
    return Tooth(
        min(max(proportion or USUAL_PROPORTION, LEAST_PROPORTION), MOST_PROPORTION),
        toe_share or USUAL_TOE_SHARE,
        hand if known["hand"] else RIGHT,
        drive if known["drive"] else CONVEX,
        tuple(key for key, is_known in known.items() if not is_known),
    )


def _working_depth_mm(job: Job) -> float | None:
    """Return the working depth in the middle of the face as it follows from the card's sizes; None without them.

    Twice the mean normal module, offset left out (ISO 23509, data type II; the factor from memory).
    """
    outer, face, spiral = (job.card.number(key) for key in ("gear_outer_diameter", "face_width", "spiral_angle"))
    if not outer or not face or spiral is None:
        return None
    try:
        drawn = bevel_geometry(job.pinion_teeth, job.ring_gear_teeth, outer, face, spiral)
    except RangeError:
        return None
    return DEPTH_FACTOR * drawn.mean_normal_module_mm


def _toe_share(job: Job) -> float | None:
    """Return how deep a tooth is at the toe against its middle, where the card gives the sizes.

    Standard taper: the depth shrinks toward the apex of the pitch cone as the cone distance does. Source: textbook
    (memory).
    """
    outer, face = job.card.number("gear_outer_diameter"), job.card.number("face_width")
    if not outer or not face or not job.ring_gear_teeth or not job.pinion_teeth:
        return None
    outer_cone = outer / (2 * sin(atan(job.ring_gear_teeth / job.pinion_teeth)))
    share = (outer_cone - face) / (outer_cone - face / 2) if outer_cone > face > 0 else 0.0
    return share if LEAST_TOE_SHARE <= share < 1 else None
