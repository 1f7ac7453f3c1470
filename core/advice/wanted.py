"""How thick the piece should be that is looked for in the drawer."""

from __future__ import annotations

from core.advice.answer import Advice
from core.stages import backlash, preload
from core.stages.contact_pattern import KEY, PINION_SHIMS, shim_trial
from core.stages.context import Context
from core.stages.pieces import SAME_PIECE_MM
from core.stages.preload import accepted_sum_mm
from core.stages.sides import RING_GEAR_SIDE, SIDES, other_side, side_mm
from core.stages.state import JobState

_FOUND = {side: f"rings_found_{side}" for side in SIDES}


def wanted_mm(state: JobState, stage: str, entry: str, trial: int, advice: Advice | None) -> float | None:
    """Return the thickness [mm] to look for at an entry of a trial, or None where nothing speaks for one.

    What is known best comes first: what stands there already, at backlash the partner that keeps the ring sum, the
    pair the advice names, what the trial before had on that side, what was found there at teardown. For a spacer it
    is what the flange heights ask for, the middle of the card's limits, or the one found; for a pinion shim what the
    advice names, or what was there before.

    Parameters
    ----------
    state : JobState
        The job, judged.
    stage, entry : str
        Where the piece is to sit.
    trial : int
        Which trial; 0 for what is fitted once.
    advice : Advice or None
        What the stage's advice says to try next.
    """
    context = state.context
    standing_mm = context.value(stage, entry, trial=trial)
    if standing_mm is not None:
        return standing_mm
    if entry in PINION_SHIMS:
        return _shim_mm(context, entry, trial, advice)
    if entry not in SIDES:
        return _spacer_mm(state) if entry == "spacer" else None
    partner_mm = side_mm(context, stage, trial, other_side(entry))
    fixed_mm = accepted_sum_mm(context) if stage == backlash.KEY else None
    if fixed_mm is not None and partner_mm is not None and partner_mm < fixed_mm:
        return fixed_mm - partner_mm
    pair = None if advice is None else advice.wanted
    if pair is not None:
        own_mm, other_mm = pair.ring_gear_side_mm, pair.opposite_side_mm
        if entry != RING_GEAR_SIDE:
            own_mm, other_mm = other_mm, own_mm
        # What the other side has already decides: the sum is what was advised.
        return own_mm if partner_mm is None or fixed_mm is not None else own_mm + other_mm - partner_mm
    return _before_mm(context, stage, entry, trial)


def _shim_mm(context: Context, entry: str, trial: int, advice: Advice | None) -> float | None:
    """Return what is to lie under the pinion at an entry: what is advised there, less what the other one has already.

    Without advice it is what was there before.
    """
    at, offer = PINION_SHIMS.index(entry), None if advice is None else advice.shims
    other_mm = context.value(KEY, PINION_SHIMS[1 - at], trial=trial)
    total_mm = None if advice is None else advice.shim_mm
    if total_mm is not None and other_mm is not None:
        return total_mm - other_mm if total_mm - other_mm > SAME_PIECE_MM else None
    if offer is not None:
        return offer.shims_mm[at] if at < len(offer.shims_mm) else None
    if total_mm is not None:
        return total_mm if at == 0 else None
    measured = shim_trial(context, trial)
    return None if measured is None else context.value(KEY, entry, trial=measured)


def _before_mm(context: Context, stage: str, entry: str, trial: int) -> float | None:
    for number in range(trial - 1, 0, -1):
        found = side_mm(context, stage, number, entry)
        if found is not None:
            return found
    accepted = context.accepted_trial(preload.KEY, preload.ACCEPT) if stage == backlash.KEY else None
    if accepted is not None:
        return side_mm(context, preload.KEY, accepted, entry)
    return context.value("teardown", _FOUND[entry])


def _spacer_mm(state: JobState) -> float | None:
    derived = state.stage(backlash.KEY).derived
    asked_mm = next((d.value for d in derived if d.derived.key == "spacer_wanted"), None)
    limit = state.context.card.limits.get("spacer")
    if asked_mm is not None:
        return asked_mm
    if limit is not None and limit.low is not None and limit.high is not None:
        return 0.5 * (limit.low + limit.high)
    return state.context.value("teardown", "spacer_found")
