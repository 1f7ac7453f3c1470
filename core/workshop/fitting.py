"""Making what was advised the next trial."""

from __future__ import annotations

from core.advice.answer import Advice, Offer, ShimOffer
from core.errors import ConflictError, RuleError
from core.language import tr
from core.quantities import Amount
from core.records import Work
from core.stages import evaluate_job, stage, take
from core.stages.contact_pattern import KEY as CONTACT
from core.stages.contact_pattern import PINION_SHIMS, shim_trial
from core.stages.context import Context
from core.stages.sides import NUT, SIDES, side_key
from core.stages.state import JobState
from core.workshop.base import context_of
from core.workshop.drawer import Drawer
from core.workshop.holding import note_what_is_fitted


class Fitting(Drawer):
    """What can be done with an answer."""

    def take_advice(
        self, job_id: int, stage_key: str, person: str = "", *, seen: Offer | ShimOffer | None = None
    ) -> JobState:
        """Make what is advised the next trial: rings or shims are taken from the drawer, notches are written down.

        The trial is the last one while nothing but its pieces is known of it, else the one after it. `seen` is what
        the person had before his eyes; None where it does not matter.

        Raises
        ------
        ConflictError
            Somebody else took one of the pieces, or something else is advised by now than what was seen.
        RuleError
            Nothing is advised that could be fitted, a piece was never measured, or the job is signed.
        """
        with self._working("take_advice", person) as work:
            work.open_job(job_id)
            state = self._state(work, job_id)
            advice = self._advice(work, state, stage_key)
            if advice is None or not advice.can_be_taken:
                raise RuleError(
                    tr("There is no pair to make the next trial."), tr("Fit what you think right, and read it.")
                )
            if seen is not None and _pieces(seen) != _pieces(advice.offer or advice.shims):
                message = tr("Another pair is advised now than the one you saw: rings or readings have changed.")
                if advice.offer is None:
                    message = tr("Another shim is advised now than the one you saw: drawer or readings have changed.")
                raise ConflictError(
                    message,
                    tr("Look at it, and push again if it is to be the trial."),
                )
            trial = next_trial(state.context, stage_key)
            self._fit(work, state.context, stage_key, trial, advice, person)
            context = context_of(work, job_id)
            note_what_is_fitted(work, context)
            work.commit()
        return evaluate_job(context, {stage_key: trial})

    def _fit(self, work: Work, context: Context, stage_key: str, trial: int, advice: Advice, person: str) -> None:
        job_id, offer = context.job.id, advice.offer
        if offer is not None:
            self._note(work, job_id, stage_key, trial, offer, person)
        self._clear(work, context, stage_key, trial, person)
        if offer is None and advice.shims is not None:
            self._lay_under(work, context, trial, advice.shims, person)
        elif offer is not None and offer.parts is None:
            self._turn(work, job_id, stage_key, trial, offer, person)
        elif offer is not None:
            for side, part in zip(SIDES, offer.parts or (), strict=True):
                self._put_in(work, job_id, (stage_key, side, trial), part, person)

    def _lay_under(self, work: Work, context: Context, trial: int, shims: ShimOffer, person: str) -> None:
        """Lay what is advised under the pinion; what lies there and never was in the drawer is said to be there."""
        measured = shim_trial(context, trial - 1) or 0
        for at, key in enumerate(PINION_SHIMS):
            place, part = (CONTACT, key, trial), shims.parts[at] if at < len(shims.parts) else None
            if part is not None:
                self._put_in(work, context.job.id, place, part, person)
                continue
            work.give_piece_back(context.job.id, place)
            lies_at = shims.lies_at[at] if at < len(shims.lies_at) else ""
            there = context.reading(CONTACT, lies_at, trial=measured)
            if there is not None:
                entry = stage(CONTACT).entry(key)
                amount = Amount(entry.kind, there.value, there.text, there.unit)
                work.record(
                    context.job.id, CONTACT, key, "", trial, amount, gauge_id=there.gauge_id, person=person,
                    at=self._clock(), source=there.source, reason="",
                )  # fmt: skip

    def _clear(self, work: Work, context: Context, stage_key: str, trial: int, person: str) -> None:
        """Take back what was written of the trial's pieces, so that the rules see the new ones alone."""
        for key in _fitted_at(context, stage_key):
            entry = stage(stage_key).entry(key)
            if context.reading(stage_key, entry.key, trial=trial) is not None:
                work.record(
                    context.job.id, stage_key, entry.key, "", trial, Amount(entry.kind, None, "", ""), gauge_id=None,
                    person=person, at=self._clock(), source="typed", reason=tr("what was advised was fitted instead"),
                )  # fmt: skip

    def _turn(self, work: Work, job_id: int, stage_key: str, trial: int, offer: Offer, person: str) -> None:
        declared = stage(stage_key)
        for side, notches in zip(SIDES, offer.notches or (), strict=True):
            entry = declared.entry(NUT + side)
            amount = take(context_of(work, job_id), declared, entry, entry.positions[0], trial, str(notches))
            work.record(
                job_id, stage_key, entry.key, "", trial, amount, gauge_id=None, person=person, at=self._clock(),
                source="typed", reason="",
            )  # fmt: skip


def _pieces(offer: Offer | ShimOffer | None) -> tuple[int, ...]:
    if isinstance(offer, Offer) and offer.notches is not None:
        return offer.notches
    parts = () if offer is None else offer.parts or ()
    return tuple(0 if part is None else part.id for part in parts)


def _fitted_at(context: Context, stage_key: str) -> tuple[str, ...]:
    """Return the entries of a trial that say what is fitted for it."""
    if stage_key == CONTACT:
        return PINION_SHIMS
    return tuple(side_key(context.job, side) for side in SIDES)


def next_trial(context: Context, stage_key: str) -> int:
    """Return the number of the trial advised pieces make: the last while only they are known, else a new one."""
    last = max(context.trials(stage_key), default=0)
    read = {entry for (where, entry, _, trial) in context.current if (where, trial) == (stage_key, last)}
    return last if last and read <= set(_fitted_at(context, stage_key)) else last + 1
