"""Which pair of the drawer to fit next: the most likely to conform, or the one that makes the trial after it so.

By the chance to be done within two trials; where that does not decide, by the chance of this one, then by what it
saves.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.advice.readings import Floats
from core.mechanics.rings import RingPair

Indices = NDArray[np.intp]

ALIKE = 0.01
"""Chances closer together than this are alike."""

WORTH_WAITING = 0.03
"""For a gain within two trials smaller than this no chance of the present one is given up."""

SAME_MM = 0.004
"""Sums or moves closer together than this tell the same."""


@dataclass(frozen=True)
class Piece:
    """A ring or shim that could be fitted: its thickness with the standard uncertainty [mm], and how many there are."""

    key: int
    thickness_mm: float
    sd_mm: float
    count: int


@dataclass(frozen=True)
class Choice:
    """A pair and what speaks for it; `pieces` are the keys, ring-gear side first."""

    pair: RingPair
    pieces: tuple[int, int]
    sum_sd_mm: float
    chance: float
    chance_in_two: float
    changed: int


@dataclass(frozen=True)
class Pairs:
    """Every ordered pair the drawer can really provide, as arrays of one length; ring-gear side first."""

    pieces: Sequence[Piece]
    first: Indices
    second: Indices
    ring_gear_side_mm: Floats
    opposite_side_mm: Floats
    sd_mm: Floats

    @property
    def sums_mm(self) -> Floats:
        """Ring sums [mm]."""
        return self.ring_gear_side_mm + self.opposite_side_mm

    @property
    def moves_mm(self) -> Floats:
        """How far the ring gear stands away from the pinion against an even split [mm]."""
        return 0.5 * (self.opposite_side_mm - self.ring_gear_side_mm)

    def only(self, kept: NDArray[np.bool_]) -> Pairs:
        """Return the pairs for which `kept` holds."""
        return Pairs(
            self.pieces,
            self.first[kept],
            self.second[kept],
            self.ring_gear_side_mm[kept],
            self.opposite_side_mm[kept],
            self.sd_mm[kept],
        )

    def changed(self, fitted: tuple[int, int] | None) -> Indices:
        """Return how many rings each pair changes against the two that are in; both where none are."""
        if fitted is None:
            return np.full(len(self.first), 2)
        keys = np.asarray([piece.key for piece in self.pieces])
        return np.asarray((keys[self.first] != fitted[0]).astype(np.intp) + (keys[self.second] != fitted[1]))


def pairs_of(pieces: Sequence[Piece]) -> Pairs:
    """Return all pairs of a drawer; one piece cannot sit on both sides."""
    there = [piece for piece in pieces if piece.count > 0]
    thick = np.asarray([piece.thickness_mm for piece in there], dtype=float)
    doubt = np.asarray([piece.sd_mm for piece in there], dtype=float)
    first, second = np.indices((len(there), len(there))).reshape(2, -1)
    is_single = np.asarray([piece.count < 2 for piece in there], dtype=bool)
    kept = (first != second) | ~is_single[first] if len(there) else np.zeros(0, dtype=bool)
    first, second = first[kept], second[kept]
    return Pairs(there, first, second, thick[first], thick[second], np.hypot(doubt[first], doubt[second]))


def by_doubt(pairs: Pairs, chances: Callable[[Floats, float], Floats], values: Floats) -> Floats:
    """Return the chance of every pair, worked out once for each doubt there is about thickness.

    Parameters
    ----------
    pairs : Pairs
        The pairs.
    chances : callable
        Chances at values [mm] with a standard uncertainty [mm].
    values : array, shape (n,)
        The value of each pair the chance hangs on [mm].
    """
    found = np.zeros(len(values))
    # Doubts are one where they are micrometres apart.
    classes = (pairs.sd_mm * 1000.0 + 0.5).astype(np.intp)
    for doubt in np.flatnonzero(np.bincount(classes)):
        at = classes == doubt
        found[at] = chances(values[at], max(doubt / 1000.0, 0.0005))
    return found


def pick(
    pairs: Pairs, values: Floats, chance: Floats, in_two: Floats, also: Floats, fitted: tuple[int, int] | None
) -> tuple[Choice, Choice | None] | None:
    """Return the pair to fit and the runner-up, or None where there is no pair.

    Parameters
    ----------
    pairs : Pairs
        The pairs there are.
    values : array, shape (n,)
        What the chance hangs on [mm]: ring sums or moves. The runner-up has another one.
    chance, in_two : array, shape (n,)
        Chance of each to conform, and to be done with it or with the trial after it.
    also : array, shape (n,)
        What speaks for a pair besides, from 0 to 1: at preload, that its split lands the backlash.
    fitted : tuple of int or None
        Keys of the two pieces that are in, ring-gear side first.
    """
    if len(chance) == 0:
        return None
    changed = pairs.changed(fitted)
    best = _best(chance, in_two, also, changed)
    others = np.abs(values - values[best]) > SAME_MM
    second = None
    if others.any():
        places = np.flatnonzero(others)
        second = places[_best(chance[others], in_two[others], also[others], changed[others])]

    def told(at: np.intp) -> Choice:
        one, other = pairs.pieces[pairs.first[at]], pairs.pieces[pairs.second[at]]
        return Choice(
            RingPair(one.thickness_mm, other.thickness_mm),
            (one.key, other.key),
            float(pairs.sd_mm[at]),
            float(chance[at]),
            float(in_two[at]),
            int(changed[at]),
        )

    return told(best), None if second is None else told(second)


def _best(chance: Floats, in_two: Floats, also: Floats, changed: Indices) -> np.intp:
    alike = np.flatnonzero(in_two >= in_two.max() - WORTH_WAITING)
    alike = alike[chance[alike] >= chance[alike].max() - ALIKE]
    # Twentieths are as finely as a split can be told to land before anything was read.
    order = np.lexsort((-chance[alike], changed[alike], -np.round(20.0 * also[alike])))
    return np.intp(alike[order[0]])
