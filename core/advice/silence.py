"""Why nothing is advised on a stage, and what would change that."""

from __future__ import annotations

from collections.abc import Callable

from core.advice import backlash, preload
from core.advice.seen import Known
from core.facts import SpecCard
from core.language import tr
from core.stages import backlash as backlash_stage
from core.stages import preload as preload_stage
from core.stages.card import is_set_by_nuts
from core.stages.preload import accepted_sum_mm
from core.stages.sides import notch_mm
from core.stages.state import JobState


def why_silent(stage_key: str, state: JobState, known: Known) -> str:
    """Return in one sentence why there is no advice on a stage, and what is needed for it.

    Parameters
    ----------
    stage_key : str
        A stage for which `advise` had nothing to say.
    state : JobState
        The job, judged.
    known : Known
        What the advice knew beside the job.
    """
    reason = _REASONS.get(stage_key)
    if reason is None:
        return tr("Pairs are advised at preload and at backlash; this stage has none.")
    accepted = state.stage(stage_key).accepted
    if accepted is not None:
        return tr("Trial {trial} is accepted, so there is nothing left to try.", trial=accepted.number)
    return reason(state, known)


def _preload(state: JobState, known: Known) -> str:
    context = state.context
    if preload.aim_of(context, known, 0) is None:
        return tr(
            "Spec card {family} gives no two limits for the turning torque, so there is nothing to aim at; add them to "
            "the card.",
            family=context.card.family,
        )
    if is_set_by_nuts(context.job) and not notch_mm(context.job):
        return _unknown_notch(context.card)
    return tr(
        "Nothing says yet which ring sum this casing takes: measure the rings as found or the stack, or read a first "
        "trial."
    )


def _backlash(state: JobState, known: Known) -> str:
    context = state.context
    if backlash.aim_of(context, known, 0) is None:
        return tr(
            "Spec card {family} gives no two limits for the backlash, so there is nothing to aim at; add them to the "
            "card.",
            family=context.card.family,
        )
    if accepted_sum_mm(context) is None:
        return tr("The ring sum is not fixed yet: accept a preload trial first.")
    return _unknown_notch(context.card)


def _unknown_notch(card: SpecCard) -> str:
    return tr(
        "Spec card {family} does not say how far a notch moves the bearing; add pitch and notches of the nuts.",
        family=card.family,
    )


_REASONS: dict[str, Callable[[JobState, Known], str]] = {
    preload_stage.KEY: _preload,
    backlash_stage.KEY: _backlash,
}
