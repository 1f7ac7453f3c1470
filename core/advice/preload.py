"""The next ring sum: the pair of the drawer most likely to bring turning torque within its limits."""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping

import numpy as np

from core.advice import lash_belief
from core.advice.answer import Advice, Again, percent
from core.advice.choice import Choice
from core.advice.contradiction import contradiction
from core.advice.limits import Aim, aim_at
from core.advice.next_pair import Found, Window, for_preload, ideal_sum
from core.advice.priors import STACK_SD_MM, lash_prior, torque_prior
from core.advice.seen import (
    Known,
    half_range_mm,
    here_of,
    lash_gauge,
    pieces_of,
    torque_gauge,
    torque_trials,
    torques_nm,
    units_of,
)
from core.advice.telling import Told, band_around, tell
from core.advice.torque_belief import TorqueBelief, TorquePrior, TorqueTrial, believe
from core.language import mark, tr
from core.mechanics.rings import RingPair
from core.quantities import show
from core.stages.card import is_set_by_nuts
from core.stages.context import Context
from core.stages.preload import KEY, WAYS, ring_range_mm
from core.stages.sides import notch_mm, pair
from core.stages.state import JobState
from core.verdict import Answer

KNOWN_MM = 0.4
"""Before the first trial a sum less sure than this is a guess, and is not offered as anything else."""

LOOSE = 0.4
"""Below this share of the lower limit a trial is loose enough to have end play."""

HALF_RANGE_OF_TWO = 1.0 / math.sqrt(math.pi)
"""How far two readings stray from their mean on average, in their standard deviations: E|x − y|/2 = σ/√π."""

PARTNER_WITHIN_MM = 0.1
"""Only the sum counts for preload, so a partner may be off by as much as backlash can make good later."""

OUT_OF_REACH = mark(
    "No rings of this family make the sum that is wanted: look through what was measured before the first trial, and "
    "read the torque again."
)


def advise(state: JobState, known: Known) -> Advice | None:
    """Return the next pair to try, or None where the card gives no limits and once a trial was accepted."""
    context, stage = state.context, state.stage(KEY)
    trials, read = torque_trials(context), torques_nm(context)
    is_unknown_notch = is_set_by_nuts(context.job) and not notch_mm(context.job)
    last = max(read if is_unknown_notch else trials, default=0)
    aim = aim_of(context, known, last)
    if stage.accepted is not None or aim is None:
        return None
    if any(t.number == last and t.verdict.answer is Answer.CONFORMS for t in stage.trials):
        is_nuts = is_set_by_nuts(context.job)
        stay = tr("Accept it; the nuts stay as they are.") if is_nuts else tr("Accept it; the ring sum stays as it is.")
        return Advice(tr("Trial {trial} conforms", trial=last), stay)
    if is_unknown_notch:
        return _by_a_notch(read, aim)
    prior = torque_prior(known.family, here_of(context))
    if not trials and prior.zero_sd_mm > KNOWN_MM:
        return None
    belief = believe(prior, list(trials.values()), torque_gauge(context.gauge_of(KEY, "torque_forward", last)))
    found = _found(context, known, belief, aim)
    unit, size_unit = units_of(context, KEY)
    title, lead, again = _lead(context, trials, belief, aim, unit)
    measure_first = "" if trials else _measure_first(context, known, belief, prior, aim, found, size_unit)
    if measure_first:
        title, lead = tr("Measure before the first pair"), measure_first

    def expect(choice: Choice) -> tuple[float, float, float]:
        return belief.expected(choice.pair.sum_mm, choice.sum_sd_mm)

    def at(sum_mm: float) -> tuple[float, float, float]:
        return belief.expected(sum_mm, 0.0, points=300)

    return tell(
        context,
        known,
        found,
        expect,
        Told(
            KEY,
            "torque",
            title,
            lead,
            _why(context, trials, belief, known, unit, size_unit),
            (
                aim.note,
                _end_play(trials, aim),
                *_bound(context, belief, prior, aim, size_unit, is_said=bool(trials or measure_first)),
            ),
            _made_to_measure(context, found),
            unit,
            size_unit,
            band_around(
                [trial.sum_mm for trial in trials.values()] + ([found.best.pair.sum_mm] if found.best else []), at
            ),
            tuple((number, trial.sum_mm, statistics.fmean(trial.torques_nm)) for number, trial in trials.items()),
            (aim.limit.low, aim.limit.high),
            lambda fitted: fitted.sum_mm,
            PARTNER_WITHIN_MM,
            tr(OUT_OF_REACH),
            again,
        ),
    )


def aim_of(context: Context, known: Known, trial: int) -> Aim | None:
    """Return what the mean turning torque of the next trial has to hit [N·m]; None without two limits."""
    limit = context.card.limits.get("turning_torque")
    gauge = context.gauge_of(KEY, "torque_forward", trial)
    if limit is None or limit.low is None or limit.high is None:
        return None
    reading_sd = float(torque_gauge(gauge).reading_sd_nm(np.asarray(0.5 * (limit.low + limit.high))))
    return aim_at(limit, gauge, HALF_RANGE_OF_TWO * reading_sd, "torque", units_of(context, KEY)[0], known.gauges)


def _found(context: Context, known: Known, belief: TorqueBelief, aim: Aim) -> Found:
    """Return the pair, of equal sums the one whose split will land the backlash."""
    lash, lash_window = None, None
    limit = context.card.limits.get("backlash")
    if limit is not None and limit.low is not None and limit.high is not None:
        prior = lash_prior(known.family, here_of(context), 0.5 * (limit.low + limit.high))
        lash = lash_belief.believe(prior, (), lash_gauge(None))
        lash_window = Window(limit.low, limit.high).pulled_in(half_range_mm(context))
    return for_preload(
        belief,
        pieces_of(context, known.parts),
        aim.window,
        fitted=known.fitted,
        lash=lash,
        lash_window=lash_window,
    )


def _made_to_measure(context: Context, found: Found) -> RingPair:
    """Return the pair of the most likely sum, split as the last one was, as far as the family's rings go."""
    fitted = [one for trial in context.trials(KEY) if (one := pair(context, KEY, trial)) is not None]
    split_mm = found.best.pair.split_mm if found.best else fitted[-1].split_mm if fitted else 0.0
    # Nuts that stand near where they just touch have a small sum: no side of it can be less than nothing.
    sum_mm = max(found.ideal_mm, 0.0)
    thinnest_mm, thickest_mm = ring_range_mm(context) or (0.0, sum_mm)
    widest_mm = max(min(sum_mm - 2.0 * thinnest_mm, 2.0 * thickest_mm - sum_mm), 0.0)
    split_mm = min(max(split_mm, -widest_mm), widest_mm)
    return RingPair(0.5 * (sum_mm + split_mm), 0.5 * (sum_mm - split_mm))


def _lead(
    context: Context, trials: Mapping[int, TorqueTrial], belief: TorqueBelief, aim: Aim, unit: str
) -> tuple[str, str, Again | None]:
    """Return the title, what comes before the pair, and the reading to repeat first."""
    if not trials:
        return tr("First pair"), "", None
    sentence, again = contradiction(trials, belief, unit)
    last = max(trials)
    mean = statistics.fmean(trials[last].torques_nm)
    if again is not None:
        return tr("Read trial {trial} again", trial=again.trial), sentence, again
    if aim.limit.low <= mean <= aim.limit.high:
        if any(context.value(KEY, way, trial=last) is None for way in WAYS):
            wait = tr("Turn it the other way and read that too before anything is taken apart.")
            return tr("Trial {trial} is read one way only", trial=last), f"{wait} {sentence}".strip(), None
        return tr("Trial {trial} is not clearly within the limits", trial=last), sentence, None
    return (tr("Too loose") if mean < aim.limit.low else tr("Too tight")), sentence, None


def _why(
    context: Context,
    trials: Mapping[int, TorqueTrial],
    belief: TorqueBelief,
    known: Known,
    unit: str,
    size_unit: str,
) -> str:
    zero_mm, sd_mm = belief.zero
    one_notch_mm = notch_mm(context.job) if is_set_by_nuts(context.job) else None
    if one_notch_mm:
        zero = tr(
            "{zero:.1f} ± {doubt:.1f} notches of both nuts together",
            zero=zero_mm / one_notch_mm,
            doubt=2.0 * sd_mm / one_notch_mm,
        )
        step, step_mm = tr("notch"), one_notch_mm
    else:
        zero = tr(
            "a ring sum of {zero} ± {doubt}",
            zero=show("length", zero_mm, size_unit),
            doubt=show("length", 2.0 * sd_mm, size_unit),
        )
        step, step_mm = show("length", 0.01, size_unit), 0.01
    said = {"zero": zero, "step": step, "steep": show("torque", step_mm * belief.steep, unit)}
    worth = tr("each {step} beyond is worth about {steep}.", **said)
    if len(trials) > 1:
        start = tr("{count} trials say no clearance at {zero}", count=len(trials), **said)
    elif trials:
        start = tr("One trial says no clearance at {zero}", **said)
    elif known.family.jobs:
        start = tr(
            "Earlier jobs of this family ({jobs}) and what was measured here say no clearance at {zero}",
            jobs=known.family.jobs,
            **said,
        )
    elif here_of(context).found_mm is None and here_of(context).stack_mm is None:
        start = tr("Nothing was measured yet; the card alone says no clearance at {zero}", **said)
    else:
        start = tr("What was measured here says no clearance at {zero}", **said)
    return f"{start}; {worth}"


def _end_play(trials: Mapping[int, TorqueTrial], aim: Aim) -> str:
    """Say what a loose trial can still tell before it is taken apart."""
    last = trials.get(max(trials, default=0))
    if last is None or last.end_play_mm is not None or statistics.fmean(last.torques_nm) > LOOSE * aim.limit.low:
        return ""
    return tr(
        "Before you take it apart, push the carrier to and fro and read its end play with the dial: that tells where "
        "no clearance is."
    )


def _with_stack(belief: TorqueBelief, prior: TorquePrior, aim: Aim) -> float:
    """Return how likely a first pair would conform once the stack was measured."""
    known = TorquePrior(prior.zero_mm, STACK_SD_MM, prior.rise_nm, prior.rise_log_sd, prior.drag_nm, prior.drag_log_sd)
    return ideal_sum(believe(known, (), belief.gauge), aim.window)[1]


def _measure_first(
    context: Context,
    known: Known,
    belief: TorqueBelief,
    prior: TorquePrior,
    aim: Aim,
    found: Found,
    size_unit: str,
) -> str:
    """Say what to measure before any pair, where only the card tells of the sum and that is too little for one.

    It is too little where two pairs tried without measuring are less likely to do than one after it: measuring then
    saves a whole strip-down, and costs far less.
    """
    here = here_of(context)
    is_told = known.family.zero is not None or here.found_mm is not None or here.stack_mm is not None
    better = 0.0 if is_told or is_set_by_nuts(context.job) else _with_stack(belief, prior, aim)
    if better <= (found.best.chance_in_two if found.best is not None else 0.0):
        return ""
    return tr(
        "No job of this family and nothing measured here tells yet which ring sum this casing takes; a pair fitted now "
        "is a guess. Measure the stack, or else the rings it came with: a stack measured to ±{stack} makes the first "
        "pair about {better} sure. Where neither can be measured:",
        stack=show("length", STACK_SD_MM, size_unit),
        better=percent(better),
    )


def _bound(
    context: Context, belief: TorqueBelief, prior: TorquePrior, aim: Aim, size_unit: str, *, is_said: bool
) -> tuple[str, ...]:
    """Say what bounds a first trial, and what measuring the stack would buy."""
    is_measured = here_of(context).stack_mm is not None
    if is_said or is_measured or is_set_by_nuts(context.job) or prior.zero_sd_mm <= 2.0 * STACK_SD_MM:
        return ()
    _, chance = ideal_sum(belief, aim.window)
    return (
        tr(
            "One axle differs from the next: before a trial the sum at no clearance is known to ±{scatter}, and the "
            "limits leave ±{window}, so earlier jobs cannot make a first trial surer than {chance}. A stack measured "
            "to ±{stack} would make it about {better}.",
            scatter=show("length", 2.0 * prior.zero_sd_mm, size_unit),
            window=show("length", 0.5 * (aim.limit.high - aim.limit.low) / belief.steep, size_unit, 3),
            chance=percent(chance),
            stack=show("length", STACK_SD_MM, size_unit),
            better=percent(_with_stack(belief, prior, aim)),
        ),
    )


def _by_a_notch(read: Mapping[int, tuple[float, ...]], aim: Aim) -> Advice | None:
    """Say which way to turn where the card does not say what a notch is worth."""
    if not read:
        return None
    mean = statistics.fmean(read[max(read)])
    is_loose = mean < 0.5 * (aim.limit.low + aim.limit.high)
    return Advice(
        tr("Too loose") if is_loose else tr("Too tight"),
        tr("Turn a nut in by a notch.") if is_loose else tr("Turn a nut out by a notch."),
        tr(
            "The spec card does not say how far a notch moves the bearing; with pitch and notches it could be computed."
        ),
    )
