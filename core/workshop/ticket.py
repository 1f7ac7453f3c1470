"""The bench ticket: what is advised, or what was taken last, on a small page."""

from __future__ import annotations

from dataclasses import dataclass

from core.advice.answer import Offer
from core.advice.seen import units_of
from core.errors import RuleError
from core.facts import Limit
from core.language import tr
from core.mechanics.rings import RingPair
from core.records import Work
from core.stages import backlash, preload
from core.stages.advised import counting, is_followed
from core.stages.card import is_set_by_nuts
from core.stages.context import Context
from core.stages.sides import SIDES, pair, side_key
from core.workshop.advising import Advising
from core.workshop.fitting import next_trial

_KINDS = {preload.KEY: ("torque", "turning_torque"), backlash.KEY: ("length", "backlash")}
"""What is read on a stage, and the limit it answers to."""


@dataclass(frozen=True)
class _Going:
    """A pair on its way to the bench: the trial it is, where it comes from, and what it promises, if anything did."""

    trial: int
    pair: RingPair
    notches: tuple[int, int] | None
    places: tuple[str, str]
    expected: tuple[float, float, float] | None = None
    chance: float | None = None


class Tickets(Advising):
    """What goes to the bench on paper."""

    def bench_ticket(self, job_id: int, stage_key: str) -> bytes:
        """Return a one-page PDF of the pair advised now, or else of the last trial's.

        Raises
        ------
        RuleError
            Nothing is advised on this stage, and no trial has a pair yet.
        """
        # The typesetter takes a third of a second to load; a window or a reading should not wait for it.
        from core.sheet import Ticket, ticket_bytes

        with self._logbook.look() as work:
            state, shop = self._state(work, job_id), work.shop()
            context = state.context
            advice = self._advice(work, state, stage_key) if stage_key in _KINDS else None
            offer = advice.offer if advice is not None else None
            going = _offered(context, stage_key, offer) if offer else _last_taken(work, context, stage_key)
        if going is None:
            raise RuleError(
                tr("There is no pair to put on a ticket."), tr("Measure what is in, or take a pair; then print it.")
            )
        kind, limit_key = _KINDS[stage_key]
        limit: Limit | None = context.job.card.limits.get(limit_key)
        unit, size_unit = units_of(context, stage_key)
        return ticket_bytes(
            Ticket(
                shop.name,
                context.job,
                stage_key,
                going.trial,
                going.pair,
                going.notches,
                going.places,
                kind,
                unit,
                size_unit,
                limit,
                going.expected,
                going.chance,
                self._clock(),
            )
        )


def _offered(context: Context, stage_key: str, offer: Offer) -> _Going:
    one, other = (part.place or part.called for part in offer.parts) if offer.parts else ("", "")
    trial, expected = next_trial(context, stage_key), (offer.expected, offer.low, offer.high)
    return _Going(trial, offer.pair, offer.notches, (one, other), expected, offer.chance)


def _last_taken(work: Work, context: Context, stage_key: str) -> _Going | None:
    """Return the pair of the last trial that has one, with what was promised of it where that pair was advised."""
    if stage_key not in _KINDS:
        return None
    for trial in reversed(context.trials(stage_key)):
        fitted = pair(context, stage_key, trial)
        if fitted is not None:
            break
    else:
        return None
    going = _Going(trial, fitted, _notches(context, stage_key, trial), _places(work, context, stage_key, trial))
    said = counting(work.advised_of_job(context.job.id), stage_key).get(trial)
    if said is None or not is_followed(context, said):
        return going
    return _Going(trial, fitted, going.notches, going.places, (said.expected, said.low, said.high), said.chance)


def _notches(context: Context, stage_key: str, trial: int) -> tuple[int, int] | None:
    if not is_set_by_nuts(context.job):
        return None
    one, other = (round(context.value(stage_key, side_key(context.job, s), trial=trial) or 0.0) for s in SIDES)
    return one, other


def _places(work: Work, context: Context, stage_key: str, trial: int) -> tuple[str, str]:
    """Return where the pieces of a trial came from; "" for a side that is not of the drawer."""
    holds = work.held_by_job(context.job.id).holds
    of_trial = {side: hold.part for side, hold in holds.items() if (hold.stage, hold.trial) == (stage_key, trial)}
    one, other = (of_trial[side].place or of_trial[side].called if side in of_trial else "" for side in SIDES)
    return one, other
