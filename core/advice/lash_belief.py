"""What is believed of backlash over the ring gear's place, after the trials so far.

backlash = at_zero + rate · move, with `move` [mm] how far the ring gear stands away from the pinion against an even
split: half the opposite side less half the ring-gear side. The belief is a grid over both, updated trial by trial.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.special import ndtr, ndtri

from core.advice.readings import Floats, before, likelihood, looked_up, moments, support, updated

SEATING_MM = 0.003
"""How the mean backlash of one and the same pair differs from assembly to assembly [mm] (common practice)."""

STATED_SHARE = 0.25
"""This share of a dial's stated error is taken to change from reading to reading (common practice)."""

REPEAT_MM = 0.003
"""How readings at one place differ, beside the dial's own steps [mm] (common practice)."""

FARTHEST_MM = 0.2
"""So far off backlash may be where what was found or taught before the first trial does not hold [mm] (common
practice)."""

WRONG_MM = 0.5
"""A wrong mean lies anywhere within so much [mm]."""

PLACES = 8
STEPS, RATES = 160, 15
POINTS = 201
LOST = 1.0e-6
LEAST_SHARE = 1.0e-4
"""Of what is expected, cells of the belief with less than this share of the likeliest one's weight are left out."""

_SCORES = ndtri((np.arange(9) + 0.5) / 9.0)
"""Nine equally likely deviations, in standard deviations: assembly and gauge about each value that is believed."""


@dataclass(frozen=True)
class LashPrior:
    """What is believed before the first trial: backlash at `move_mm`, and what a millimetre of move is worth."""

    backlash_mm: float
    backlash_sd_mm: float
    rate: float
    rate_sd: float
    move_mm: float = 0.0


@dataclass(frozen=True)
class LashTrial:
    """An assembly: where the ring gear stood [mm], and the mean backlash of so many places [mm]."""

    move_mm: float
    mean_mm: float
    places: int = PLACES
    move_sd_mm: float = 0.0015


@dataclass(frozen=True)
class LashGauge:
    """What backlash is read with [mm]."""

    resolution_mm: float = 0.01
    stated_mm: float = 0.0

    def mean_sd_mm(self, places: int) -> float:
        """Return the standard deviation of the mean of so many places [mm]."""
        own = math.hypot(self.resolution_mm / math.sqrt(12.0), REPEAT_MM) / math.sqrt(max(places, 1))
        return math.hypot(own, STATED_SHARE * self.stated_mm / math.sqrt(3.0))


@dataclass(frozen=True)
class LashBelief:
    """Weights over the backlash at `move_mm` (rows) and the rate (columns), which sum to one."""

    backlash_mm: Floats
    rates: Floats
    weights: Floats
    move_mm: float
    gauge: LashGauge
    doubts: tuple[float, ...] = ()
    """For each trial how likely it is that the assembly, or its mean, was no good."""

    @cached_property
    def rate(self) -> tuple[float, float]:
        """Mean and standard deviation of the rate [mm per mm]."""
        return moments(self.rates, self.weights.sum(axis=0))

    @cached_property
    def at_even_split(self) -> tuple[float, float]:
        """Mean and standard deviation of the backlash at an even split [mm]."""
        values = (self.backlash_mm[:, None] - self.rates * self.move_mm).ravel()
        return moments(values, self.weights.ravel())

    def _sd_mm(self, move_sd_mm: float, places: int) -> float:
        return math.hypot(SEATING_MM, self.gauge.mean_sd_mm(places), self.rate[0] * move_sd_mm)

    def chances(
        self, moves_mm: Floats, low_mm: float, high_mm: float, move_sd_mm: float = 0.0015, places: int = PLACES
    ) -> Floats:
        """Return for each place of the ring gear how likely the mean backlash is to lie within the limits.

        Parameters
        ----------
        moves_mm : array, shape (n,)
            Where the ring gear would stand [mm].
        low_mm, high_mm : float
            Limits of the mean [mm]: what runout takes up is off them already.
        move_sd_mm : float
            Standard uncertainty of the moves [mm].
        places : int
            How many places the mean is of.

        Returns
        -------
        array, shape (n,)
            Probabilities; nought where the limits leave nothing between them.
        """
        if len(moves_mm) == 0 or high_mm <= low_mm:
            return np.zeros(len(moves_mm))
        is_many = len(moves_mm) > POINTS
        grid_mm = np.linspace(float(moves_mm.min()), float(moves_mm.max()), POINTS) if is_many else moves_mm
        deviation = self._sd_mm(move_sd_mm, places)
        found = np.zeros(len(grid_mm))
        for rate, column in zip(self.rates, self.weights.T, strict=True):
            mean = self.backlash_mm + rate * (grid_mm[:, None] - self.move_mm)
            found += (ndtr((high_mm - mean) / deviation) - ndtr((low_mm - mean) / deviation)) @ column
        return looked_up(moves_mm, float(grid_mm[0]), float(grid_mm[1] - grid_mm[0]), found) if is_many else found

    def expected(self, move_mm: float, move_sd_mm: float = 0.0015, places: int = PLACES) -> tuple[float, float, float]:
        """Return the median and the 90 % interval of the mean backlash [mm] at a place of the ring gear; none below 0.

        By what share of the belief lies below, not by mean and deviation: should the last reading be a slip, backlash
        may be anywhere, and that small chance alone would pull the mean away and widen the interval beyond use.
        """
        weights = self.weights.ravel()
        is_likely = weights > LEAST_SHARE * weights.max()
        values = (self.backlash_mm[:, None] + self.rates * (move_mm - self.move_mm)).ravel()[is_likely]
        points = (values[:, None] + self._sd_mm(move_sd_mm, places) * _SCORES).ravel()
        order = np.argsort(points)
        below = np.cumsum(np.repeat(weights[is_likely], len(_SCORES))[order])
        at = np.searchsorted(below, np.asarray((0.5, 0.05, 0.95)) * below[-1])
        middle, low, high = np.maximum(points[order][at], 0.0)
        return float(middle), float(low), float(high)


def believe(prior: LashPrior, trials: Sequence[LashTrial], gauge: LashGauge) -> LashBelief:
    """Return what is believed after the trials.

    Parameters
    ----------
    prior : LashPrior
        What was believed before.
    trials : sequence of LashTrial
        Assemblies that were read.
    gauge : LashGauge
        What they were read with.

    Source
    ------
    Bayes' rule on a grid; scatter and the share of wrong readings are common practice.
    """
    # Stated where the last trial was, backlash hangs least on the rate.
    move_mm = trials[-1].move_mm if trials else prior.move_mm
    reach = 4.5 * math.hypot(prior.backlash_sd_mm, prior.rate_sd * (move_mm - prior.move_mm))
    centre = prior.backlash_mm + prior.rate * (move_mm - prior.move_mm)
    means = [trial.mean_mm for trial in trials[-1:]]
    backlash_mm = np.linspace(min([centre - reach, *means]), max([centre + reach, *means]), 2 * STEPS + 1)
    rates = np.linspace(
        max(prior.rate - 3.0 * prior.rate_sd, 0.1 * prior.rate), prior.rate + 3.0 * prior.rate_sd, RATES
    )
    coarse = _updated(prior, trials, gauge, move_mm, backlash_mm, rates)
    backlash_mm = np.linspace(*support(backlash_mm, coarse.weights.sum(axis=1), LOST, 2), STEPS + 1)
    if trials:
        rates = np.linspace(*support(rates, coarse.weights.sum(axis=0), 1.0e-3, 1), RATES)
    return _updated(prior, trials, gauge, move_mm, backlash_mm, rates)


def _updated(
    prior: LashPrior,
    trials: Sequence[LashTrial],
    gauge: LashGauge,
    move_mm: float,
    backlash_mm: Floats,
    rates: Floats,
) -> LashBelief:
    there = backlash_mm[:, None] - rates * (move_mm - prior.move_mm)
    weights = before(there, prior.backlash_mm, prior.backlash_sd_mm, FARTHEST_MM if trials else None)
    # Gears do lose backlash on their way to the pinion: a rate near or below nought is none.
    weights = weights * np.exp(-0.5 * ((rates - prior.rate) / prior.rate_sd) ** 2)
    belief = LashBelief(backlash_mm, rates, weights, move_mm, gauge)
    weights, doubts = updated(weights, [_of_trial(belief, trial) for trial in trials])
    return replace(belief, weights=weights, doubts=doubts)


def _of_trial(belief: LashBelief, trial: LashTrial) -> tuple[Floats, Floats]:
    # Teeth that are jammed read nought, however far they are.
    mean = np.maximum(belief.backlash_mm[:, None] + belief.rates * (trial.move_mm - belief.move_mm), 0.0)
    grid = float(belief.backlash_mm[1] - belief.backlash_mm[0]) / math.sqrt(12.0)
    shared = np.hypot(math.hypot(SEATING_MM, grid), belief.rates * trial.move_sd_mm)
    own = belief.gauge.mean_sd_mm(trial.places)
    shared = np.broadcast_to(shared, mean.shape)
    return likelihood((trial.mean_mm,), mean, np.full_like(mean, own), shared, WRONG_MM, trial.places)
