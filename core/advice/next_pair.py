"""From a belief and a drawer to the next pair, for preload and for backlash."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.advice.choice import Choice, Pairs, Piece, by_doubt, pairs_of, pick
from core.advice.lash_belief import LashBelief
from core.advice.look_ahead import in_two_trials
from core.advice.readings import Floats, looked_up
from core.advice.torque_belief import TorqueBelief

RING_SD_MM = 0.002
"""Standard uncertainty of one ring made to measure [mm]: a good micrometer."""


@dataclass(frozen=True)
class Window:
    """Between what the mean of the readings must lie [canonical unit of the stage]."""

    low: float
    high: float

    def pulled_in(self, by: float) -> Window:
        """Return the limits with something taken off at both ends: a guard, or what runout takes up."""
        return Window(self.low + by, self.high - by)

    @property
    def is_open(self) -> bool:
        """Whether anything is left between them."""
        return self.high > self.low


@dataclass(frozen=True)
class Found:
    """What a drawer can do: the pair to fit, the next best, and what a ring made to measure would reach.

    `ideal_mm` is the ring sum (preload) or the move of the ring gear (backlash) that conforms most likely, and
    `ideal_chance` how likely.
    """

    best: Choice | None
    runner_up: Choice | None
    ideal_mm: float
    ideal_chance: float


def for_preload(
    belief: TorqueBelief,
    pieces: Sequence[Piece],
    window: Window,
    *,
    fitted: tuple[int, int] | None = None,
    lash: LashBelief | None = None,
    lash_window: Window | None = None,
    readings: int = 2,
    is_looking_ahead: bool = True,
) -> Found:
    """Return the pair whose mean torque most likely lies within the limits, now or after one more trial.

    Parameters
    ----------
    belief : TorqueBelief
        What is believed of torque over the ring sum.
    pieces : sequence of Piece
        What the drawer has.
    window : Window
        Limits of the mean turning torque [N·m].
    fitted : tuple of int or None
        Keys of the pieces that are in, ring-gear side first.
    lash, lash_window : LashBelief and Window, or None
        What is believed of backlash, so that of equal sums the split is taken that will land it.
    readings : int
        Torque readings of a trial.
    is_looking_ahead : bool
        False to go by the chance of this trial alone.
    """
    ideal_mm, ideal_chance = ideal_sum(belief, window, readings)
    pairs = pairs_of(pieces)
    sums_mm = pairs.sums_mm
    if len(sums_mm) == 0:
        return Found(None, None, ideal_mm, ideal_chance)
    zero_mm, zero_sd_mm = belief.zero
    kept = (sums_mm > zero_mm - 3.0 * zero_sd_mm) & (sums_mm < zero_mm + 3.5 * zero_sd_mm + 0.25)
    if kept.any():
        pairs, sums_mm = pairs.only(kept), sums_mm[kept]
    chance = by_doubt(pairs, lambda at, sd: belief.chances(at, window.low, window.high, sd, readings), sums_mm)
    in_two = chance
    if is_looking_ahead and chance.max() < 0.9:
        looked_at, found = in_two_trials(
            belief, _distinct(sums_mm), window.low, window.high, float(np.median(pairs.sd_mm)), readings
        )
        fine_mm = np.arange(float(looked_at[0]) - 0.001, float(looked_at[-1]) + 0.002, 0.001)
        table = np.interp(fine_mm, looked_at, found, left=0.0, right=0.0)
        # Sums too far off to be looked at are still done where this trial alone does it.
        in_two = np.maximum(chance, looked_up(sums_mm, float(fine_mm[0]), 0.001, table))
    also = _landing(pairs.moves_mm, lash, lash_window)
    best, second = pick(pairs, sums_mm, chance, in_two, also, fitted) or (None, None)
    return Found(best, second, ideal_mm, ideal_chance)


def for_backlash(
    belief: LashBelief,
    pieces: Sequence[Piece],
    window: Window,
    *,
    sum_mm: float,
    tolerance_mm: float,
    fitted: tuple[int, int] | None = None,
    places: int = 8,
) -> Found:
    """Return the pair that keeps the ring sum and whose mean backlash most likely lies within the limits.

    Parameters
    ----------
    belief : LashBelief
        What is believed of backlash over the ring gear's place.
    pieces : sequence of Piece
        What the drawer has.
    window : Window
        Limits of the mean backlash [mm], less what runout takes up.
    sum_mm, tolerance_mm : float
        The ring sum preload fixed, and how far a pair may stray from it [mm].
    fitted : tuple of int or None
        Keys of the pieces that are in, ring-gear side first.
    places : int
        At how many places backlash is read.
    """
    ideal_mm, ideal_chance = ideal_move(belief, window, places)
    pairs = pairs_of(pieces)
    pairs = pairs.only(np.round(np.abs(pairs.sums_mm - sum_mm) - tolerance_mm, 9) <= 0.0)
    if len(pairs.first) == 0:
        return Found(None, None, ideal_mm, ideal_chance)
    chance = by_doubt(
        pairs, lambda at, sd: belief.chances(at, window.low, window.high, 0.5 * sd, places), pairs.moves_mm
    )
    # Of equal chances the one nearer to the sum leaves preload as it was accepted.
    also = 1.0 - np.abs(pairs.sums_mm - sum_mm) / max(tolerance_mm, 1e-9)
    best, second = pick(pairs, pairs.moves_mm, chance, chance, also, fitted) or (None, None)
    return Found(best, second, ideal_mm, ideal_chance)


def _landing(moves_mm: Floats, lash: LashBelief | None, window: Window | None) -> Floats:
    """Return how likely each split lands the backlash; where nothing is known of it, how even it is."""
    if lash is None or window is None or not window.is_open:
        return np.asarray(1.0 - np.abs(moves_mm) / max(float(np.abs(moves_mm).max()), 1e-9))
    grid_mm = np.linspace(float(moves_mm.min()), float(moves_mm.max()) + 1e-6, 61)
    lands = lash.chances(grid_mm, window.low, window.high)
    return looked_up(moves_mm, float(grid_mm[0]), float(grid_mm[1] - grid_mm[0]), lands)


def _distinct(sums_mm: Floats) -> Floats:
    """Return the sums there are, to the micrometre, in order."""
    first = float(sums_mm.min())
    return np.asarray(first + np.flatnonzero(np.bincount(((sums_mm - first) * 1000.0).astype(np.intp))) / 1000.0)


def ideal_sum(belief: TorqueBelief, window: Window, readings: int = 2) -> tuple[float, float]:
    """Return the ring sum [mm] that conforms most likely, were every thickness to be had, and how likely."""
    zero_mm, zero_sd_mm = belief.zero
    grid_mm = np.arange(zero_mm - 2.0 * zero_sd_mm, zero_mm + 3.0 * zero_sd_mm + 0.3, 0.002)
    return _highest(grid_mm, belief.chances(grid_mm, window.low, window.high, RING_SD_MM, readings))


def ideal_move(belief: LashBelief, window: Window, places: int = 8) -> tuple[float, float]:
    """Return where the ring gear should stand [mm] were every thickness to be had, and how likely it conforms."""
    middle_mm = 0.5 * (window.low + window.high)
    at_mm, deviation_mm = belief.at_even_split
    rate = belief.rate[0]
    reach_mm = 2.0 * (deviation_mm + 0.01) / rate
    wanted_mm = (middle_mm - at_mm) / rate
    grid_mm = np.linspace(wanted_mm - reach_mm, wanted_mm + reach_mm, 101)
    chance = belief.chances(grid_mm, window.low, window.high, 0.5 * RING_SD_MM, places)
    return _highest(grid_mm, chance) if chance.any() else (wanted_mm, 0.0)


def _highest(values: Floats, chance: Floats) -> tuple[float, float]:
    # The middle of what is all but the highest: the very top is a matter of rounding.
    top = np.flatnonzero(chance >= chance.max() - 1e-3)
    at = int(top[len(top) // 2])
    return float(values[at]), float(chance[at])


__all__ = ["Choice", "Found", "Pairs", "Piece", "Window", "for_backlash", "for_preload"]
