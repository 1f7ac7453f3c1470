"""How roughly the prints of a shop are read: learned from how well the prints of its jobs agree with one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SCALES = np.array([0.5, 0.7, 1.0, 1.4, 2.0, 2.8])
"""Scatters considered, as multiples of what is common practice."""

USUAL_LOG_SD = 0.5
"""How far a shop's scatter lies from common practice before any job of it (logarithm)."""

JOB_LOG_SD = 0.15
"""How far the scatter of one job lies from the shop's own (logarithm): another person, another compound."""


@dataclass(frozen=True, eq=False)
class Scatter:
    """What is believed of the scatter: how likely each of `SCALES` is."""

    weights: Floats

    @cached_property
    def mean(self) -> float:
        """The scatter that stands for all of them: the mean of their squares, rooted."""
        return float(np.sqrt(self.weights @ SCALES**2))

    def after(self, log_evidence: Floats) -> Scatter:
        """Return what is believed once prints that came out so likely under each scale were read."""
        return Scatter(_shares(np.log(self.weights) + log_evidence))


def usual_scatter() -> Scatter:
    """Return what is believed of a shop of which no job is known."""
    return Scatter(_shares(-0.5 * (np.log(SCALES) / USUAL_LOG_SD) ** 2))


def shop_scatter(log_evidences: Sequence[Floats]) -> Scatter:
    """Return what is believed of the next job of a shop.

    Parameters
    ----------
    log_evidences : sequence of array (6,)
        How likely the prints of each earlier job came out under each scale, up to a constant (logarithm).
    """
    spread = _shares(-0.5 * (np.subtract.outer(np.log(SCALES), np.log(SCALES)) / JOB_LOG_SD) ** 2)
    # A job tells of its own scatter, and that of the shop's: both kernels blur what it says.
    told = [np.log(spread @ np.exp(log - log.max())) for log in log_evidences]
    shop = usual_scatter().weights if not told else usual_scatter().after(np.sum(told, axis=0)).weights
    return Scatter(shop @ spread)


def _shares(logs: Floats) -> Floats:
    """Return shares of 1 in proportion to what has these logarithms; never quite 0."""
    raised = np.exp(logs - logs.max(axis=-1, keepdims=True)) + 1.0e-12
    return np.asarray(raised / raised.sum(axis=-1, keepdims=True), dtype=np.float64)
