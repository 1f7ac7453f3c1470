"""What is believed of turning torque over the ring sum, after the trials so far.

torque = drag + rise · (max(sum − zero, 0)/0.05 mm)^exponent

`zero` is the ring sum at no clearance, `rise` what 0.05 mm of interference adds, the exponent about 1.11: rollers give
F ∝ δ^1.11, and slow hand-turned torque is in proportion to F (boundary friction). The belief is a grid over all four,
updated trial by trial (Bayes). The grid over `zero` has the step of the grid over sums, so that what a sum brings is a
sum over shifted tables and never computed twice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.special import ndtr, ndtri

from core.advice.readings import (
    WRONG_READING,
    Floats,
    before,
    likelihood,
    looked_up,
    moments,
    normal,
    support,
    updated,
)

UNIT_MM = 0.05
"""Interference at which the rise is stated [mm]."""

ROLLER_EXPONENT = 1.11
"""Rollers give F ∝ δ^1.11, and slow hand-turned torque is in proportion to F."""

USUAL_DRAG_NM = 0.05
"""Drag of a carrier without any preload [N·m] (common practice)."""

EXPONENTS = (1.05, ROLLER_EXPONENT, 1.18)
"""Exponents considered, and how much each is believed: 1.11 follows from the rollers, casings give a little."""
EXPONENT_WEIGHTS = (0.3, 0.4, 0.3)

SEATING_RATIO = 0.04
SEATING_NM = 0.01
"""How one and the same pair differs from assembly to assembly: a share of the torque, and never less than so much [N·m]
(common practice)."""

REPEAT_RATIO = 0.02
"""How readings of one assembly differ, beside the gauge's own steps: a share of the torque (common practice)."""

STATED_SHARE = 0.25
"""The stated error of a gauge mostly stays from reading to reading, and what stays is learned with the rise; this share
of it is taken to change (common practice)."""

END_PLAY_MM = 0.015
"""How well the end play of a loose carrier tells what is missing to no clearance [mm] (common practice)."""

WRONG_PLAY_MM = 0.5
"""A wrong end play lies anywhere within so much [mm]."""

STEPS = 160
RISES, DRAGS = 9, 3
LOST = 1.0e-6
FARTHEST_MM = 0.4
"""So far off the sum at no clearance may be where what was measured before the first trial was wrong [mm] (common
practice)."""

WRONG_NM = 3.0
"""A wrong reading lies anywhere within so much [N·m]."""


@dataclass(frozen=True)
class TorquePrior:
    """What is believed before the first trial: normal in `zero`, lognormal in `rise` and `drag`."""

    zero_mm: float
    zero_sd_mm: float
    rise_nm: float = 0.70
    rise_log_sd: float = 0.27
    drag_nm: float = USUAL_DRAG_NM
    drag_log_sd: float = 0.5


@dataclass(frozen=True)
class TorqueTrial:
    """An assembly: its ring sum with its standard uncertainty [mm], and the torques read on it [N·m].

    `end_play_mm` is how far the carrier slides to and fro [mm] where it was loose enough to tell, None where not read.
    """

    sum_mm: float
    torques_nm: tuple[float, ...]
    sum_sd_mm: float = 0.002
    end_play_mm: float | None = None


@dataclass(frozen=True)
class TorqueGauge:
    """What the torques are read with [N·m]."""

    resolution_nm: float = 0.05
    stated_nm: float = 0.0

    def reading_sd_nm(self, torque_nm: Floats) -> Floats:
        """Return the standard deviation of one reading [N·m] at a torque [N·m]."""
        own = math.hypot(self.resolution_nm / math.sqrt(12.0), STATED_SHARE * self.stated_nm / math.sqrt(3.0))
        return np.asarray(np.hypot(own, REPEAT_RATIO * torque_nm))


@dataclass(frozen=True)
class TorqueBelief:
    """Weights over zero (rows) and the other three (columns), which sum to one."""

    zeros_mm: Floats
    rise_nm: Floats
    exponent: Floats
    drag_nm: Floats
    weights: Floats
    gauge: TorqueGauge
    doubts: tuple[float, ...] = ()
    """For each trial how likely it is that the assembly, or every reading of it, was no good."""

    @property
    def step_mm(self) -> float:
        """Step of the grid over zero [mm]."""
        return float(self.zeros_mm[1] - self.zeros_mm[0])

    def torque_nm(self, interference_mm: Floats) -> Floats:
        """Return the torque [N·m] at interferences [mm] (rows) for every column."""
        squeezed = np.maximum(interference_mm, 0.0)[:, None] / UNIT_MM
        return np.asarray(self.drag_nm + self.rise_nm * np.power(squeezed, self.exponent))

    @cached_property
    def zero(self) -> tuple[float, float]:
        """Mean and standard deviation of the sum at no clearance [mm]."""
        return moments(self.zeros_mm, self.weights.sum(axis=1))

    @cached_property
    def log_rise(self) -> tuple[float, float]:
        """Mean and standard deviation of ln(rise/N·m)."""
        return moments(np.log(self.rise_nm), self.weights.sum(axis=0))

    @cached_property
    def steep(self) -> float:
        """What a millimetre of ring sum is worth where torque is usually set [N·m per mm]."""
        return math.exp(self.log_rise[0]) * ROLLER_EXPONENT / UNIT_MM

    def mean_sd_nm(self, torque_nm: Floats, readings: int = 2) -> Floats:
        """Return the standard deviation of the mean of so many readings of a new assembly [N·m]."""
        own = self.gauge.reading_sd_nm(torque_nm)
        return np.asarray(np.sqrt(_seating_nm(torque_nm) ** 2 + own**2 / readings))

    def chances(self, sums_mm: Floats, low_nm: float, high_nm: float, sum_sd_mm: float, readings: int = 2) -> Floats:
        """Return for each sum how likely the mean of its readings is to lie within the limits.

        Parameters
        ----------
        sums_mm : array, shape (n,)
            Ring sums [mm].
        low_nm, high_nm : float
            Limits of the mean [N·m].
        sum_sd_mm : float
            Standard uncertainty of the sums [mm].
        readings : int
            How many readings the mean is of.

        Returns
        -------
        array, shape (n,)
            Probabilities.
        """
        if len(sums_mm) == 0:
            return np.zeros(0)
        reach = max(math.ceil(3.0 * sum_sd_mm / self.step_mm), 1)
        beyond_mm = reach * self.step_mm
        grid_mm, found = self._over_sums(
            float(sums_mm.min()) - beyond_mm, float(sums_mm.max()) + beyond_mm, low_nm, high_nm, readings
        )
        offsets = np.arange(-reach, reach + 1) * self.step_mm
        kernel = np.exp(-0.5 * (offsets / max(sum_sd_mm, 0.2 * self.step_mm)) ** 2)
        blurred = np.convolve(found, kernel / kernel.sum(), mode="valid")
        return looked_up(sums_mm, float(grid_mm[reach]), self.step_mm, blurred)

    def _over_sums(
        self, first_mm: float, last_mm: float, low_nm: float, high_nm: float, readings: int
    ) -> tuple[Floats, Floats]:
        step, count = self.step_mm, len(self.zeros_mm)
        sums = math.ceil((last_mm - first_mm) / step) + 2
        # Sum i less zero j is first − zero_last + (i − j + count − 1) steps: one table serves them all.
        interference = first_mm - self.zeros_mm[-1] + np.arange(sums + count - 1) * step
        mean = self.torque_nm(interference)
        deviation = self.mean_sd_nm(mean, readings)
        accepted = ndtr((high_nm - mean) / deviation) - ndtr((low_nm - mean) / deviation)
        length = 1 << (len(interference) + count - 1).bit_length()
        spectrum = np.fft.rfft(accepted, length, axis=0) * np.fft.rfft(self.weights, length, axis=0)
        whole = np.fft.irfft(spectrum.sum(axis=1), length)
        grid_mm = np.asarray(first_mm + np.arange(sums) * step)
        return grid_mm, np.asarray(np.clip(whole[count - 1 : count - 1 + sums], 0.0, 1.0), dtype=np.float64)

    def sample(self, count: int) -> tuple[Floats, Floats]:
        """Return so many equally weighted points of the belief: zeros [mm], and columns, evenly drawn."""
        flat = np.cumsum(self.weights.ravel())
        at = np.searchsorted(flat, (np.arange(count) + 0.5) / count * flat[-1])
        rows, columns = np.divmod(np.minimum(at, flat.size - 1), self.weights.shape[1])
        # Evenly within the step, so that a coarse grid does not lump.
        within = (np.arange(count) * 0.6180339887498949 % 1.0 - 0.5) * self.step_mm
        return self.zeros_mm[rows] + within, columns

    def expected(
        self, sum_mm: float, sum_sd_mm: float, readings: int = 2, points: int = 2000
    ) -> tuple[float, float, float]:
        """Return the median and the 90 % interval of the mean torque [N·m] at a ring sum [mm], from so many points."""
        zeros, columns = self.sample(points)
        # Golden-ratio steps spread the normal scores over the points without any chance in it.
        scores = _normal_scores(len(zeros), 0.7548776662466927)
        interference = np.maximum(sum_mm + sum_sd_mm * _normal_scores(len(zeros), 0.5698402909980532) - zeros, 0.0)
        mean = self.drag_nm[columns] + self.rise_nm[columns] * (interference / UNIT_MM) ** self.exponent[columns]
        found = np.maximum(mean + scores * self.mean_sd_nm(mean, readings), 0.0)
        low, middle, high = np.quantile(found, (0.05, 0.5, 0.95))
        return float(middle), float(low), float(high)


def believe(prior: TorquePrior, trials: Sequence[TorqueTrial], gauge: TorqueGauge) -> TorqueBelief:
    """Return what is believed after the trials.

    Parameters
    ----------
    prior : TorquePrior
        What was believed before.
    trials : sequence of TorqueTrial
        Assemblies with at least one torque each.
    gauge : TorqueGauge
        What it was read with.

    Source
    ------
    Bayes' rule on a grid. F ∝ δ^1.11: an axial-stiffness formula of a bearing maker's handbook, as in
    `mechanics.preload`; scatter and the share of wrong readings are common practice.
    """
    first = min([prior.zero_mm - 4.5 * prior.zero_sd_mm, *(t.sum_mm - 0.25 for t in trials)])
    last = max([prior.zero_mm + 4.5 * prior.zero_sd_mm, *(t.sum_mm + 0.15 for t in trials)])
    # What a gauge can tell apart on the steepest rise is a few micrometres; first where the mass lies, then finely.
    zeros_mm, rise_z = np.linspace(first, last, 2 * STEPS + 1), np.linspace(-2.4, 2.4, RISES)
    coarse = _updated(prior, trials, gauge, zeros_mm, rise_z)
    if trials:
        by_rise = coarse.weights.sum(axis=0).reshape(RISES, -1).sum(axis=1)
        rise_z = np.linspace(*support(rise_z, by_rise, 1.0e-3, 1), RISES)
    return _updated(
        prior, trials, gauge, np.linspace(*support(zeros_mm, coarse.weights.sum(axis=1), LOST, 2), STEPS + 1), rise_z
    )


def _updated(
    prior: TorquePrior, trials: Sequence[TorqueTrial], gauge: TorqueGauge, zeros_mm: Floats, rise_z: Floats
) -> TorqueBelief:
    drag_z = np.linspace(-1.3, 1.3, DRAGS)
    rise, exponent, drag = (
        grid.ravel()
        for grid in np.meshgrid(
            prior.rise_nm * np.exp(prior.rise_log_sd * rise_z),
            np.asarray(EXPONENTS),
            prior.drag_nm * np.exp(prior.drag_log_sd * drag_z),
            indexing="ij",
        )
    )
    column = np.einsum("i,j,k->ijk", np.exp(-0.5 * rise_z**2), EXPONENT_WEIGHTS, np.exp(-0.5 * drag_z**2)).ravel()
    row = before(zeros_mm, prior.zero_mm, prior.zero_sd_mm, FARTHEST_MM if trials else None)
    belief = TorqueBelief(zeros_mm, rise, exponent, drag, np.outer(row, column), gauge)
    weights, doubts = updated(belief.weights, [_of_trial(belief, trial) for trial in trials])
    return replace(belief, weights=weights, doubts=doubts)


def _of_trial(belief: TorqueBelief, trial: TorqueTrial) -> tuple[Floats, Floats]:
    mean = belief.torque_nm(trial.sum_mm - belief.zeros_mm)
    # Half a step of the grid counts as doubt about the sum: a peak between two points must not be lost.
    doubt_mm = math.hypot(trial.sum_sd_mm, belief.step_mm / math.sqrt(12.0))
    steepness = (
        ROLLER_EXPONENT * (mean - belief.drag_nm) / np.maximum(trial.sum_mm - belief.zeros_mm, UNIT_MM / 5.0)[:, None]
    )
    shared = np.sqrt(_seating_nm(mean) ** 2 + (steepness * doubt_mm) ** 2)
    whole, bad = likelihood(trial.torques_nm, mean, belief.gauge.reading_sd_nm(mean), shared, WRONG_NM)
    if trial.end_play_mm is None:
        return whole, bad
    # What slides to and fro is what is missing to no clearance: read so, the sum need not be guessed from torque.
    missing = np.maximum(belief.zeros_mm - trial.sum_mm, 0.0)
    sound = (1.0 - WRONG_READING) * normal(trial.end_play_mm, missing, math.hypot(END_PLAY_MM, doubt_mm))
    said = (sound + WRONG_READING / WRONG_PLAY_MM)[:, None]
    return whole * said, bad * said


def _seating_nm(torque_nm: Floats) -> Floats:
    return np.asarray(np.hypot(SEATING_NM, SEATING_RATIO * torque_nm))


def _normal_scores(count: int, stride: float) -> Floats:
    return np.asarray(ndtri((np.arange(count) * stride + 0.5) % 1.0 * (1.0 - 2e-6) + 1e-6))
