"""What is believed before the first trial: from the card, the rings as found, a measured stack, and the family's jobs.

Between-axle scatter bounds what history can do: however many jobs a family has, the next casing differs from the mean
by its own scatter. Measuring the stack is what gets below that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from core.advice.lash_belief import LashPrior
from core.advice.pooling import Pool, Pooled, pooled, together
from core.advice.torque_belief import TorquePrior

USUAL_INTERFERENCE_MM = 0.05
"""How far the rings found in a unit usually were beyond no clearance [mm] (common practice)."""

RISE = Pool(math.log(0.70), 0.12, 0.30, 4.0)
"""ln of the torque 0.05 mm of interference adds [N·m]: 14 N·m for a millimetre, and far from sure (common practice)."""

ZERO = Pool(0.0, 0.08, 0.001, 3.0)
"""Ring sum at no clearance [mm]: nothing is known of its mean before the first job, something of its scatter."""

ZERO_AGAINST_FOUND = Pool(0.0, 0.08, 12.0, 4.0)
"""Ring sum at no clearance less that of the unit as it came in [mm]: another carrier makes it scatter (common
practice)."""

STACK_SD_MM = 0.02
"""How well a measured stack is known [mm] (common practice)."""

ZERO_AGAINST_STACK = Pool(0.0, STACK_SD_MM, 12.0, 6.0)
"""Ring sum at no clearance less the measured stack [mm] (common practice)."""

LASH = Pool(0.0, 0.04, 0.001, 2.0)
"""Backlash at an even split [mm]: nothing is known of its mean before the first job."""

LASH_AGAINST_FOUND = Pool(0.0, 0.04, 12.0, 4.0)
"""Backlash at an even split less what was found, brought to an even split, with another carrier [mm]
(common practice)."""

LASH_AGAINST_HEIGHTS = Pool(0.0, 0.015, 12.0, 5.0)
"""The same where flange heights and spacer say how far the other carrier moves the ring gear [mm] (common practice)."""

RATE_SCATTER_RATIO = 0.06
"""How far the rate differs from what the gears' geometry says, as a share of it (common practice)."""


@dataclass(frozen=True)
class PastJob:
    """What a signed job of the family taught: each value with its standard uncertainty; None where it taught nothing.

    `zero_mm`: ring sum at no clearance. `log_rise`: ln of the torque that 0.05 mm of interference adds [N·m].
    `lash_mm`: backlash at an even split. `rate_ratio`: rate over what geometry says [-]. `found_mm` and `stack_mm`:
    what the rings found and the measured stack would have said of `zero_mm`; `found_lash_mm` the same of `lash_mm`, and
    whether flange heights went into it.
    """

    zero_mm: tuple[float, float] | None = None
    log_rise: tuple[float, float] | None = None
    lash_mm: tuple[float, float] | None = None
    rate_ratio: tuple[float, float] | None = None
    found_mm: float | None = None
    stack_mm: float | None = None
    found_lash_mm: float | None = None
    has_heights: bool = False


@dataclass(frozen=True)
class Here:
    """What is known of the casing at the bench before its first trial [mm]; None where it was not measured.

    `card_mm` is the middle of the sums the family's rings can make, with half its width.
    """

    card_mm: tuple[float, float] | None = None
    found_mm: float | None = None
    stack_mm: float | None = None
    found_lash_mm: float | None = None
    has_heights: bool = False
    geometric_rate: float | None = None
    is_hypoid: bool = False


@dataclass(frozen=True)
class Family:
    """What the jobs of a family taught, pooled; None where no job says anything about it."""

    jobs: int
    zero: Pooled | None
    rise: Pooled
    lash: Pooled | None
    rate: Pooled
    zero_against_found: Pooled
    zero_against_stack: Pooled
    lash_against_found: Pooled
    lash_against_heights: Pooled


def family_of(past: Sequence[PastJob]) -> Family:
    """Return what the jobs of a family teach together.

    Parameters
    ----------
    past : sequence of PastJob
        Signed jobs of one casing family.
    """

    def pool(prior: Pool, of: Callable[[PastJob], tuple[float, float] | None]) -> Pooled:
        told = [value for job in past if (value := of(job)) is not None]
        return pooled(prior, [mean for mean, _ in told], [sd for _, sd in told])

    def known(found: Pooled) -> Pooled | None:
        return found if found.jobs else None

    return Family(
        len(past),
        known(pool(ZERO, lambda job: job.zero_mm)),
        pool(RISE, lambda job: job.log_rise),
        known(pool(LASH, lambda job: job.lash_mm)),
        pool(Pool(1.0, RATE_SCATTER_RATIO, 4.0, 4.0), lambda job: job.rate_ratio),
        pool(ZERO_AGAINST_FOUND, lambda job: _less(job.zero_mm, job.found_mm)),
        pool(ZERO_AGAINST_STACK, lambda job: _less(job.zero_mm, job.stack_mm)),
        pool(LASH_AGAINST_FOUND, lambda job: None if job.has_heights else _less(job.lash_mm, job.found_lash_mm)),
        pool(LASH_AGAINST_HEIGHTS, lambda job: _less(job.lash_mm, job.found_lash_mm) if job.has_heights else None),
    )


def _less(value: tuple[float, float] | None, other: float | None) -> tuple[float, float] | None:
    return None if value is None or other is None else (value[0] - other, value[1])


def torque_prior(family: Family, here: Here) -> TorquePrior:
    """Return what is believed of turning torque before the first trial.

    Parameters
    ----------
    family : Family
        What the shop's own jobs taught.
    here : Here
        What is known of this casing.
    """
    evidence = []
    if family.zero is not None:
        evidence.append((family.zero.mean, family.zero.sd))
    if here.found_mm is not None:
        shift = family.zero_against_found
        evidence.append((here.found_mm + shift.mean, shift.sd))
    if here.stack_mm is not None:
        shift = family.zero_against_stack
        evidence.append((here.stack_mm + shift.mean, shift.sd))
    if not evidence:
        middle_mm, half_mm = here.card_mm or (UNKNOWN_SUM_MM, UNKNOWN_SUM_MM)
        evidence.append((middle_mm, half_mm / math.sqrt(3.0)))
    zero_mm, sd_mm = together(evidence)
    return TorquePrior(zero_mm, sd_mm, math.exp(family.rise.mean), family.rise.sd)


UNKNOWN_SUM_MM = 5.0
"""Where not even the card says how thick rings are, any sum up to twice this [mm] is as likely as another."""

FALLBACK_RATE = 0.7
FALLBACK_RATE_SD = 0.2
"""Backlash per mm of ring gear, square to the tooth, where the card knows no geometry (common practice)."""

HYPOID_RATIO = 0.15
"""How far an offset may take the rate from what geometry without it says, as a share (common practice)."""


def rate_prior(family: Family, here: Here) -> tuple[float, float]:
    """Return what is believed of the rate, backlash per mm of ring gear, and its standard deviation."""
    if here.geometric_rate is None:
        base, own = FALLBACK_RATE, FALLBACK_RATE_SD / FALLBACK_RATE
    else:
        base, own = here.geometric_rate, HYPOID_RATIO if here.is_hypoid else 0.0
    # What the geometry leaves open is the same for the whole family, and so taken off as the family tells.
    own /= math.sqrt(1.0 + family.rate.jobs)
    return base * family.rate.mean, base * math.hypot(family.rate.sd, own)


def lash_prior(family: Family, here: Here, wanted_mm: float) -> LashPrior:
    """Return what is believed of backlash before the first trial.

    Parameters
    ----------
    family : Family
        What the shop's own jobs taught.
    here : Here
        What is known of this casing.
    wanted_mm : float
        The middle of the limits [mm]: without any evidence an even split is as good a start as any.
    """
    rate, rate_sd = rate_prior(family, here)
    evidence = []
    if family.lash is not None:
        evidence.append((family.lash.mean, family.lash.sd))
    if here.found_lash_mm is not None:
        shift = family.lash_against_heights if here.has_heights else family.lash_against_found
        evidence.append((here.found_lash_mm + shift.mean, shift.sd))
    at_mm, sd_mm = together(evidence) if evidence else (wanted_mm, UNKNOWN_LASH_MM)
    return LashPrior(at_mm, sd_mm, rate, rate_sd)


UNKNOWN_LASH_MM = 0.2
"""How far backlash may be off before anything is known of it [mm] (common practice)."""
