"""The bench ticket: what is advised, or what was taken last, on a small page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.advice.answer import Advice, Offer
from core.advice.seen import contact_unit, units_of
from core.errors import RuleError
from core.facts import Limit
from core.language import tr
from core.mechanics.rings import RingPair
from core.records import Work
from core.stages import backlash, preload
from core.stages.advised import counting, is_followed
from core.stages.card import is_set_by_nuts
from core.stages.contact_pattern import KEY as CONTACT
from core.stages.contact_pattern import PINION_SHIMS, pinion_shim_mm, shim_trial
from core.stages.context import Context
from core.stages.sides import SIDES, pair, side_key
from core.workshop.advising import Advising
from core.workshop.fitting import next_trial

if TYPE_CHECKING:
    from core.sheet import UnderPinion

_KINDS = {preload.KEY: ("torque", "turning_torque"), backlash.KEY: ("length", "backlash")}
"""What is read on a stage, and the limit it answers to."""


@dataclass(frozen=True)
class _Going:
    """A pair, or pinion shims, on the way to the bench: for which trial, from where, and what was promised of it."""

    trial: int
    fitted: RingPair | UnderPinion
    notches: tuple[int, int] | None = None
    places: tuple[str, str] = ("", "")
    expected: tuple[float, float, float] | None = None
    chance: float | None = None


class Tickets(Advising):
    """What goes to the bench on paper."""

    def bench_ticket(self, job_id: int, stage_key: str) -> bytes:
        """Return a one-page PDF of what is advised now, or else of what the last trial has.

        Raises
        ------
        RuleError
            Nothing is advised on this stage, and nothing is known of what a trial has.
        """
        # The typesetter takes a third of a second to load; a window or a reading should not wait for it.
        from core.sheet import Ticket, ticket_bytes

        with self._logbook.look() as work:
            state, shop = self._state(work, job_id), work.shop()
            context = state.context
            advice = self._advice(work, state, stage_key) if stage_key in (*_KINDS, CONTACT) else None
            going = _advised(context, stage_key, advice) or _last_taken(work, context, stage_key)
        if going is None:
            raise RuleError(
                tr("There is no pair to put on a ticket."), tr("Measure what is in, or take a pair; then print it.")
            )
        kind, limit_key = _KINDS.get(stage_key, ("length", ""))
        limit: Limit | None = context.job.card.limits.get(limit_key)
        unit, size_unit = units_of(context, stage_key)
        if stage_key == CONTACT:
            unit = size_unit = contact_unit(context) or unit
        return ticket_bytes(
            Ticket(
                shop.name,
                context.job,
                stage_key,
                going.trial,
                going.fitted,
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


def _advised(context: Context, stage_key: str, advice: Advice | None) -> _Going | None:
    if advice is None or not advice.can_be_taken:
        return None
    trial = next_trial(context, stage_key)
    return _offered(trial, advice.offer) if advice.offer else _under(trial, advice)


def _under(trial: int, advice: Advice) -> _Going | None:
    from core.sheet import UnderPinion

    shims = advice.shims
    if shims is None:
        return None
    places = tuple(
        None if lies_at or part is None else part.place or part.called
        for part, lies_at in zip(shims.parts, shims.lies_at, strict=True)
    )
    under = UnderPinion(shims.shims_mm, places, shims.now_mm, advice.also)
    return _Going(trial, under, chance=shims.chance)


def _offered(trial: int, offer: Offer) -> _Going:
    one, other = (part.place or part.called for part in offer.parts) if offer.parts else ("", "")
    expected = offer.expected, offer.low, offer.high
    return _Going(trial, offer.pair, offer.notches, (one, other), expected, offer.chance)


def _last_taken(work: Work, context: Context, stage_key: str) -> _Going | None:
    """Return the pair of the last trial that has one, with what was promised of it where that pair was advised."""
    if stage_key == CONTACT:
        return _last_under(work, context)
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


def _last_under(work: Work, context: Context) -> _Going | None:
    """Return what lies under the pinion since the last trial that measured it, with what lay there before."""
    from core.sheet import UnderPinion

    trial = shim_trial(context, max(context.trials(CONTACT), default=0))
    if trial is None:
        return None
    read = [key for key in PINION_SHIMS if context.value(CONTACT, key, trial=trial) is not None]
    holds = work.held_by_job(context.job.id).holds
    places = tuple(
        holds[key].part.place or holds[key].part.called if key in holds and holds[key].trial == trial else ""
        for key in read
    )
    before = shim_trial(context, trial - 1)
    return _Going(
        trial,
        UnderPinion(
            tuple(context.value(CONTACT, key, trial=trial) or 0.0 for key in read),
            places,
            None if before is None else pinion_shim_mm(context, before),
        ),
    )


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
