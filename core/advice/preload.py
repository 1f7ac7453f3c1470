"""The next ring sum: from the torque of the trials so far to the middle of the limits."""

from __future__ import annotations

from collections.abc import Sequence

from core.advice.answer import Advice, fit_sentence
from core.facts import Part
from core.language import tr
from core.mechanics.rings import RingPair
from core.quantities import show
from core.stages.card import is_set_by_nuts
from core.stages.preload import KEY
from core.stages.sides import RING_GEAR_SIDE, pair, side_key
from core.stages.state import JobState, TrialState
from core.verdict import Answer

STEP_MM = 0.05
"""Step of the ring sum while only one trial has been measured (common practice)."""

LONGEST_STEP_MM = 0.10
"""No step is longer than this, however far two close trials would extrapolate (common practice)."""

SUM_SLACK_MM = 0.01
"""How far the drawer's pair may miss the wanted sum."""


def advise(state: JobState, parts: Sequence[Part]) -> Advice | None:
    """Return the next pair to try, or None before a trial has been measured and after one was accepted."""
    stage = state.stage(KEY)
    limit = state.context.card.limits.get("turning_torque")
    measured = _measured(state, stage.trials)
    if stage.accepted is not None or limit is None or limit.low is None or limit.high is None or not measured:
        return None
    trial, fitted, torque_nm = measured[-1]
    if trial.verdict.answer is Answer.CONFORMS:
        return Advice(tr("Trial {trial} conforms", trial=trial.number), tr("Accept it; the ring sum stays as it is."))
    if limit.low <= torque_nm <= limit.high:
        return None
    is_loose = torque_nm < limit.low
    wanted_sum_mm = _next_sum_mm([(p.sum_mm, t) for _, p, t in measured], 0.5 * (limit.low + limit.high), is_loose)
    wanted = None if is_set_by_nuts(state.context.job) else _shared_out(fitted, wanted_sum_mm)
    if wanted is None:
        text = tr("Turn a nut in by a notch.") if is_loose else tr("Turn a nut out by a notch.")
    else:
        text = fit_sentence(state.context.card, wanted, parts, SUM_SLACK_MM, _unit(state, trial))
    why = _why(state, trial, measured, wanted_sum_mm)
    return Advice(tr("Too loose") if is_loose else tr("Too tight"), text, why, wanted)


def _measured(state: JobState, trials: Sequence[TrialState]) -> list[tuple[TrialState, RingPair, float]]:
    found = []
    for trial in trials:
        fitted = pair(state.context, KEY, trial.number)
        torque_nm = next((d.value for d in trial.derived if d.derived.key == "torque_mean"), None)
        if fitted is not None and torque_nm is not None:
            found.append((trial, fitted, torque_nm))
    return found


def _next_sum_mm(measured: Sequence[tuple[float, float]], target_nm: float, is_loose: bool) -> float:
    """Return the next ring sum [mm]: between a loose and a tight trial in proportion, else one step on."""
    last_mm = measured[-1][0]
    below = [m for m in measured if m[1] < target_nm]
    above = [m for m in measured if m[1] >= target_nm]
    if below and above:
        (low_mm, low_nm), (high_mm, high_nm) = max(below), min(above)
        # A tight trial on a smaller sum than a loose one contradicts itself; then only the step is honest.
        if high_mm > low_mm:
            return low_mm + (high_mm - low_mm) * (target_nm - low_nm) / (high_nm - low_nm)
    step_mm = STEP_MM if len(measured) == 1 else LONGEST_STEP_MM
    return last_mm + (step_mm if is_loose else -step_mm)


def _shared_out(fitted: RingPair, wanted_sum_mm: float) -> RingPair:
    """Share a change of the sum over both sides, so that the ring gear stays where it is."""
    half_mm = 0.5 * (wanted_sum_mm - fitted.sum_mm)
    return RingPair(fitted.ring_gear_side_mm + half_mm, fitted.opposite_side_mm + half_mm)


def _unit(state: JobState, trial: TrialState) -> str:
    reading = state.context.reading(KEY, side_key(state.context.job, RING_GEAR_SIDE), trial=trial.number)
    return reading.unit if reading is not None else "mm"


def _why(
    state: JobState, trial: TrialState, measured: Sequence[tuple[TrialState, RingPair, float]], wanted_sum_mm: float
) -> str:
    unit = "mm" if is_set_by_nuts(state.context.job) else _unit(state, trial)
    if len(measured) == 1:
        return tr(
            "With one trial only the direction is known; {step} on the sum is the usual first step (common practice).",
            step=show("length", STEP_MM, unit),
        )
    return tr(
        "{count} trials point to a ring sum of about {sum}.",
        count=len(measured),
        sum=show("length", wanted_sum_mm, unit),
    )
