"""Pairs of the drawer that keep the ring sum: with them the ring gear is moved and the preload stays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.advice.choice import Pairs, pairs_of
from core.advice.readings import Floats
from core.advice.seen import Known, move_mm, pieces_of
from core.mechanics.rings import RingPair
from core.stages import backlash
from core.stages.backlash import sum_tolerance_mm
from core.stages.context import Context
from core.stages.preload import ACCEPT
from core.stages.sides import pair


@dataclass(frozen=True)
class Nearest:
    """A pair of the drawer, and how far it moves the ring gear away from the pinion [mm].

    `pieces` are the keys of the parts, ring-gear side first; where nuts are turned, their notches.
    """

    pair: RingPair
    pieces: tuple[int, int]
    moves_mm: float


@dataclass(frozen=True, eq=False)
class SameSum:
    """What was accepted at backlash, and the pairs with its sum."""

    fitted: RingPair
    pairs: Pairs

    @property
    def moves_mm(self) -> Floats:
        """How far each pair moves the ring gear away from the pinion [mm]."""
        return np.asarray(self.pairs.moves_mm - move_mm(self.fitted))

    def nearest(self, gear_mm: float, within_mm: float) -> Nearest | None:
        """Return the pair that comes nearest to a move of the ring gear, or None where none is near enough.

        Parameters
        ----------
        gear_mm : float
            How far the ring gear is to be moved away from the pinion [mm].
        within_mm : float
            So far the pair may be off [mm].
        """
        if len(self.pairs.first) == 0:
            return None
        moves_mm = self.moves_mm
        off_mm = np.abs(moves_mm - gear_mm)
        at = int(off_mm.argmin())
        if off_mm[at] > within_mm:
            return None
        one, other = (self.pairs.pieces[side[at]] for side in (self.pairs.first, self.pairs.second))
        return Nearest(RingPair(one.thickness_mm, other.thickness_mm), (one.key, other.key), float(moves_mm[at]))


def pairs_of_same_sum(context: Context, known: Known) -> SameSum | None:
    """Return the pairs that keep the sum of the accepted trial of backlash, or None where none was accepted."""
    trial = context.accepted_trial(backlash.KEY, ACCEPT)
    fitted = None if trial is None else pair(context, backlash.KEY, trial)
    if fitted is None:
        return None
    pairs = pairs_of(pieces_of(context, known.parts))
    keeps_sum = np.round(np.abs(pairs.sums_mm - fitted.sum_mm) - sum_tolerance_mm(context), 9) <= 0.0
    return SameSum(fitted, pairs.only(keeps_sum))
