"""What a move of the gears needs: rings of the drawer that keep the ring sum, and shims to lay under the pinion."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from core.advice.contact_move import LEAST_OFF_MM, OFF_SHARE
from core.advice.pinion_shims import PinionShims, Stack
from core.advice.same_sum import Nearest, SameSum
from core.facts import Part

LEAST_SAID_MM = 0.0005
"""A shorter move is none that anybody could read."""


@dataclass(frozen=True)
class Fit:
    """Pieces that move the ring gear so far away from the pinion [mm] at the same ring sum, ring-gear side first.

    `parts` are those of the drawer, None where nuts are turned: then `notches` says where they stand.
    """

    thickness_mm: tuple[float, float]
    moves_mm: float
    parts: tuple[Part, Part] | None
    notches: tuple[int, int] | None


@dataclass(frozen=True)
class Under:
    """What to lay under the pinion, and how far that moves it away from the ring gear's axis [mm]."""

    stack: Stack
    moves_mm: float


@dataclass(frozen=True, eq=False)
class Pieces:
    """What a job could be given.

    Attributes
    ----------
    same_sum : SameSum or None
        The pairs that keep the ring sum; None before a trial of backlash was accepted.
    parts : mapping
        The pieces of the drawer by their ids.
    is_set_by_nuts : bool
        Whether the sides are set by nuts instead of rings.
    shims : PinionShims or None
        What can lie under the pinion; None where it is not known what lies there now, or what a thicker one does.
    """

    same_sum: SameSum | None
    parts: Mapping[int, Part]
    is_set_by_nuts: bool
    shims: PinionShims | None

    def fit(self, gear_mm: float) -> Fit | None:
        """Return what comes nearest to a move of the ring gear away from the pinion [mm], None where nothing does."""
        found = None if self.same_sum is None else self.same_sum.nearest(gear_mm, _near_mm(gear_mm))
        # The pair that is in is no answer to a move.
        return None if found is None or abs(found.moves_mm) < LEAST_SAID_MM else self._told(found)

    def _told(self, found: Nearest) -> Fit:
        sizes = (found.pair.ring_gear_side_mm, found.pair.opposite_side_mm)
        if self.is_set_by_nuts:
            return Fit(sizes, found.moves_mm, None, found.pieces)
        one, other = (self.parts[key] for key in found.pieces)
        return Fit(sizes, found.moves_mm, (one, other), None)

    def under(self, pinion_mm: float) -> Under | None:
        """Return what comes nearest to a move of the pinion away from the axis [mm], None where nothing does."""
        if self.shims is None:
            return None
        moves = zip(self.shims.moves_mm, self.shims.stacks, strict=True)
        found = [Under(stack, moves_mm) for moves_mm, stack in moves if abs(moves_mm) >= LEAST_SAID_MM]
        near = [under for under in found if abs(under.moves_mm - pinion_mm) <= _near_mm(pinion_mm)]
        return min(near, key=lambda under: abs(under.moves_mm - pinion_mm), default=None)


def _near_mm(move_mm: float) -> float:
    """Return how far a piece may miss a move [mm]: as far as the advice lets it."""
    return max(OFF_SHARE * abs(move_mm), LEAST_OFF_MM)
