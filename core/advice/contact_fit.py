"""The prints of a job read together: where the gears sit, how the flanks are relieved, and how roughly was read.

All prints, with the moves made between them, are read at once: the most likely values (MAP) by damped Gauss-Newton
steps, and how well they are known by Laplace's approximation. Sensitivity goes as one over the crown, so the first real
move teaches how much the next one does. How well the prints agree tells how roughly they were read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from core.advice.contact_belief import ContactBelief
from core.advice.contact_model import ContactModel, ContactPrior, Floats, Looked, Print, Variant
from core.advice.contact_scatter import SCALES, Scatter, usual_scatter
from core.mechanics.contact import ContactSet, Flank

READING_SDS = (0.03, 0.05, 0.07, 0.07)
"""How a print is read: centre along and in depth as shares of the tooth, length and height as shares of themselves
(common practice)."""

MODEL_SD = 0.015
"""What the model leaves out of all of them, as a share of the tooth (common practice)."""

TAIL = 8.0
"""Degrees of freedom by which a reading far out loses its say (Student's t)."""

ROUNDS, SETTLED, LONGEST = 10, 0.03, 2.0
"""Most steps; a step below this ends the search; none is longer than this [standard deviations of the prior]."""

ANEW = 0.15
"""Where the prints tell of a scatter so much other than was taken (logarithm), they are read again with it."""

UNFIT = 4.0
"""A reading so many standard deviations from what any setting would print is not from such a set, or was misread."""

ODD_SHARE = 0.05
"""How many of the sets that do not print well are no good as they are: wrong pair, bent carrier, offset off (common
practice)."""


def odd_prior(prior: ContactPrior) -> ContactPrior:
    """Return what is believed of a set that is no good as it is: its offset and its crests may be far off."""
    return replace(prior, offset_sd_mm=0.25, crest_sd=0.10)


def oddness(usual: ContactBelief, odd: ContactBelief) -> float:
    """Return how likely a set is no good as it is, by what its prints say under both beliefs.

    Parameters
    ----------
    usual, odd : ContactBelief
        The same prints read with the prior and with `odd_prior` of it.

    Source
    ------
    Ratio of the evidence of both, by Laplace's approximation (textbook, from memory).
    """
    log_odds = odd.log_evidence - usual.log_evidence + math.log(ODD_SHARE / (1.0 - ODD_SHARE))
    return 1.0 / (1.0 + math.exp(-min(max(log_odds, -50.0), 50.0)))


def believe_contact(
    pair: ContactSet,
    prior: ContactPrior,
    readings: Sequence[Looked],
    scatter: Scatter | None = None,
    variants: Sequence[Variant] = (),
) -> ContactBelief:
    """Return what all readings of a job say together.

    Parameters
    ----------
    pair : ContactSet
        The set as the card gives it.
    prior : ContactPrior
        What was believed before.
    readings : sequence of Looked
        Prints with the moves between them.
    scatter : Scatter or None
        How roughly prints are read in this shop; None: no job of it is known.
    variants : sequence of Variant
        The set with each size that is known only as a band off by a standard deviation.

    Source
    ------
    Maximum a posteriori by damped Gauss-Newton steps with Student's t for readings far out; covariance and evidence by
    Laplace's approximation (textbook methods, from memory).
    """
    scatter = scatter or usual_scatter()
    model = ContactModel(pair, prior, tuple(variants))
    told = _Told(model, tuple(readings))
    fit = _settle(told, np.zeros(model.unknowns), scatter.mean)
    after = scatter.after(_log_likelihoods(told, fit))
    if abs(math.log(after.mean / scatter.mean)) > ANEW:
        fit = _settle(told, fit.at, after.mean)
    logs = _log_likelihoods(told, fit)
    after = scatter.after(logs)
    means, covariances = _components(told, fit)
    return ContactBelief(
        model,
        after,
        fit.at,
        means,
        covariances,
        logs,
        float(np.log(scatter.weights @ np.exp(logs - logs.max())) + logs.max()),
        float(np.abs(fit.rest / told.sds(after.mean)).max(initial=0.0)),
        told.backlash_off_mm(fit.at),
    )


@dataclass(frozen=True, eq=False)
class _Fit:
    """The most likely unknowns (n,), what is left of the readings there (r,), and how these hang on them (r, n)."""

    at: Floats
    rest: Floats
    slopes: Floats


class _Told:
    """The readings in rows: four of each print whose extents are known, and the backlash."""

    def __init__(self, model: ContactModel, readings: tuple[Looked, ...]) -> None:
        self._model, self._readings = model, readings
        values, sds, others = [], [], []
        for reading in readings:
            for seen in reading.prints.values():
                told = _values(seen)
                values += told
                sds += [*READING_SDS[:2], *(sd * share for sd, share in zip(READING_SDS[2:], told[2:], strict=True))]
                others += [MODEL_SD] * 4
            if reading.backlash_mm is not None:
                values.append(reading.backlash_mm)
                # How far a set's own backlash is from what it is made for is no reading, and scatters as it does.
                sds.append(0.0)
                others.append(model.prior.backlash_sd_mm)
        read = np.array(values, dtype=np.float64)
        self._there = ~np.isnan(read)
        self._read = read[self._there]
        self._sds, self._others = (np.array(row, dtype=np.float64)[self._there] for row in (sds, others))

    def sds(self, scale: float) -> Floats:
        """Return the standard deviations of the rows under a scale of scatter."""
        return np.hypot(scale * self._sds, self._others)

    def rest(self, at: Floats) -> Floats:
        """Return how far what the unknowns predict is from what was read."""
        rows: list[float] = []
        for reading in self._readings:
            for flank in reading.prints:
                rows += self._model.told(at, flank, reading.pinion_mm, reading.gear_mm).tolist()
            if reading.backlash_mm is not None:
                rows.append(self._model.backlash_mm(at, reading.pinion_mm, reading.gear_mm))
        return np.array(rows)[self._there] - self._read

    def slopes(self, at: Floats) -> Floats:
        """Return how the rows hang on the unknowns."""
        prior, sds = self._model.prior, self._model.sds
        rows: list[Floats] = []
        for reading in self._readings:
            if reading.prints:
                slopes = self._model.slopes(at, reading.pinion_mm, reading.gear_mm)
                rows += [row for flank in reading.prints for row in slopes[list(Flank).index(flank)]]
            if reading.backlash_mm is not None:
                row = np.zeros(self._model.unknowns)
                row[:2] = sds[:2] * (prior.pinion_rate, prior.gear_rate)
                rows.append(row)
        return np.array(rows).reshape(len(rows), self._model.unknowns)[self._there]

    def backlash_off_mm(self, at: Floats) -> float:
        """Return how far the backlash read last is from what the unknowns make of it [mm]."""
        for reading in reversed(self._readings):
            if reading.backlash_mm is not None:
                return reading.backlash_mm - self._model.backlash_mm(at, reading.pinion_mm, reading.gear_mm)
        return 0.0


def _values(seen: Print) -> list[float]:
    return [math.nan if share is None else share for share in (seen.along, seen.depth, seen.length, seen.height)]


def _settle(told: _Told, at: Floats, scale: float) -> _Fit:
    """Return the most likely unknowns under a scale of scatter, sought from `at`."""
    sds, identity = told.sds(scale), np.eye(len(at))
    rest = told.rest(at)
    slopes, damping = told.slopes(at), 0.01
    for _ in range(ROUNDS):
        worth = _counts(rest / sds) / sds**2
        step = -np.linalg.solve(
            slopes.T @ (worth[:, None] * slopes) + (1.0 + damping) * identity, slopes.T @ (worth * rest) + at
        )
        step *= min(1.0, LONGEST / max(float(np.abs(step).max()), 1e-9))
        after = told.rest(at + step)
        if _cost(after / sds, at + step) < _cost(rest / sds, at):
            at, rest, damping = at + step, after, 0.3 * damping
            slopes = told.slopes(at)
            if float(np.abs(step).max()) < SETTLED:
                break
        else:
            damping = 10.0 * damping + 0.1
    return _Fit(at, rest, slopes)


def _counts(rest: Floats) -> Floats:
    return (TAIL + 1.0) / (TAIL + rest * rest)


def _cost(rest: Floats, at: Floats) -> float:
    return float((TAIL + 1.0) * np.log1p(rest * rest / TAIL).sum() + at @ at)


def _log_likelihoods(told: _Told, fit: _Fit) -> Floats:
    """Return how likely the readings are under each scale of scatter, whatever the unknowns (logarithm)."""
    at_prior = fit.rest - fit.slopes @ fit.at
    logs = []
    for scale in SCALES:
        sds = told.sds(scale)
        spread = np.diag(sds**2 / _counts(fit.rest / sds)) + fit.slopes @ fit.slopes.T
        logs.append(-0.5 * (np.linalg.slogdet(spread)[1] + at_prior @ np.linalg.solve(spread, at_prior)))
    return np.array(logs)


def _components(told: _Told, fit: _Fit) -> tuple[Floats, Floats]:
    """Return where the unknowns lie under each scale of scatter, (k, n), and their covariances, (k, n, n)."""
    means, covariances = [], []
    for scale in SCALES:
        sds = told.sds(scale)
        worth = _counts(fit.rest / sds) / sds**2
        covariance = np.linalg.inv(fit.slopes.T @ (worth[:, None] * fit.slopes) + np.eye(len(fit.at)))
        means.append(fit.at - covariance @ (fit.slopes.T @ (worth * fit.rest) + fit.at))
        covariances.append(covariance)
    return np.array(means), np.array(covariances)
