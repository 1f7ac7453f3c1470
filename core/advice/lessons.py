"""What a signed job taught its family: where no clearance was, how steep torque rose, what a move was worth."""

from __future__ import annotations

import math

from core.advice import lash_belief, torque_belief
from core.advice.lash_belief import LashPrior
from core.advice.priors import FALLBACK_RATE, PastJob
from core.advice.seen import geometric_rate, here_of, lash_gauge, lash_trials, torque_gauge, torque_trials
from core.advice.torque_belief import TorquePrior
from core.stages import backlash, preload
from core.stages.context import Context

WIDE_MM = 0.15
RATE_WIDTH = 0.15
"""What is believed before a job is looked back on says little, so that the job speaks for itself."""

SAYS_NOTHING = 0.9
"""A posterior wider than this share of its prior taught nothing of its own."""


def lesson_of(context: Context) -> PastJob:
    """Return what a job taught; nothing of a stage that was not accepted.

    Parameters
    ----------
    context : Context
        A signed job with its readings of teardown, preload and backlash.
    """
    here = here_of(context)
    zero_mm = log_rise = lash_mm = rate_ratio = None
    torques = torque_trials(context)
    accepted = context.accepted_trial(preload.KEY, preload.ACCEPT)
    if accepted in torques:
        prior = TorquePrior(torques[accepted].sum_mm - torque_belief.UNIT_MM, WIDE_MM)
        gauge = torque_gauge(context.gauge_of(preload.KEY, "torque_forward", accepted))
        torque = torque_belief.believe(prior, list(torques.values()), gauge)
        zero_mm = torque.zero
        log_rise = _own(torque.log_rise, (math.log(prior.rise_nm), prior.rise_log_sd))
    moves = lash_trials(context)
    accepted = context.accepted_trial(backlash.KEY, preload.ACCEPT)
    if accepted in moves:
        rate = geometric_rate(context) or FALLBACK_RATE
        before = LashPrior(moves[accepted].mean_mm, WIDE_MM, rate, RATE_WIDTH * rate, moves[accepted].move_mm)
        gauge_mm = lash_gauge(context.gauge_of(backlash.KEY, "backlash", accepted))
        lash = lash_belief.believe(before, list(moves.values()), gauge_mm)
        lash_mm = lash.at_even_split
        own = _own(lash.rate, (rate, RATE_WIDTH * rate))
        rate_ratio = None if own is None else (own[0] / rate, own[1] / rate)
    return PastJob(
        zero_mm,
        log_rise,
        lash_mm,
        rate_ratio,
        here.found_mm,
        here.stack_mm,
        here.found_lash_mm,
        here.has_heights,
    )


def _own(after: tuple[float, float], before: tuple[float, float]) -> tuple[float, float] | None:
    """Return what the readings alone say: the belief after them with the belief before taken out of it."""
    if after[1] > SAYS_NOTHING * before[1]:
        return None
    precision = 1.0 / after[1] ** 2 - 1.0 / before[1] ** 2
    mean = (after[0] / after[1] ** 2 - before[0] / before[1] ** 2) / precision
    return mean, 1.0 / math.sqrt(precision)
