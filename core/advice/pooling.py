"""What earlier jobs of a family teach about the next one: partial pooling.

Three jobs move the belief a little, fifty carry it: each earlier value counts by how well it was known, the family's
mean and scatter are estimated together with a prior, and a job that is far out counts less.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

ROUNDS = 30
TAIL = 4.0
"""Degrees of freedom by which a job far out loses its say (Student's t)."""


@dataclass(frozen=True)
class Pool:
    """What is believed of a family before any job of it.

    `mean` is worth `jobs` jobs, `scatter` (from job to job) is worth `scatter_jobs` jobs.
    """

    mean: float
    scatter: float
    jobs: float
    scatter_jobs: float


@dataclass(frozen=True)
class Pooled:
    """What is believed of the next job of a family: mean and standard deviation, and the family's own scatter."""

    mean: float
    sd: float
    scatter: float
    jobs: int


def pooled(prior: Pool, values: Sequence[float], sds: Sequence[float]) -> Pooled:
    """Return what the next job of a family will be like.

    Parameters
    ----------
    prior : Pool
        What is believed before any job.
    values, sds : sequence of float
        What each earlier job had, and how well that is known (standard uncertainty), in one unit.

    Source
    ------
    The normal model with unknown mean and variance and a conjugate prior (Gelman et al., Bayesian Data Analysis, 3rd
    ed., 3.3 and 5.4, from memory), fitted by expectation and maximisation; weights by Student's t.

    Examples
    --------
    >>> little = pooled(Pool(0.0, 1.0, 1.0, 2.0), [4.0], [0.1])
    >>> much = pooled(Pool(0.0, 1.0, 1.0, 2.0), [4.0, 3.8, 4.2] * 20, [0.1] * 60)
    >>> round(little.mean, 1), round(much.mean, 1), much.sd < little.sd
    (1.8, 3.9, True)
    """
    if not values:
        return Pooled(prior.mean, prior.scatter * math.sqrt(1.0 + 1.0 / prior.jobs), prior.scatter, 0)
    x, v = np.asarray(values, dtype=float), np.square(np.asarray(sds, dtype=float))
    mean, variance = float(np.average(x, weights=1.0 / (v + prior.scatter**2))), prior.scatter**2
    weights = np.ones_like(x)
    for _ in range(ROUNDS):
        total = variance + v
        weights = (TAIL + 1.0) / (TAIL + (x - mean) ** 2 / total)
        precision = weights * variance / total
        mean = float((prior.jobs * prior.mean + (precision * x).sum()) / (prior.jobs + precision.sum()))
        # What each job had in truth lies between what was measured and the family's mean.
        true = (x * variance + mean * v) / total
        left = variance * v / total
        squares = prior.scatter_jobs * prior.scatter**2 + (weights * ((true - mean) ** 2 + left)).sum()
        squares += prior.jobs * (prior.mean - mean) ** 2
        variance = float(squares / (prior.scatter_jobs + 1.0 + len(x)))
    known = prior.jobs + float((weights * variance / (variance + v)).sum())
    return Pooled(mean, math.sqrt(variance * (1.0 + 1.0 / known)), math.sqrt(variance), len(x))


def together(evidence: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Return what several independent pieces of evidence say together: mean and standard deviation.

    Where they contradict each other beyond what they claim, the result claims less: the Birge ratio widens it.

    Parameters
    ----------
    evidence : sequence of (float, float)
        Means with their standard deviations; at least one.

    Source
    ------
    Inverse-variance weights; widening by the root of chi-square over its degrees of freedom where that is above one
    (R. T. Birge, Phys. Rev. 40 (1932) 207, from memory).

    Examples
    --------
    >>> mean, sd = together([(5.0, 0.02), (5.0, 0.02)])
    >>> mean, round(sd, 4)
    (5.0, 0.0141)
    """
    weights = [1.0 / sd**2 for _, sd in evidence]
    mean = math.fsum(w * m for w, (m, _) in zip(weights, evidence, strict=True)) / math.fsum(weights)
    sd = 1.0 / math.sqrt(math.fsum(weights))
    if len(evidence) > 1:
        chi = math.fsum(((m - mean) / s) ** 2 for m, s in evidence) / (len(evidence) - 1)
        sd *= math.sqrt(max(chi, 1.0))
    return mean, sd
